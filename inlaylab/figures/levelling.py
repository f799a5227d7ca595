"""The stack above the host's face while the backer is cut away."""

from __future__ import annotations

from typing import Any

from inlaylab import units
from inlaylab.figures.style import INK, LOOKS, Picture, axes_for, in_unit, label_axes, note, styled, with_unit


@styled
def levelling(result: Any, *, unit: str = "mm", ax: Any = None) -> Picture:
    """
    Draw backer, passes and what is left proud above the host's face.

    Parameters
    ----------
    result : models.levelling.Stack
        The heights.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture

    Notes
    -----
    Heights are to scale, widths are not.
    """
    from matplotlib.patches import Rectangle

    ax = axes_for(ax, height=4.2)
    scale = 1 / float(units.UNITS[unit])
    bottom = -0.25 * result.retract * scale
    ax.add_patch(Rectangle((0, bottom), 10, -bottom, **LOOKS["host"]))
    top, under = result.backer_top * scale, result.backer_bottom * scale
    ax.add_patch(Rectangle((2, under), 6, top - under, **LOOKS["insert"]))
    ax.add_patch(Rectangle((4, bottom / 2), 2, under - bottom / 2, **LOOKS["insert"]))
    for height in in_unit(result.passes, unit):
        ax.plot([1.2, 8.8], [height, height], color=INK, linewidth=0.9, linestyle=":")
    lines = [
        (result.retract, "retract: where the machine stands"),
        (result.backer_top, "back of the insert"),
        (result.left_proud, f"last pass: {units.format_length(result.left_proud, unit)} left proud"),
        (0.0, "host's face"),
    ]
    for height, words in lines:
        ax.plot([0, 10], [height * scale] * 2, color=INK, linewidth=0.8)
        where = "top" if height == 0.0 else "bottom"
        note(ax, 10.2, height * scale, words, va=where, fontsize=9)
    ax.set_xlim(0, 19)
    ax.set_ylim(bottom, result.retract * scale * 1.08)
    ax.set_xticks([])
    ax.grid(False)
    label_axes(ax, across="", up=with_unit("height above the host's face", unit))
    reach = (
        f"pass {result.reaches_face} would reach the host's face" if result.reaches_face else "no pass reaches the host"
    )
    alt = (
        f"Stack from the host's face up: {units.format_length(result.left_proud, unit)} left proud after "
        f"{len(result.passes)} passes, back of the insert at {units.format_length(result.backer_top, unit)}, "
        f"retract at {units.format_length(result.retract, unit)}; {reach}."
    )
    return Picture(figure=ax.figure, axes=ax, alt=alt)
