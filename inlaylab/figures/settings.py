"""What turning the path angle and the outline offset would gain."""

from __future__ import annotations

from typing import Any

from inlaylab import units
from inlaylab.figures.style import LOOKS, Picture, axes_for, in_unit, label_axes, note, styled, with_unit


@styled
def settings(result: Any, *, unit: str = "mm", ax: Any = None) -> Picture:
    """
    Draw the expected worst glue line with the settings as they are and as they could be turned.

    Parameters
    ----------
    result : fitting.advice.start_depth.Advice
        Its `settings` are drawn: `now` and `turned`, each with path angle, outline offset and worst glue line.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    now, turned = result.settings["now"], result.settings["turned"]
    names = ("now",) if turned == now else ("now", "turned")
    ax = axes_for(ax, height=1.3 + 0.4 * len(names))
    told = []
    for row, name in enumerate(names):
        each = result.settings[name]
        worst = each.worst_glue_line
        words = (
            f"{name}: path angle {each.path_angle_deg:.1f}°, "
            f"outline offset {units.format_length(each.outline_offset, unit)}"
        )
        known = worst is not None
        ax.barh([-row], [float(in_unit(worst, unit)) if known else 0.0], height=0.42, **LOOKS[name])
        note(ax, 0, -row + 0.27, words, va="bottom", fontsize=9)
        length = units.format_length(worst, unit) if known else "not known"
        note(
            ax,
            float(in_unit(worst, unit)) if known else 0.0,
            -row,
            length,
            shift=(6, 0),
            va="center",
            fontweight="bold",
        )
        told.append(f"{words}, worst glue line {length}")
    ax.set_ylim(-len(names) + 0.6, 0.75)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    ax.margins(x=0.2)
    ax.set_xlim(left=0)
    label_axes(ax, across=with_unit("expected worst glue line, per side", unit), up="")
    if len(names) == 1:
        ax.set_title("Turning path angle or outline offset gains less than you could see", loc="left", fontsize=10)
        told.append("turning them gains less than can be seen")
    return Picture(figure=ax.figure, axes=ax, alt="Settings: " + "; ".join(told) + ".")
