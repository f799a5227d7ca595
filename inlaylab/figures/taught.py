"""What each past cut taught: how far the advice moved with it, and what held its plug up."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inlaylab.figures.style import (
    BLUE,
    INK,
    PALE,
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
from inlaylab.wording.figures import log as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.fitting.review.influence import Taught

#: At most so many cuts are drawn, those that moved the advice most.
MOST = 14
#: At most so many of them are told in words.
MOST_TOLD = 8


@styled
def taught(result: Taught, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw how far each cut moved the advice, the largest moves first.

    Parameters
    ----------
    result : fitting.review.influence.Taught
        What the cuts of a log taught about one question.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    from matplotlib.patches import Patch

    cuts = result.by_weight[:MOST]
    ax = axes_for(ax, width=6.4, height=1.7 + 0.3 * max(1, len(cuts)))
    for row, cut in enumerate(cuts):
        moved = float(in_unit(cut.moved, unit))
        look: dict[str, Any] = {"facecolor": BLUE} if cut.trusted else {"facecolor": PALE, "hatch": "///"}
        ax.barh([-row], [moved], height=0.6, edgecolor=INK, linewidth=0.6, **look)
        name = f"{cut.cut}: {words.held_up(cut)}"
        left = moved > 0
        note(ax, 0.0, -row, name, shift=(-5 if left else 5, 0), ha="right" if left else "left", va="center", fontsize=8)
    ax.axvline(0.0, color=INK, linewidth=0.8)
    widest = max((abs(float(in_unit(cut.moved, unit))) for cut in cuts), default=1.0) or 1.0
    ax.set_xlim(-1.5 * widest, 1.5 * widest)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    label_axes(ax, across=with_unit(words.MOVED_BY, unit), up="")
    marks = [Patch(label=words.SURE, facecolor=BLUE, edgecolor=INK)]
    if any(not cut.trusted for cut in cuts):
        marks.append(Patch(label=words.GUESS, facecolor=PALE, edgecolor=INK, hatch="///"))
    legend_below(figure_of(ax), columns=2, handles=marks)
    return Picture(figure=figure_of(ax), axes=ax, alt=words.taught_alt(result, unit, most=MOST_TOLD))
