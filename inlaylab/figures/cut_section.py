"""A section through a virtual cut along any line: host and plug as they mate, hatched differently."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab import units
from inlaylab.artwork.cutting.cut_section import CutSection
from inlaylab.figures.style import (
    GREY,
    INK,
    LOOKS,
    Picture,
    figure_of,
    in_unit,
    legend_below,
    new_axes,
    styled,
    with_unit,
)
from inlaylab.wording.figures import sections as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes


@styled
def cut_section(result: CutSection, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw host below and plug above, with the face that sanding leaves.

    Parameters
    ----------
    result : CutSection
        Both surfaces along the line.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    along, pocket, plug = (in_unit(values, unit) for values in (result.along, result.pocket, result.plug))
    scale = units.UNITS[unit]
    deepest, highest = float(pocket.max()) + 1.0 / scale, float(plug.min()) - 1.0 / scale
    if ax is None:
        tall = 1.2 + 6.2 * result.exaggeration * (deepest - highest) / max(float(along[-1]), 1e-9)
        ax = new_axes(width=7.0, height=min(6.0, max(2.0, tall)), to_scale=1.2)
    ax.fill_between(along, pocket, deepest, label="host", **LOOKS["host"])
    ax.fill_between(along, plug, highest, label="insert", **LOOKS["insert"])
    ax.axhline(0.0, color=INK, linewidth=0.8, linestyle=":", label=words.FACE)
    if result.sanded_off > 0:
        ax.axhline(result.sanded_off / scale, color=GREY, linewidth=1.2, linestyle="--", label=words.FINISHED_FACE)
    ax.set_xlim(0.0, float(along[-1]))
    ax.set_ylim(deepest, highest)
    ax.set_aspect(result.exaggeration)
    ax.grid(False)
    ax.set_xlabel(with_unit(words.ALONG_LINE, unit))
    ax.set_ylabel(with_unit("depth", unit))
    ax.set_title(words.cut_section_title(result))
    legend_below(figure_of(ax), columns=4)
    return Picture(figure=figure_of(ax), axes=ax, alt=words.cut_section_alt(result, unit))
