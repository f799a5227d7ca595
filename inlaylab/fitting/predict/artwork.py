"""What a fit expects of an artwork that is about to be cut: the spread of its seat, its glue lines and its filling."""

from dataclasses import dataclass

import numpy as np

from inlaylab.bench.coupons import Stroke
from inlaylab.bench.cuts import Cut
from inlaylab.bench.shop import Shop
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.predict.draws import scenario
from inlaylab.fitting.quantiles import spread
from inlaylab.models.filling import filled_chance
from inlaylab.models.walls import path_depth

_WIDTHS = np.linspace(0.0, 4.0, 161)  # [mm] finished widths at which the chance of filling is worked out


@dataclass(frozen=True, kw_only=True)
class Planned:
    """
    Spread of what an artwork will show.

    Parameters
    ----------
    stand_off, worst_glue_line : tuple of float
        Quantiles 0.05, 0.5 and 0.95 of the stand-off and of the widest glue line. [mm]
    expected_worst : float
        Mean of the widest glue line. [mm]
    within_chance : float
        That every glue line is within what was asked.
    finished_widths, along, across : numpy.ndarray
        Chance that a stroke of each finished full width fills, along and across the grain. [mm]
    """

    stand_off: tuple[float, float, float]
    worst_glue_line: tuple[float, float, float]
    expected_worst: float
    within_chance: float
    finished_widths: np.ndarray
    along: np.ndarray
    across: np.ndarray

    def limit(self, chance: float, *, across: bool = True) -> float:
        """
        Find the finished width from which on a stroke fills with a chance.

        Parameters
        ----------
        chance : float
            Between 0 and 1.
        across : bool
            Whether the stroke runs across the grain, where it needs more width.

        Returns
        -------
        width : float
            Thin-stroke limit; 4 mm where no thinner stroke has it. [mm]
        """
        way = self.across if across else self.along
        enough = np.flatnonzero(np.maximum.accumulate(way) >= chance)
        return float(self.finished_widths[enough[0]]) if len(enough) else float(self.finished_widths[-1])


def planned(
    fit: Fit, shop: Shop, cut: Cut, strokes: tuple[Stroke, ...], *, within: float, draws: int = 200, seed: int = 0
) -> Planned:
    """
    Draw an artwork's seat, glue lines and filling from a fit.

    Parameters
    ----------
    fit : Fit
        Fit of the log.
    shop : Shop
        The log's records.
    cut : Cut
        What is to be cut: bit, pair, depths, path angle, outline offset.
    strokes : tuple of Stroke
        The artwork's strokes and the lands beside them. [mm]
    within : float
        Widest glue line that is good enough. [mm]
    draws, seed : int
        Number of predictive draws, and of their chance.

    Returns
    -------
    planned : Planned
        Each draw goes through the closed form of the seat.
    """
    pairs = [(stroke.stroke_width / 2, stroke.land_width / 2) for stroke in strokes]
    world = scenario(fit, shop, (cut,), seed=seed, size=draws, strokes=[pairs])
    angle = float(world.cuts.path_angle[0, 0])
    half_widths, lands = np.array(pairs).T
    offset = float(world.cuts.outline_offset[0, 0])
    stroke_depths = path_depth(half_width=half_widths, depth_cap=cut.pocket_depth, path_angle=angle)
    land_depths = path_depth(half_width=lands - offset, depth_cap=cut.relief_depth, path_angle=angle)
    depths = np.add(stroke_depths, land_depths)
    level = world.seat_level()
    worst = world.glue_lines(depths=depths, cut=np.zeros(len(depths), dtype=int), level=level).max(axis=1)
    zeros = {name: world.fitted[name][:, 0] for name in ("host_zero_error", "insert_zero_error")}
    insert = int(world.cuts.insert[0])
    law = {
        "half_filled_width": world.fitted["half_filled"][:, insert, None],
        "softness": world.fitted["fill_softness"][:, None],
        "across_shift": world.fitted["across_shift"][:, None],
    }
    along, across = (np.mean(filled_chance(_WIDTHS, across=way, **law), axis=0) for way in (0.0, 1.0))
    return Planned(
        stand_off=_quantiles(level[:, 0] - zeros["host_zero_error"] - zeros["insert_zero_error"]),
        worst_glue_line=_quantiles(worst),
        expected_worst=float(worst.mean()),
        within_chance=float((worst <= within).mean()),
        finished_widths=_WIDTHS,
        along=along,
        across=across,
    )


def _quantiles(values: np.ndarray) -> tuple[float, float, float]:
    low, middle, high = spread(values).values()
    return low, middle, high
