"""The rule by which a start depth is chosen from the draws."""

import math
from dataclasses import replace

import numpy as np

from inlaylab.fitting.predict.draws import Scenario
from inlaylab.fitting.predict.question import Question
from inlaylab.models.seating import deepest_good_start_depth

ANYWHERE = 1e6
AT_ONCE = 1_000_000
"""So many glue lines are judged at once."""


def good_depths(world: Scenario, openings: np.ndarray, within: float) -> np.ndarray:
    """
    Deepest start depth of each draw that keeps every glue line within a limit.

    Parameters
    ----------
    world : Scenario
        Draws for one cut.
    openings : array, shape (draws, 1, strokes)
        Local openings. [mm]
    within : float
        [mm]

    Returns
    -------
    depths : array, shape (draws,)
        Minus infinity where no depth will do, at most `ANYWHERE`. [mm]
    """
    fitted, count = world.fitted, len(openings)
    known = world.section() | {
        "host_zero_error": fitted["host_zero_error"][..., None],
        "insert_zero_error": fitted["insert_zero_error"][..., None],
        "seat_shortfall": fitted["shortfall"][..., None],
        "local_opening": openings,
    }
    step = max(1, AT_ONCE // openings[0].size)
    found = np.empty(count)
    for start in range(0, count, step):  # artworks of many strokes in parts: memory
        part = slice(start, start + step)
        some = {name: value[part] if np.ndim(value) == 3 else value for name, value in known.items()}
        found[part] = deepest_good_start_depth(within=within, low=-ANYWHERE, high=ANYWHERE, **some)[:, 0]
    return found


def worst_lines(world: Scenario, openings: np.ndarray, start_depth: float) -> np.ndarray:
    """
    Widest glue line of each draw at a start depth.

    Parameters
    ----------
    world : Scenario
        Draws for one cut.
    openings : array, shape (draws, 1, strokes)
        Local openings. [mm]
    start_depth : float
        [mm]

    Returns
    -------
    worst : array, shape (draws,)
        [mm]
    """
    from inlaylab.models.walls import glue_line

    there = replace(world, cuts=replace(world.cuts, start_depth=np.array([[start_depth]])))
    section = there.section()
    lines = glue_line(
        stroke_depth=world.cuts.stroke_depth,
        land_depth=world.cuts.land_depth,
        path_angle=section["path_angle"],
        true_angle=section["true_angle"],
        tip_flat=section["tip_flat"],
        outline_offset=section["outline_offset"],
        seat_level=there.seat_level()[..., None],
        local_opening=openings,
    )
    return np.asarray(lines)[:, 0].max(axis=-1)


def answer(good: np.ndarray, question: Question) -> tuple[float | None, float]:
    """
    Deepest start depth with the chance asked.

    Parameters
    ----------
    good : array, shape (draws,)
        From `good_depths`. [mm]
    question : Question
        What is asked.

    Returns
    -------
    start_depth : float or None
        Within the question's span; None where no depth has that chance. [mm]
    chance : float
        There, or at the shallowest depth of the span, where it is best.

    Notes
    -----
    Where the best chance of all falls short of the one asked by less than the draws' own standard error, it counts as
    reached: on which side it came out is the luck of the draws.

    Examples
    --------
    >>> asked = Question(bit="b", pair="p", pocket_depth=4, relief_depth=1.5, within=0.1, chance=0.5)
    >>> answer(np.array([3.9, 3.8, 3.7, 3.6]), asked)
    (3.8, 0.5)
    """
    low, high = question.span
    capped = np.sort(good)[::-1]  # deepest first
    noise = math.sqrt(question.chance * (1 - question.chance) / len(capped))
    for wanted in (question.chance, question.chance - noise):
        needed = max(1, int(np.ceil(wanted * len(capped) - 1e-9)))
        depth = min(float(capped[needed - 1]), high)
        if depth >= low:
            depth = max(low, float(np.floor(depth * 1000 + 1e-6)) / 1000)
            return depth, float(np.mean(good >= depth))
    return None, float(np.mean(good >= low))
