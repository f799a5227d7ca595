"""The worst glue line against start depth: level up to a bend, then rising; with the start depth to go by."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab import units
from inlaylab.figures.style import (
    GREY,
    LOOKS,
    Picture,
    axes_for,
    figure_of,
    in_unit,
    label_axes,
    legend_below,
    note,
    styled,
    with_unit,
)
from inlaylab.wording.figures import answers as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.fitting.advice.start_depth import Advice
    from inlaylab.services.by_hand.turned_by_hand import Chance

SAME = 0.01
"""Marks closer than this are drawn as one. [mm]"""


@styled
def worst_line(result: Advice | Chance, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw the worst glue line to expect against the start depth.

    Parameters
    ----------
    result : fitting.advice.start_depth.Advice or services.by_hand.turned_by_hand.Chance
        Its `curve`, `bend`, `start_depth`, `limit` and the glue line that was asked for are drawn.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    ax = axes_for(ax, height=4.0)
    asked = result.question
    depths = in_unit([point.start_depth for point in result.curve], unit)
    lines = in_unit([[point.q05, point.worst_glue_line, point.q95] for point in result.curve], unit)
    ax.fill_between(depths, lines[:, 0], lines[:, 2], label=words.IN_MOST_CUTS, **LOOKS["band"])
    ax.plot(depths, lines[:, 1], label=words.WORST_TO_EXPECT, **LOOKS["fit"])
    ax.axhline(float(in_unit(asked.within, unit)), label=words.GOOD_ENOUGH, **LOOKS["asked"])
    at = float(in_unit(result.start_depth, unit))
    look = LOOKS["advice"]
    ax.axvline(at, color=look["color"], linewidth=look["linewidth"])
    here = float(in_unit(result.worst_glue_line.expected, unit))
    at_bend = result.bend is not None and abs(result.bend - result.start_depth) < SAME
    told = words.GO_BY_AT_BEND if at_bend else words.GO_BY
    ax.plot([at], [here], label=told, **{**look, "linestyle": "none"})
    low, high = asked.span
    depth = units.format_length(result.start_depth, unit)
    top = 1.05 * float(max(lines[:, 2].max(), in_unit(1.3 * asked.within, unit)))
    note(ax, at, top, depth, shift=(-5, -2), ha="right", va="top", fontweight="bold")
    if result.bend is not None and not at_bend and low < result.bend < high:
        bend = float(in_unit(result.bend, unit))
        ax.axvline(bend, color=GREY, linewidth=1.0, linestyle=":", label=words.OPENS_FROM)
    if result.limit is not None and result.limit < high - 1e-6:
        limit = float(in_unit(result.limit, unit))
        ax.axvline(limit, color=GREY, linewidth=1.4, linestyle="-.", label=words.limit(asked.chance))
    ax.set_xlim(*in_unit([low, high + 0.02 * (high - low)], unit))
    ax.set_ylim(0, top)
    label_axes(ax, across=with_unit(words.START_DEPTH, unit), up=with_unit(words.WORST, unit))
    legend_below(figure_of(ax), columns=2)
    return Picture(figure=figure_of(ax), axes=ax, alt=words.worst_line_alt(result, unit))
