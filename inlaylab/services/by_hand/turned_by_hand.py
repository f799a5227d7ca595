"""How the kit reckons, with every setting turned by hand: the bend of the worst line, and the chance of a good cut."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inlaylab.fitting.advice.depth_rule import SPARED, Ordered
from inlaylab.fitting.advice.start_depth import CurvePoint, Spread
from inlaylab.fitting.advice.worst_lines import HAIR
from inlaylab.fitting.predict.question import SHALLOWER
from inlaylab.models.seating import seat
from inlaylab.models.start_depths import WorstLine, worst_line

Floats = NDArray[np.float64]

DRAWS = 4000
"""Simulated cuts: a share is then off by less than 0.016 in 19 of 20 repeats (binomial at one half)."""
SEED = 8
"""The same made-up cuts every time, so that only what was turned moves the answer."""
CHANCE = 0.9
"""Chance of a good cut that the limit is drawn for."""
DEEPER = 0.5
"""How far below the pocket's floor start depths are looked at. Our choice. [mm]"""
SHALLOWEST = 0.2
"""No shallower start depth is looked at. Our choice. [mm]"""
POINTS = 81
"""Start depths on a curve."""


@dataclass(frozen=True, kw_only=True)
class Settings:
    """
    A cut as it was turned.

    Parameters
    ----------
    start_depth, pocket_depth, relief_depth : float
        [mm]
    path_angle, true_angle : float
        Included angles: computed for, and cut. [degrees]
    tip_flat, crest_loss, host_zero_error, insert_zero_error : float
        A zero error is how much deeper than programmed its board was cut. [mm]
    stroke_widths : tuple of float
        Full widths. [mm]
    land_width : float
        Full width of the land on either side. [mm]
    """

    start_depth: float
    pocket_depth: float
    relief_depth: float
    path_angle: float
    true_angle: float
    tip_flat: float
    crest_loss: float
    host_zero_error: float
    insert_zero_error: float
    stroke_widths: tuple[float, ...]
    land_width: float

    @property
    def span(self) -> tuple[float, float]:
        """Start depths that are looked at; the one turned to is always among them [mm]."""
        low = max(SHALLOWEST, self.pocket_depth - SHALLOWER)
        return min(low, self.start_depth), max(self.pocket_depth + DEEPER, self.start_depth)


@dataclass(frozen=True, kw_only=True)
class GiveOrTake:
    """
    How far cuts stray from their settings: two in three by less than this, 19 in 20 by less than twice as much.

    Parameters
    ----------
    tip_flat, host_zero_error, insert_zero_error : float
        [mm]
    true_angle : float
        [degrees]
    """

    tip_flat: float
    host_zero_error: float
    insert_zero_error: float
    true_angle: float


@dataclass(frozen=True, kw_only=True)
class Bend:
    """
    The worst glue line of one cut against the start depth.

    Parameters
    ----------
    start_depths, worst_lines : array, shape (points,)
        Glue lines are per side. [mm]
    bend : float
        Deepest start depth that opens the line by no more than `HAIR`; infinite where every one does. [mm]
    start_depth, here : float
        The start depth turned to, and the worst line there. [mm]
    pocket_depth, hair : float
        [mm]
    """

    start_depths: Floats
    worst_lines: Floats
    bend: float
    start_depth: float
    here: float
    pocket_depth: float
    hair: float = HAIR


@dataclass(frozen=True, kw_only=True)
class Asked:
    """
    What is called a good cut.

    Parameters
    ----------
    within : float
        Widest glue line that is good enough, per side. [mm]
    span : tuple of float
        Start depths looked at. [mm]
    chance : float
        Wanted, for the limit.
    """

    within: float
    span: tuple[float, float]
    chance: float = CHANCE


@dataclass(frozen=True, kw_only=True)
class Chance:
    """
    What many cuts of the same settings would show; `figures.worst_line` draws it.

    Parameters
    ----------
    question : Asked
    turned_to : float
        The start depth turned to. [mm]
    share : float
        Share of simulated cuts there with every glue line within what is asked.
    held_up : dict of str to float
        Share of those cuts that each contact holds up, largest first.
    start_depth : float
        To go by: the 5 % quantile of the bends, no deeper than the pocket nor than the limit. [mm]
    chance : float
        Share of good cuts at `start_depth`.
    bend : float or None
        The 5 % quantile of the bends; None where the start depth does not matter. [mm]
    limit : float or None
        Deepest with the chance asked; None where none has it. [mm]
    worst_glue_line : Spread
        At `start_depth`. [mm]
    curve : tuple of CurvePoint
    """

    question: Asked
    turned_to: float
    share: float
    held_up: dict[str, float]
    start_depth: float
    chance: float
    bend: float | None
    limit: float | None
    worst_glue_line: Spread
    curve: tuple[CurvePoint, ...]

    @property
    def matters(self) -> bool:
        """Whether the start depth changes anything."""
        return self.bend is not None


def bend_of(settings: Settings) -> Bend:
    """
    Follow the worst glue line of one cut over start depths.

    Parameters
    ----------
    settings : Settings

    Returns
    -------
    bend : Bend

    Examples
    --------
    A plug that sinks 0.1 mm at 90 degrees needs that much floor gap; the hair of 0.01 mm is allowed on top:

    >>> settings = Settings(
    ...     start_depth=4.4, pocket_depth=5, relief_depth=3, path_angle=90, true_angle=90, tip_flat=0.1,
    ...     crest_loss=0, host_zero_error=0, insert_zero_error=0, stroke_widths=(18,), land_width=18,
    ... )
    >>> print(f"{bend_of(settings).bend:.2f}")
    4.91
    """
    law = _law(settings)
    low, high = settings.span
    depths = np.linspace(low, high, POINTS)
    return Bend(
        start_depths=depths,
        worst_lines=np.array([law.at(depth)[0, 0] for depth in depths]),
        bend=float(law.bend(low, hair=HAIR)[0, 0]),
        start_depth=settings.start_depth,
        here=float(law.at(settings.start_depth)[0, 0]),
        pocket_depth=settings.pocket_depth,
    )


def simulated_cuts(settings: Settings, give_or_take: GiveOrTake) -> dict[str, Floats]:
    """
    Make up what many cuts of the same settings would have.

    Parameters
    ----------
    settings : Settings
    give_or_take : GiveOrTake

    Returns
    -------
    cuts : dict of array, shape (DRAWS, 1)
        Tip flats, never below zero, both zero errors [mm] and true angles [degrees], by the names of `GiveOrTake`;
        normal around the settings.
    """
    rng = np.random.default_rng(SEED)
    names = ("tip_flat", "host_zero_error", "insert_zero_error", "true_angle")
    strayed = rng.standard_normal((len(names), DRAWS, 1))
    cuts = {
        name: getattr(settings, name) + getattr(give_or_take, name) * by
        for name, by in zip(names, strayed, strict=True)
    }
    return cuts | {
        "tip_flat": np.maximum(0.0, cuts["tip_flat"]),
        "true_angle": np.clip(cuts["true_angle"], 1.0, 179.0),
    }


def chance_of(settings: Settings, give_or_take: GiveOrTake, *, within: float) -> Chance:
    """
    Simulate many cuts, and say how many are good and which start depth to go by.

    Parameters
    ----------
    settings : Settings
    give_or_take : GiveOrTake
    within : float
        Widest glue line that is good enough, per side. [mm]

    Returns
    -------
    chance : Chance
    """
    cuts = simulated_cuts(settings, give_or_take)
    law = _law(settings, cuts)
    low, high = settings.span
    bend = float(Ordered.of(law.bend(low, hair=HAIR)).deepest(SPARED)[0])
    limit = float(Ordered.of(law.deepest(within)).deepest(CHANCE)[0])
    start_depth = float(np.clip(bend, low, max(low, settings.pocket_depth)))
    reached = limit >= low
    if reached:
        limit = min(limit, high)
        start_depth = min(start_depth, limit)
    go_by = _point(law, start_depth, within)
    lines = law.at(start_depth)
    return Chance(
        question=Asked(within=within, span=(low, high)),
        turned_to=settings.start_depth,
        share=_point(law, settings.start_depth, within).chance,
        held_up=_held_up(settings, cuts),
        start_depth=start_depth,
        chance=go_by.chance,
        bend=bend if np.isfinite(bend) else None,
        limit=limit if reached else None,
        worst_glue_line=Spread(
            q05=go_by.q05, q50=float(np.median(lines)), q95=go_by.q95, expected=go_by.worst_glue_line
        ),
        curve=tuple(_point(law, float(depth), within) for depth in np.linspace(low, high, POINTS)),
    )


def _section(settings: Settings, cuts: dict[str, Floats]) -> dict[str, Any]:
    """Arguments of `contacts.section_levels`, for one cut or many."""
    return {
        "pocket_depth": settings.pocket_depth,
        "relief_depth": settings.relief_depth,
        "path_angle": settings.path_angle,
        "true_angle": cuts.get("true_angle", settings.true_angle),
        "tip_flat": cuts.get("tip_flat", settings.tip_flat),
        "crest_loss": settings.crest_loss,
        "stroke_half_width": np.array([settings.stroke_widths]) / 2,
        "land_half_width": settings.land_width / 2,
    }


def _law(settings: Settings, cuts: dict[str, Floats] | None = None) -> WorstLine:
    cuts = cuts or {}
    return worst_line(
        _section(settings, cuts),
        host_zero_error=cuts.get("host_zero_error", settings.host_zero_error),
        insert_zero_error=cuts.get("insert_zero_error", settings.insert_zero_error),
    )


def _point(law: WorstLine, start_depth: float, within: float) -> CurvePoint:
    """What all cuts would show at one start depth."""
    lines = law.at(start_depth)
    q05, q95 = np.quantile(lines, (0.05, 0.95))
    return CurvePoint(
        start_depth=start_depth,
        chance=float((lines <= within + 1e-9).mean()),
        worst_glue_line=float(lines.mean()),
        q05=float(q05),
        q95=float(q95),
    )


def _held_up(settings: Settings, cuts: dict[str, Floats]) -> dict[str, float]:
    """Share of cuts that each contact holds up at the start depth turned to, largest first."""
    cut = {name: cuts[name] for name in ("host_zero_error", "insert_zero_error")}
    rest = seat(start_depth=settings.start_depth, **cut, **_section(settings, cuts))
    names, counts = np.unique(np.atleast_1d(rest.held_up_by), return_counts=True)
    order = np.argsort(-counts, kind="stable")
    return {str(names[n]): float(counts[n] / counts.sum()) for n in order}
