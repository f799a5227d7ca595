"""The worst glue line of one cut against start depth: level up to its bend, then rising."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

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
    styled,
    with_unit,
)
from inlaylab.wording.figures import answers as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.services.by_hand.turned_by_hand import Bend


@styled
def bend(result: Bend, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw the worst glue line of one cut at every start depth, with its bend and where the start depth stands now.

    Parameters
    ----------
    result : services.by_hand.turned_by_hand.Bend
        The curve and its marks.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    ax = axes_for(ax, height=3.4)
    depths, lines = in_unit(result.start_depths, unit), in_unit(result.worst_lines, unit)
    ax.plot(depths, lines, label=words.OF_THIS_CUT, **LOOKS["fit"])
    if math.isfinite(result.bend) and depths[0] < in_unit(result.bend, unit) < depths[-1]:
        at = float(in_unit(result.bend, unit))
        told = words.bend_at(result.bend, unit)
        ax.axvline(at, color=INK, linewidth=1.2, linestyle=":", label=told)
    pocket = float(in_unit(result.pocket_depth, unit))
    ax.axvline(pocket, color=GREY, linewidth=1.2, linestyle="-.", label=words.POCKET_DEPTH)
    here = {**LOOKS["advice"], "linestyle": "none", "clip_on": False, "zorder": 5}
    told = words.now_at(result.start_depth, unit)
    ax.plot([float(in_unit(result.start_depth, unit))], [float(in_unit(result.here, unit))], label=told, **here)
    ax.set_ylim(0, 1.1 * float(max(lines.max(), in_unit(0.1, unit))))
    ax.set_xlim(depths[0], depths[-1])
    label_axes(ax, across=with_unit(words.START_DEPTH, unit), up=with_unit(words.WORST, unit))
    legend_below(figure_of(ax), columns=2)
    alt = words.bend_alt(result, unit)
    return Picture(figure=figure_of(ax), axes=ax, alt=alt)
