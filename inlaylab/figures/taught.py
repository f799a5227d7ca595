"""What each past cut taught: how far the advice moved with it, and what held its plug up."""

from __future__ import annotations

from typing import Any

from inlaylab.figures.style import (
    BLUE,
    INK,
    PALE,
    Picture,
    axes_for,
    in_unit,
    label_axes,
    legend_below,
    note,
    styled,
    with_unit,
)
from inlaylab.wording.lengths import fine

#: At most so many cuts are drawn, those that moved the advice most.
MOST = 14
#: Moves are told finer than they could be set: small moves of many cuts are the rule.


@styled
def taught(result: Any, *, unit: str = "mm", ax: Any = None) -> Picture:
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
    told = []
    for row, cut in enumerate(cuts):
        moved = float(in_unit(cut.moved, unit))
        look = {"facecolor": BLUE} if cut.trusted else {"facecolor": PALE, "hatch": "///"}
        ax.barh([-row], [moved], height=0.6, edgecolor=INK, linewidth=0.6, **look)
        words = f"{cut.cut}: held up by {cut.held_up_by}" + ("" if cut.trusted else ", a guess")
        left = moved > 0
        note(
            ax, 0.0, -row, words, shift=(-5 if left else 5, 0), ha="right" if left else "left", va="center", fontsize=8
        )
        far = fine(cut.moved, unit)
        told.append(f"{cut.cut} moved it by {far} ({words.split(': ')[1]})")
    ax.axvline(0.0, color=INK, linewidth=0.8)
    widest = max((abs(float(in_unit(cut.moved, unit))) for cut in cuts), default=1.0) or 1.0
    ax.set_xlim(-1.5 * widest, 1.5 * widest)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    label_axes(ax, across=with_unit("the advice moved deeper by", unit), up="")
    marks = [Patch(label="sure of what held it up", facecolor=BLUE, edgecolor=INK)]
    if any(not cut.trusted for cut in cuts):
        marks.append(Patch(label="a guess", facecolor=PALE, edgecolor=INK, hatch="///"))
    legend_below(ax.figure, columns=2, handles=marks)
    alt = f"What each cut taught about {result.question.bit} on {result.question.pair}. " + "; ".join(told[:8]) + "."
    return Picture(figure=ax.figure, axes=ax, alt=alt)
