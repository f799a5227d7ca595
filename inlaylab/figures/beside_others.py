"""Your shop beside the others: where it lies in their spread."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from inlaylab.figures.style import (
    INK,
    LOOKS,
    PALE,
    Picture,
    figure_of,
    in_unit,
    legend_below,
    new_axes,
    note,
    styled,
    with_unit,
)
from inlaylab.wording.figures import log as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.fitting.review.beside_others import Beside

NAME_WIDTH = 12
"""Letters of 9 points to an inch of picture, with room to spare."""


@styled
def beside_others(result: Beside, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw each quantity of a shop over the range that 9 of 10 shops lie in.

    Parameters
    ----------
    result : fitting.review.beside_others.Beside
        Where the shop lies.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    ax = new_axes(width=6.0, height=1.5 + 0.62 * len(result.places)) if ax is None else ax
    for number, place in enumerate(result.places):
        low, middle, high = in_unit(place.others, unit)
        ax.barh(-number, high - low, left=low, height=0.42, facecolor=PALE, edgecolor="#8c8c8c", hatch="//", zorder=1)
        ax.plot([middle, middle], [-number - 0.21, -number + 0.21], color=INK, linewidth=1.2, linestyle="--", zorder=2)
        first, own, last = in_unit(place.own, unit)
        ax.plot([first, last], [-number, -number], color=LOOKS["fit"]["color"], linewidth=4, zorder=3)
        ax.plot([own], [-number], **{**LOOKS["advice"], "linestyle": "none"}, zorder=4)
        name = fill(place.meaning, max(20, int(NAME_WIDTH * figure_of(ax).get_figwidth())))
        across = ax.get_yaxis_transform()
        note(ax, 0.0, -number + 0.25, name, xycoords=across, ha="left", va="bottom", fontsize=9)
    _key(ax)
    ax.use_sticky_edges = False
    ax.margins(x=0.04)
    ax.set_ylim(-len(result.places) + 0.5, 0.85)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    ax.set_xlabel(with_unit("size", unit))
    legend_below(figure_of(ax), columns=2)
    return Picture(figure=figure_of(ax), axes=ax, alt=words.beside_others_alt(result, unit))


def _key(ax: Axes) -> None:
    """Name the marks once, without drawing them."""
    ax.fill_between([], [], facecolor=PALE, edgecolor="#8c8c8c", hatch="//", label=words.OTHERS)
    ax.plot([], [], color=INK, linewidth=1.2, linestyle="--", label=words.OTHERS_MIDDLE)
    ax.plot([], [], color=LOOKS["fit"]["color"], linewidth=4, label=words.OWN)
    ax.plot([], [], **{**LOOKS["advice"], "linestyle": "none"}, label=words.OWN_MIDDLE)
