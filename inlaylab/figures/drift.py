"""Wear as the log shows it: each bit's tip flat when it was new to the log, and now."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.figures.style import (
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
from inlaylab.wording.figures import log as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.fitting.review.wear import Drift


@styled
def drift(result: Drift, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw each bit's tip flat before its first cut in the log and after its last.

    Parameters
    ----------
    result : fitting.review.wear.Drift
        Wear of a shop's bits.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    ax = axes_for(ax, width=6.2, height=1.3 + 0.6 * max(1, len(result.bits)))
    for row, bit in enumerate(result.bits):
        for shift, spread, look in ((0.13, bit.flat_new, "closed"), (-0.13, bit.flat_now, "reading")):
            low, middle, high = (float(in_unit(spread[key], unit)) for key in ("q05", "q50", "q95"))
            line = {"color": LOOKS["fit"]["color"], "linewidth": 3, "linestyle": ":" if look == "closed" else "-"}
            ax.plot([low, high], [shift - row] * 2, **line)
            label = {"closed": words.BEFORE, "reading": words.NOW}[look] if row == 0 else None
            ax.plot([middle], [shift - row], label=label, **LOOKS[look])
        cuts = words.name_and_cuts(bit.bit, bit.cuts)
        note(ax, float(in_unit(bit.flat_now["q50"], unit)), 0.22 - row, cuts, ha="center", va="bottom", fontsize=9)
    ax.set_ylim(-len(result.bits) + 0.4, 0.75)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    ax.margins(x=0.2)
    label_axes(ax, across=with_unit(words.TIP_FLAT, unit), up="")
    legend_below(figure_of(ax), columns=2)
    return Picture(figure=figure_of(ax), axes=ax, alt=words.drift_alt(result, unit))
