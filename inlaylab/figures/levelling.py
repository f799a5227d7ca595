"""The stack above the host's face while the backer is cut away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab import units
from inlaylab.figures.style import (
    GREY,
    INK,
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
from inlaylab.wording.figures import around as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.models.levelling import Stack


@styled
def levelling(result: Stack, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
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
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    scale = 1 / float(units.UNITS[unit])
    ax = axes_for(ax, width=6.6, height=4.6)
    bottom = 1.35 * result.plug_nose * scale
    _draw_wood(ax, result, bottom, scale)
    for height in in_unit(result.passes[:-1], unit):
        ax.plot([0.6, 9.4], [height, height], color=INK, linewidth=0.9, linestyle=":")
    told = words.levelling_heights(result, unit)
    for height, _ in told:
        ax.plot([0, 10], [height * scale] * 2, color=INK, linewidth=0.8)
    top = max(result.retract, result.backer_top) * scale
    ax.set_ylim(bottom, bottom + 1.04 * (top - bottom))
    _write(ax, [(height * scale, name) for height, name in told])
    ax.set_xlim(0, 10 + 1.05 * _WORDS_WIDE * 10 / max(0.5, figure_of(ax).get_figwidth() - 0.8 - _WORDS_WIDE))
    ax.set_xticks([])
    ax.grid(False)
    ax.spines["bottom"].set_visible(False)
    label_axes(ax, across="", up=with_unit(words.HEIGHT, unit))
    handles = [
        Patch(label="host", **LOOKS["host"]),
        Patch(label=words.INSERT, **LOOKS["insert"]),
        Line2D([], [], label=words.PASSES, color=INK, linewidth=0.9, linestyle=":"),
    ]
    legend_below(figure_of(ax), columns=3, handles=handles)
    return Picture(figure=figure_of(ax), axes=ax, alt=words.levelling_alt(result, unit))


_WORDS_WIDE = 2.3  # room for the names of the heights [in]


def _draw_wood(ax: Axes, result: Stack, bottom: float, scale: float) -> None:
    """Draw host and insert; the plug narrows downwards as a V-bit cuts it, and lies in a pocket of the same shape."""
    from matplotlib.patches import Polygon

    nose, under, top = (h * scale for h in (result.plug_nose, result.backer_bottom, result.backer_top))
    slope = 1.5 / (under - nose)  # of a wall, in the picture's own widths

    def half(height: float) -> float:
        return 0.9 + slope * (height - nose)

    floor = 1.12 * nose
    pocket = [(5 - half(0), 0.0), (5 - half(floor), floor), (5 + half(floor), floor), (5 + half(0), 0.0)]
    ax.add_patch(Polygon([(0, 0), *pocket, (10, 0), (10, bottom), (0, bottom)], **LOOKS["host"]))
    plug = [(5 + half(under), under), (5 + half(nose), nose), (5 - half(nose), nose), (5 - half(under), under)]
    ax.add_patch(Polygon([(1.5, under), (1.5, top), (8.5, top), (8.5, under), *plug], **LOOKS["insert"]))


def _write(ax: Axes, lines: list[tuple[float, str]]) -> None:
    """Write the words beside their heights, apart where heights lie close together."""
    low, high = ax.get_ylim()
    apart = (high - low) * 0.19 / (0.75 * figure_of(ax).get_figheight())
    at = high + apart
    places = []
    for height, _ in lines:
        at = min(height, at - apart)
        places.append(at)
    lowest = low + 0.4 * apart
    for number in range(len(places) - 1, -1, -1):
        places[number] = max(places[number], lowest)
        lowest = places[number] + apart
    for (height, name), place in zip(lines, places, strict=True):
        ax.plot([10, 10.5], [height, place], color=GREY, linewidth=0.7)
        note(ax, 10.6, place, name, va="center", fontsize=9)
