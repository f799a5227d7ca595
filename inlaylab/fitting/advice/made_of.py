"""
What the expected worst glue line is made of, so that a maker knows what would help and what would not.

The causes are taken in the order in which a plug meets them, each on top of those before it; what each adds to the
expected worst line is its part, and the parts add up to the whole.
"""

from dataclasses import dataclass

import numpy as np

from inlaylab.fitting.advice.worst_lines import Cloud

CAUSES = ("wall allowance", "path angle", "relief depth", "crests", "start depth", "clamping", "local openings")
"""In the order in which they are added."""


@dataclass(frozen=True, kw_only=True)
class Part:
    """
    What one cause adds.

    Parameters
    ----------
    cause : str
        One of `CAUSES`.
    adds : float
        To the expected worst glue line, per side. [mm]
    """

    cause: str
    adds: float


@dataclass(frozen=True, kw_only=True)
class MadeOf:
    """
    Parts of the expected worst glue line at one start depth.

    Parameters
    ----------
    start_depth : float
        [mm]
    worst_glue_line : float
        Expected, per side: the sum of the parts. [mm]
    parts : tuple of Part
        In the order of `CAUSES`.
    """

    start_depth: float
    worst_glue_line: float
    parts: tuple[Part, ...]

    @property
    def largest_first(self) -> tuple[Part, ...]:
        """The parts, the largest first."""
        return tuple(sorted(self.parts, key=lambda part: -part.adds))


def made_of(cloud: Cloud, start_depth: float) -> MadeOf:
    """
    Take the expected worst glue line apart.

    Parameters
    ----------
    cloud : Cloud
        Of the question.
    start_depth : float
        [mm]

    Returns
    -------
    made_of : MadeOf

    Notes
    -----
    With a perfect angle all walls meet and every line is the wall allowance; a wrong angle leaves the walls of other
    strokes open; backer, lands and crests may hold the plug higher, a nose on the floor higher still; then come the
    seat shortfall and the local openings. No part is below zero but that of the openings, which may close a line.
    """
    law = cloud.law

    def mean(level: np.ndarray, opening: np.ndarray) -> float:
        return float(np.maximum(0.0, opening + level * law.tangent).mean())

    crests = np.maximum(law.fixed, law.tips.asked(cloud.shallowest + law.insert_zero_error))
    noses = np.maximum(law.fixed, law.tips.asked(start_depth + law.insert_zero_error))
    smooth = law.smooth_opening
    so_far = (
        float(np.maximum(0.0, cloud.world.fitted["wall_allowance"][:, 0]).mean()),
        mean(law.wall, smooth),
        mean(law.fixed, smooth),
        mean(crests, smooth),
        mean(noses, smooth),
        mean(noses + law.shortfall, smooth),
        mean(noses + law.shortfall, law.opening),
    )
    adds = np.diff((0.0, *so_far))
    parts = tuple(Part(cause=cause, adds=float(more)) for cause, more in zip(CAUSES, adds, strict=True))
    return MadeOf(start_depth=start_depth, worst_glue_line=so_far[-1], parts=parts)
