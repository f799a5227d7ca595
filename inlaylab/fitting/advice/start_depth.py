"""
The start depth to go by, the limit, the worst glue line to expect, and how sure all that is.

Every number comes from one cloud of single pieces (`worst_lines`) and one rule (`depth_rule`).
"""

from dataclasses import asdict, dataclass, replace

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.fitting.advice.depth_rule import DepthRule, GoBy
from inlaylab.fitting.advice.made_of import MadeOf, made_of
from inlaylab.fitting.advice.relief import relief_depth_needed
from inlaylab.fitting.advice.settings import Settings, compare
from inlaylab.fitting.advice.trade import DepthTrade, depth_trade
from inlaylab.fitting.advice.warnings import warnings_of
from inlaylab.fitting.advice.worst_lines import Cloud, Floats, cloud
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.predict.question import Question
from inlaylab.fitting.quantiles import spread

DRAWS, FEWEST_DRAWS, MOST_STROKES = 2400, 800, 500_000
"""Draws of what lasts: fewer make the answer waver; strokes of all draws, which bounds the time of long questions."""
MOST_OPENINGS, FEWEST_PIECES, MOST_PIECES = 2_000_000, 8, 16
"""Glue lines of all pieces of all draws, and pieces of a draw: bounds the time of long questions."""
KNOWN_DRAWS, KNOWN_PIECES = 240, 256
"""Draws, and pieces of each, for what the start depth would be if all that lasts were known."""
CURVE_STEP, CURVE_PIECES = 0.02, 2
"""Step of the curve [mm], and pieces of each draw that it is drawn from."""
HOLDER_DRAWS = 600


@dataclass(frozen=True, kw_only=True)
class Spread:
    """Quantiles 0.05, 0.5 and 0.95 of a glue line per side, and what is expected of it on average [mm]."""

    q05: float
    q50: float
    q95: float
    expected: float


@dataclass(frozen=True, kw_only=True)
class CurvePoint:
    """
    What one start depth would give.

    Parameters
    ----------
    start_depth : float
        [mm]
    chance : float
        That every glue line is within what is asked.
    worst_glue_line, q05, q95 : float
        Expected worst glue line per side, and the quantiles around it. [mm]
    """

    start_depth: float
    chance: float
    worst_glue_line: float
    q05: float
    q95: float


@dataclass(frozen=True, kw_only=True)
class Advice:
    """
    An answer.

    Parameters
    ----------
    question : Question
        What was asked.
    start_depth : float
        To go by: the deepest that costs nothing a maker can see, in 19 of 20 cuts. [mm]
    low, high : float
        5 and 95 % of what it would be if everything lasting were known. [mm]
    bend : float or None
        Where the worst glue line begins to rise in 1 of 20 cuts; None where it never does. [mm]
    matters : bool
        False where no stroke comes near the floor, so that every start depth gives the same lines.
    limit : float or None
        Deepest with the chance asked; None where no start depth has it. [mm]
    chance : float
        That every glue line is within what is asked, at ``start_depth``.
    reached : bool
        Whether that is what was asked, to within the draws' own error.
    worst_glue_line : Spread
        At ``start_depth``.
    tightest_glue_line : float
        Least expected worst glue line of all start depths. [mm]
    floor_gap_needed : float
        Pocket depth less start depth; carries over to any pocket depth. [mm]
    relief_depth_needed : float or None
        Least at which backer or a land holds the plug up in at most 1 of 20 cuts; None where none is enough. [mm]
    held_up_by : str
        The contact most likely to hold the plug up, a name of `models.contacts.CONTACTS`.
    held_up_chance : float
        How likely that contact is.
    trade : DepthTrade
        What depth gives and costs.
    curve : tuple of CurvePoint
        From the shallowest to the deepest start depth asked about.
    settings : Settings
        Today's and the tightest.
    made_of : MadeOf
        Parts of the expected worst glue line.
    warnings : tuple of str
        Where the question goes beyond what the log has seen.
    cuts, cuts_with_bit : int
        In the log; of them with this bit.
    """

    question: Question
    start_depth: float
    low: float
    high: float
    bend: float | None
    matters: bool
    limit: float | None
    chance: float
    reached: bool
    worst_glue_line: Spread
    tightest_glue_line: float
    floor_gap_needed: float
    relief_depth_needed: float | None
    held_up_by: str
    held_up_chance: float
    trade: DepthTrade
    curve: tuple[CurvePoint, ...]
    settings: Settings
    made_of: MadeOf
    warnings: tuple[str, ...]
    cuts: int
    cuts_with_bit: int

    def to_json(self) -> dict[str, object]:
        """Answer of the command ``advise``, without its ``why``."""
        record = asdict(replace(self, curve=()))
        settings = record.pop("settings")
        record["curve"] = [asdict(point) for point in self.curve]
        record["settings"] = {name: settings[name] for name in ("now", "turned", "kept") if settings[name]}
        record["turns"] = settings["turns"]
        record.pop("question")
        return record


def go_by(fit: Fit, shop: Shop, question: Question, *, seed: int = 0, draws: int = DRAWS) -> tuple[Cloud, GoBy, float]:
    """
    Choose the start depth to go by, and nothing more.

    Parameters
    ----------
    fit, shop, question, seed, draws
        As in `advise`.

    Returns
    -------
    here : Cloud
        The pieces that it was chosen from.
    chosen : GoBy
        By the rule.
    start_depth : float
        The same as a maker would set it: to 0.001 mm, never deeper than the rule says. [mm]
    """
    strokes = len(question.half_widths)
    draws = min(draws, max(FEWEST_DRAWS, MOST_STROKES // strokes))
    pieces = int(np.clip(MOST_OPENINGS // (draws * strokes), FEWEST_PIECES, MOST_PIECES))
    here = cloud(fit, shop, question, seed=seed, draws=draws, pieces=pieces)
    chosen = DepthRule(here).go_by()
    depth = float(np.floor(chosen.start_depth[0] * 1000 + 1e-6)) / 1000
    return here, chosen, max(question.span[0], depth)


def advise(fit: Fit, shop: Shop, question: Question, *, seed: int = 0, draws: int = DRAWS) -> Advice:
    """
    Say which start depth to go by, what to expect of it, and what would be tighter.

    Parameters
    ----------
    fit : Fit
        Fit of the log.
    shop : Shop
        The log.
    question : Question
        What is asked.
    seed, draws : int
        Of the predictive draws.

    Returns
    -------
    advice : Advice

    Raises
    ------
    NotConverged
        If the fit's chains do not agree.
    RecordError
        If bit or pair are not in the log.
    """
    fit.check()
    here, chosen, depth = go_by(fit, shop, question, seed=seed, draws=draws)
    low = question.span[0]
    limit, bend = float(chosen.limit[0]), float(chosen.bend[0])
    chance, error = _chance(here, depth, fit)
    first, last = _if_known(fit, shop, question, seed)
    lines = here.law.at(depth)
    held_up_by, held_up_chance = _holder(here, depth)
    relief = relief_depth_needed(here, depth)
    return Advice(
        question=question,
        start_depth=depth,
        low=min(first, depth),
        high=max(last, depth),
        bend=bend if np.isfinite(bend) else None,
        matters=bool(np.isfinite(bend)),
        limit=limit if np.isfinite(limit) else None,
        chance=chance,
        reached=bool(chance >= question.chance - error),
        worst_glue_line=_spread(lines),
        tightest_glue_line=min(float(here.law.at(low).mean()), float(lines.mean())),
        floor_gap_needed=question.pocket_depth - depth,
        relief_depth_needed=relief,
        held_up_by=held_up_by,
        held_up_chance=held_up_chance,
        trade=depth_trade(here, depth, sanded_off=shop.habits.sanded_off),
        curve=_curve(here),
        settings=compare(fit, shop, here, depth, relief_depth_needed=relief, seed=seed),
        made_of=made_of(here, depth),
        warnings=warnings_of(fit, shop, question),
        cuts=len(shop.cuts),
        cuts_with_bit=sum(cut.bit == question.bit for cut in shop.cuts),
    )


def _chance(here: Cloud, depth: float, fit: Fit) -> tuple[float, float]:
    """Chance of good lines at a start depth, and its standard error: what lasts is known by so many draws only."""
    each = (here.limits >= depth).mean(axis=1)
    count = max(1.0, min(len(each), fit.smallest_ess))
    return float(each.mean()), float(each.std() / np.sqrt(count))


def _if_known(fit: Fit, shop: Shop, question: Question, seed: int) -> tuple[float, float]:
    """5 and 95 % quantiles, over what lasts, of the start depth that would be gone by if it were known."""
    known = cloud(fit, shop, question, seed=seed, draws=KNOWN_DRAWS, pieces=KNOWN_PIECES)
    low, high = np.quantile(DepthRule(known).if_known(), [0.05, 0.95])
    return float(low), float(high)


def _spread(lines: Floats) -> Spread:
    return Spread(**spread(lines), expected=float(lines.mean()))


def _curve(here: Cloud) -> tuple[CurvePoint, ...]:
    """Chance and worst line over the span of start depths, in steps of `CURVE_STEP`."""
    low, high = here.question.span
    law, few = here.law, slice(0, CURVE_PIECES)
    some = replace(
        law,
        opening=law.opening[:, few],
        land=law.land[:, few],
        insert_zero_error=law.insert_zero_error[:, few],
        shortfall=law.shortfall[:, few],
    )
    limits = np.sort(here.limits, axis=None)
    points = []
    for depth in np.linspace(low, high, max(2, round((high - low) / CURVE_STEP) + 1)):
        lines = some.at(float(depth))
        middle = len(lines) * lines.shape[1] // 20
        sides = np.partition(lines, (middle, lines.size - 1 - middle), axis=None)
        points.append(
            CurvePoint(
                start_depth=round(float(depth), 4),
                chance=float(1 - np.searchsorted(limits, depth) / limits.size),
                worst_glue_line=float(lines.mean()),
                q05=float(sides[middle]),
                q95=float(sides[-1 - middle]),
            )
        )
    return tuple(points)


def _holder(here: Cloud, start_depth: float) -> tuple[str, float]:
    """Name of the contact that most often holds the plug up, and how often."""
    from inlaylab.models.seating import seat

    single = {name: value[:HOLDER_DRAWS, :1] for name, value in here.single.items()}
    rest = seat(
        start_depth=start_depth,
        host_zero_error=single["host_zero_error"],
        insert_zero_error=single["insert_zero_error"],
        seat_shortfall=single["shortfall"],
        **{name: value[:HOLDER_DRAWS] for name, value in here.section().items()},
    )
    names, counts = np.unique(rest.held_up_by, return_counts=True)
    return str(names[counts.argmax()]), float(counts.max() / counts.sum())
