"""
The worst glue line of many pieces at every start depth: the one way from a fit to an answer.

Each draw of what lasts (bit, pair, woods, shop) is cut as many single pieces; each piece has its own zero errors,
seat shortfall and local openings, and a closed form for its worst line (`models.start_depths.WorstLine`). Advice,
settings, what to measure next, what cuts taught and when to tune again all read the same cloud.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from inlaylab.bench.shop import Shop
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.predict.draws import Scenario, scenario, single_cut
from inlaylab.fitting.predict.question import Question
from inlaylab.models.start_depths import Steps, WorstLine, openings_of, worst_line

Floats = NDArray[np.float64]

HAIR = 0.01
"""A glue line this much wider is not seen by eye or loupe (the kit's own choice). [mm]"""
MANY, DEPTH_STEP = 40, 0.02
"""Where there are more strokes than so many, those whose paths are this equally deep [mm] share one wall gap."""
AT_ONCE = 500_000
"""So many strokes of draws, or local openings of pieces, are looked at together: bounds memory."""


@dataclass(frozen=True, kw_only=True)
class Cloud:
    """
    Draws of what lasts, and single pieces cut with each.

    Parameters
    ----------
    question : Question
        What is asked.
    world : Scenario
        One planned cut; draws first.
    single : dict of arrays, shape (draws, pieces)
        ``host_zero_error``, ``insert_zero_error``, ``shortfall``. [mm]
    law : WorstLine
        Worst glue line of each piece against the start depth.
    """

    question: Question
    world: Scenario
    single: dict[str, Floats]
    law: WorstLine

    @property
    def shallowest(self) -> float:
        """Shallowest start depth asked about [mm]."""
        return self.question.span[0]

    @cached_property
    def bends(self) -> Floats:
        """Deepest start depth of each piece that costs no more than `HAIR` [mm], shape (draws, pieces)."""
        return self.law.bend(self.shallowest, hair=HAIR)

    @cached_property
    def limits(self) -> Floats:
        """Deepest start depth of each piece with every line within what is asked [mm], shape (draws, pieces)."""
        return self.law.deepest(self.question.within)

    def section(self) -> dict[str, Floats]:
        """Arguments of the models for one planned cut, draws by strokes."""
        return flat_section(self.world)


def flat_section(world: Scenario) -> dict[str, Floats]:
    """
    Arguments of the models for a scenario of one cut, without the axis of cuts.

    Parameters
    ----------
    world : Scenario
        Of one cut.

    Returns
    -------
    section : dict of arrays, shape (draws or 1, strokes or 1)
    """
    return {name: value[:, 0] if np.ndim(value) == 3 else value for name, value in world.section().items()}


def cloud(
    fit: Fit,
    shop: Shop,
    question: Question,
    *,
    seed: int = 0,
    draws: int = 2000,
    pieces: int = 32,
    further_use: float = 0.0,
) -> Cloud:
    """
    Cut many single pieces of each of many draws.

    Parameters
    ----------
    fit : Fit
        Converged fit of the log.
    shop : Shop
        The log.
    question : Question
        What is asked.
    seed, draws, pieces : int
        Of the draws; single pieces of each.
    further_use : float
        Cuts' worth of path that the bit will have made before then.

    Returns
    -------
    cloud : Cloud
        The same seed and numbers give the same draws and zero errors whatever the question.

    Raises
    ------
    RecordError
        If bit or pair are not in the log.
    """
    strokes = [question.half_widths]
    world = scenario(fit, shop, (question.cut(question.span[0]),), seed=seed, size=draws, strokes=strokes)
    world = replace(world, cuts=replace(world.cuts, used=world.cuts.used + further_use))
    rng = np.random.default_rng([seed, 11])
    single = single_cut(world.fitted, rng, (draws, pieces))
    section = flat_section(world)
    step = max(1, AT_ONCE // len(question.half_widths))
    laws = []
    for start in range(0, draws, step):
        part = slice(start, start + step)
        some = {name: value[part] if len(value) == draws else value for name, value in section.items()}
        opening = _widest(some, world, part, rng, pieces)
        zeros = {f"{board}_zero_error": single[f"{board}_zero_error"][part] for board in ("host", "insert")}
        laws.append(worst_line(some, seat_shortfall=single["shortfall"][part], opening=opening, **zeros))
    return Cloud(question=question, world=world, single=single, law=_joined(laws))


def _widest(section: dict[str, Floats], world: Scenario, part: slice, rng: np.random.Generator, pieces: int) -> Floats:
    """
    Widest wall gap of each piece at a seat level of zero, local openings included (draws, pieces).

    Strokes of equal path depth have the same gap; of n such lines the widest opening is drawn at once, as the normal
    quantile of U^(1/n).
    """
    depth = (world.cuts.stroke_depth + world.cuts.land_depth)[0]
    alike = np.round(depth / DEPTH_STEP) if len(depth) > MANY else np.arange(len(depth))
    _, first, count = np.unique(alike, return_index=True, return_counts=True)
    sd = world.fitted["opening_sd"][part]
    gaps = np.broadcast_to(openings_of(section), (len(sd), len(depth)))[:, first]
    widest = np.empty((len(sd), pieces))
    step = max(1, AT_ONCE // (pieces * len(first)))
    for start in range(0, len(sd), step):
        some = slice(start, start + step)
        shape = (len(sd[some]), pieces, len(first))
        local = rng.standard_normal(shape) if count.max() == 1 else _largest_of(count, rng.random(shape))
        widest[some] = (gaps[some, None, :] + sd[some, None, None] * local).max(axis=2)
    return widest


def _largest_of(count: NDArray[np.intp], chance: Floats) -> Floats:
    """Largest of so many standard normal numbers, from even chances."""
    from scipy.special import ndtri

    return np.asarray(ndtri(np.clip(chance, 1e-300, 1.0 - 1e-16) ** (1.0 / count)))


def _joined(laws: list[WorstLine]) -> WorstLine:
    """Put the draws of several parts together."""
    if len(laws) == 1:
        return laws[0]

    def whole(name: str) -> Floats:
        return np.concatenate([getattr(law, name) for law in laws])

    names = ("tangent", "opening", "smooth_opening", "wall", "land", "insert_zero_error", "shortfall")
    wide = max(law.tips.ridge.shape[1] for law in laws)

    def padded(rows: Floats, last: Floats) -> Floats:
        return np.concatenate([rows, np.broadcast_to(last, (len(rows), wide - rows.shape[1]))], axis=1)

    tips = Steps(
        ridge=np.concatenate([padded(law.tips.ridge, np.array(-np.inf)) for law in laws]),
        rise=np.concatenate([padded(law.tips.rise, law.tips.rise[:, -1:]) for law in laws]),
    )
    return WorstLine(tips=tips, **{name: whole(name) for name in names})
