"""Filled share against finished stroke width, along and across the grain."""

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
    styled,
    with_unit,
)
from inlaylab.wording.figures import log as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.fitting.predict.fills import FillCurve


@styled
def fill_share(result: FillCurve, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw the chance that a stroke fills against its finished width, with what was seen.

    Parameters
    ----------
    result : fitting.predict.fills.FillCurve
        Chances of one insert species.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    ax = axes_for(ax, height=3.2)
    widths = in_unit(result.widths, unit)
    for grain, curve, shift in (("along", result.along, 1.5), ("across", result.across, -1.5)):
        look = LOOKS[grain]
        ax.fill_between(widths, 100 * curve[:, 0], 100 * curve[:, 2], color=look["color"], alpha=0.12, linewidth=0)
        ax.plot(
            widths, 100 * curve[:, 1], color=look["color"], linestyle=look["linestyle"], label=words.with_grain(grain)
        )
        seen = [(width, state) for width, where, state in result.seen if where == grain]
        if seen:
            spots = {"color": look["color"], "marker": look["marker"], "markersize": 5, "alpha": 0.6}
            x, y = in_unit([s[0] for s in seen], unit), [100 * s[1] + shift for s in seen]
            ax.plot(x, y, linestyle="none", label=words.seen(grain), **spots)
    ax.set_ylim(-6, 106)
    ax.set_xlim(left=0, right=float(widths[-1]))
    label_axes(ax, across=with_unit(words.FINISHED_WIDTH, unit), up=words.FILLS, title=result.insert)
    legend_below(figure_of(ax), columns=2)
    return Picture(figure=figure_of(ax), axes=ax, alt=words.fill_share_alt(result, unit))
