"""Chance of good glue lines against start depth, with the advice on it."""

from __future__ import annotations

from typing import Any

from inlaylab import units
from inlaylab.figures.style import LOOKS, Picture, axes_for, in_unit, label_axes, legend_below, note, styled, with_unit


@styled
def chance_curve(result: Any, *, unit: str = "mm", ax: Any = None, asked: float | None = None) -> Picture:
    """
    Draw the chance that every glue line is within the limit, against the start depth.

    Parameters
    ----------
    result : fitting.advice.start_depth.Advice
        Its `curve`, `start_depth`, `low`, `high` and `chance` are drawn.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.
    asked : float, optional
        The chance that the maker asked for.

    Returns
    -------
    picture : Picture
    """
    ax = axes_for(ax)
    depths = in_unit([_pair(point)[0] for point in result.curve], unit)
    chances = [100 * _pair(point)[1] for point in result.curve]
    ax.plot(depths, chances, label="chance by the fit", **LOOKS["fit"])
    if asked is not None:
        ax.axhline(100 * asked, label=f"asked for: {100 * asked:.0f} %", **LOOKS["asked"])
    if result.low is not None and result.high is not None:
        low, high = in_unit([result.low, result.high], unit)
        ax.axvspan(low, high, label="likely range: more cuts will narrow it", **LOOKS["band"])
    if result.start_depth is not None:
        at = float(in_unit(result.start_depth, unit))
        look = {**LOOKS["advice"], "linestyle": "none"}
        ax.axvline(at, color=look["color"], linewidth=LOOKS["advice"]["linewidth"])
        ax.plot([at], [100 * result.chance], label="advice", **look)
        words = units.format_length(result.start_depth, unit)
        note(ax, at, 3, words, shift=(-5, 0), ha="right", va="bottom", fontweight="bold")
    ax.set_ylim(0, 103)
    label_axes(ax, across=with_unit("start depth", unit), up="chance of good glue lines [%]")
    legend_below(ax.figure, columns=2)
    return Picture(figure=ax.figure, axes=ax, alt=_words(result, unit, asked))


def _pair(point: Any) -> tuple[float, float]:
    if isinstance(point, dict):
        return point["start_depth"], point["chance"]
    return point[0], point[1]


def _words(result: Any, unit: str, asked: float | None) -> str:
    said = ["Chance of good glue lines against start depth:"]
    if result.start_depth is None:
        best = max((_pair(point)[1] for point in result.curve), default=0.0)
        said.append(f"no depth meets the target; the best chance is {100 * best:.0f} %.")
    else:
        between = ""
        if result.low is not None and result.high is not None:
            low, high = (units.format_length(end, unit) for end in (result.low, result.high))
            between = f", between {low} and {high},"
        depth = units.format_length(result.start_depth, unit)
        said.append(
            f"level up to a bend, then falling. The advice is {depth}{between} with {100 * result.chance:.0f} %."
        )
    if asked is not None:
        said.append(f"{100 * asked:.0f} % was asked for.")
    return " ".join(said)
