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
    result : fitting.advice.Advice
        Its `settings` are drawn: `now` and `turned`, each with path angle, outline offset and worst glue line.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    ax = axes_for(ax, height=2.0)
    told = []
    for row, name in enumerate(("now", "turned")):
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
    ax.set_ylim(-1.4, 0.75)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    ax.margins(x=0.2)
    ax.set_xlim(left=0)
    label_axes(ax, across=with_unit("expected worst glue line, per side", unit), up="")
    return Picture(figure=ax.figure, axes=ax, alt="Settings: " + "; ".join(told) + ".")
