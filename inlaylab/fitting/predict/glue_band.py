"""Glue lines by stroke width at one start depth, for the picture that shows them against the readings."""

from dataclasses import dataclass

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.predict.draws import scenario
from inlaylab.fitting.predict.question import Question
from inlaylab.models.walls import path_depth

LEVELS = (0.05, 0.25, 0.5, 0.75, 0.95)


@dataclass(frozen=True, kw_only=True)
class Band:
    """
    Quantiles of the glue line by stroke width.

    Parameters
    ----------
    stroke_widths : array, shape (widths,)
        Full widths. [mm]
    q05, q25, q50, q75, q95 : array, shape (widths,)
        Quantiles of the line per side. [mm]
    """

    stroke_widths: np.ndarray
    q05: np.ndarray
    q25: np.ndarray
    q50: np.ndarray
    q75: np.ndarray
    q95: np.ndarray


def glue_band(
    fit: Fit, shop: Shop, question: Question, start_depth: float, *, count: int = 40, seed: int = 0, draws: int = 3000
) -> Band:
    """
    Predict the glue line of strokes of every width that the artwork's seat would carry.

    Parameters
    ----------
    fit : Fit
        Converged fit of the log.
    shop : Shop
        The log.
    question : Question
        Its strokes decide where the plug rests.
    start_depth : float
        [mm]
    count : int
        How many widths, from the thinnest stroke to the widest.
    seed, draws : int
        Seed and number of the predictive draws.

    Returns
    -------
    band : Band

    Notes
    -----
    c = (D + G)(T - T0) + t - o + v T with the seat level v of the artwork's own strokes; G is that of
    the question's median land.
    """
    fit.check()
    cut = question.cut(start_depth)
    world = scenario(fit, shop, (cut,), seed=seed, size=draws, strokes=[question.half_widths])
    halves = np.array(question.half_widths)
    widths = np.linspace(2 * halves[:, 0].min(), max(2 * halves[:, 0].max(), 2 * halves[:, 0].min() + 1.0), count)
    angle = cut.path_angle(shop.bit(cut.bit))
    land = max(0.0, float(np.median(halves[:, 1])) - question.outline_offset)
    stroke_depths = path_depth(half_width=widths / 2, depth_cap=cut.pocket_depth, path_angle=angle)
    land_depths = path_depth(half_width=land, depth_cap=cut.relief_depth, path_angle=angle)
    depths = np.add(stroke_depths, land_depths)
    lines = world.glue_lines(depths=depths, cut=np.zeros(count, int), level=world.seat_level())
    q05, q25, q50, q75, q95 = np.quantile(lines, LEVELS, axis=0)
    return Band(stroke_widths=widths, q05=q05, q25=q25, q50=q50, q75=q75, q95=q95)
