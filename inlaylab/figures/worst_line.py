"""The worst glue line against start depth: level up to a bend, then rising; with the start depth to go by."""

from __future__ import annotations

from typing import Any

from inlaylab import units
from inlaylab.figures.style import (
    GREY,
    LOOKS,
    Picture,
    axes_for,
    in_unit,
    label_axes,
    legend_below,
    note,
    styled,
    with_unit,
)
from inlaylab.wording.chances import percent
from inlaylab.wording.lengths import fine

SAME = 0.01
"""Marks closer than this are drawn as one. [mm]"""


@styled
def worst_line(result: Any, *, unit: str = "mm", ax: Any = None) -> Picture:
    """
    Draw the worst glue line to expect against the start depth.

    Parameters
    ----------
    result : fitting.advice.start_depth.Advice
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
    ax.fill_between(depths, lines[:, 0], lines[:, 2], label="90 % of cuts", **LOOKS["band"])
    ax.plot(depths, lines[:, 1], label="worst line to expect", **LOOKS["fit"])
    ax.axhline(float(in_unit(asked.within, unit)), label="good enough", **LOOKS["asked"])
    at = float(in_unit(result.start_depth, unit))
    look = LOOKS["advice"]
    ax.axvline(at, color=look["color"], linewidth=look["linewidth"])
    here = float(in_unit(result.worst_glue_line.expected, unit))
    at_bend = result.bend is not None and abs(result.bend - result.start_depth) < SAME
    words = "start depth to go by" + (", at the bend" if at_bend else "")
    ax.plot([at], [here], label=words, **{**look, "linestyle": "none"})
    low, high = asked.span
    told = units.format_length(result.start_depth, unit)
    top = 1.05 * float(max(lines[:, 2].max(), in_unit(1.3 * asked.within, unit)))
    note(ax, at, top, told, shift=(-5, -2), ha="right", va="top", fontweight="bold")
    if result.bend is not None and not at_bend and low < result.bend < high:
        bend = float(in_unit(result.bend, unit))
        ax.axvline(bend, color=GREY, linewidth=1.0, linestyle=":", label="bend: 1 cut in 20 opens from here")
    if result.limit is not None and result.limit < high - 1e-6:
        limit = float(in_unit(result.limit, unit))
        ax.axvline(limit, color=GREY, linewidth=1.4, linestyle="-.", label=f"limit: {percent(asked.chance)} good")
    ax.set_xlim(*in_unit([low, high + 0.02 * (high - low)], unit))
    ax.set_ylim(0, top)
    label_axes(ax, across=with_unit("start depth", unit), up=with_unit("worst glue line, per side", unit))
    legend_below(ax.figure, columns=2)
    return Picture(figure=ax.figure, axes=ax, alt=_words(result, unit))


def _words(result: Any, unit: str) -> str:
    def told(length: float) -> str:
        return str(units.format_length(length, unit))

    worst, last = result.worst_glue_line, result.curve[-1]
    said = [
        f"Worst glue line against start depth: about {fine(result.curve[0].worst_glue_line, unit)} at "
        f"{told(result.curve[0].start_depth)} and {fine(last.worst_glue_line, unit)} at {told(last.start_depth)}.",
        f"The start depth to go by is {told(result.start_depth)}: {fine(worst.expected, unit)} there, from "
        f"{fine(worst.q05, unit)} to {fine(worst.q95, unit)} in 90 % of cuts.",
    ]
    if not result.matters:
        said.append("Start depth does not matter for these strokes.")
    if result.limit is None:
        said.append(f"No start depth has the chance of {percent(result.question.chance)} that was asked for.")
    else:
        said.append(f"The limit is {told(result.limit)}.")
    return " ".join(said)
