"""Wear as the log shows it: each bit's tip flat when it was new to the log, and now."""

from __future__ import annotations

from typing import Any

from inlaylab.figures.style import LOOKS, Picture, axes_for, in_unit, label_axes, legend_below, note, styled, with_unit
from inlaylab.wording.lengths import fine


@styled
def drift(result: Any, *, unit: str = "mm", ax: Any = None) -> Picture:
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
            label = {"closed": "before its first cut here", "reading": "now"}[look] if row == 0 else None
            ax.plot([middle], [shift - row], label=label, **LOOKS[look])
        cuts = f"{bit.bit} ({bit.cuts} cut" + ("s)" if bit.cuts != 1 else ")")
        note(ax, float(in_unit(bit.flat_now["q50"], unit)), 0.22 - row, cuts, ha="center", va="bottom", fontsize=9)
    ax.set_ylim(-len(result.bits) + 0.4, 0.75)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    ax.margins(x=0.2)
    label_axes(ax, across=with_unit("tip flat", unit), up="")
    legend_below(ax.figure, columns=2)
    told = "; ".join(
        f"{bit.bit} from {fine(bit.flat_new['q50'], unit)} to {fine(bit.flat_now['q50'], unit)}" for bit in result.bits
    )
    return Picture(figure=ax.figure, axes=ax, alt=f"Tip flats before the first cut in the log and now: {told}.")
