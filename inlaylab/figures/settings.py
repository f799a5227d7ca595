"""What turning the settings would gain: the expected worst glue line, turn by turn."""

from __future__ import annotations

from typing import Any

from inlaylab import units
from inlaylab.figures.style import LOOKS, Picture, axes_for, in_unit, label_axes, note, styled, with_unit
from inlaylab.wording.chances import percent
from inlaylab.wording.lengths import fine


@styled
def settings(result: Any, *, unit: str = "mm", ax: Any = None) -> Picture:
    """
    Draw the expected worst glue line with the settings as they are and as they could be turned.

    Parameters
    ----------
    result : fitting.advice.start_depth.Advice
        Its `settings` are drawn.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    ways = result.settings
    shown = [("now", f"start depth alone: {units.format_length(ways.now.start_depth, unit)}", ways.now)]
    if ways.kept is not None and ways.kept.worst_glue_line > ways.now.worst_glue_line:
        kept = f"your last floor gap: start depth {units.format_length(ways.kept.start_depth, unit)}"
        shown.insert(0, ("now", kept, ways.kept))
    if ways.turned != ways.now:
        shown.append(("turned", f"tightest: {_named(ways.turned, unit)}", ways.turned))
    ax = axes_for(ax, height=1.4 + 0.5 * len(shown))
    told = []
    for row, (look, words, each) in enumerate(shown):
        worst = float(in_unit(each.worst_glue_line, unit))
        ax.barh([-row], [worst], height=0.36, **LOOKS[look])
        note(ax, 0, -row + 0.21, words, shift=(1, 1), va="bottom", fontsize=9)
        size = f"{fine(each.worst_glue_line, unit)}, {percent(each.chance)} good"
        note(ax, worst, -row, size, shift=(6, 0), va="center", fontweight="bold")
        told.append(f"{words}, worst glue line {size}")
    ax.set_ylim(-len(shown) + 0.55, 0.8)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    ax.set_xlim(0, 1.45 * max(float(in_unit(each.worst_glue_line, unit)) for _, _, each in shown) or None)
    label_axes(ax, across=with_unit("expected worst glue line, per side", unit), up="")
    if ways.turned == ways.now:
        ax.set_title("Turning path angle, outline offset or relief depth gains less than you can see", fontsize=10)
        told.append("turning path angle, outline offset or relief depth gains less than you can see")
    return Picture(figure=ax.figure, axes=ax, alt="Settings: " + "; ".join(told) + ".")


def _named(each: Any, unit: str) -> str:
    named = [f"path angle {each.path_angle_deg:.1f}°", f"start depth {units.format_length(each.start_depth, unit)}"]
    if each.outline_offset:
        named.append(f"outline offset {units.format_length(each.outline_offset, unit)}")
    return ", ".join([*named, f"relief depth {units.format_length(each.relief_depth, unit)}"])
