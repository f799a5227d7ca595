"""Every reading against what the fit expected of it, cut by cut, with the suspects named."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.figures.style import GROUPS, LOOKS, Picture, axes_for, figure_of, label_axes, legend_below, note, styled
from inlaylab.fitting.review.residuals import Residual
from inlaylab.wording.figures import log as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: Kinds that share a mark, so that there are at most four.
_FAMILIES = {
    "glue line": ("glue_line",),
    "gaps": ("backer_gap", "floor_gap"),
    "depths": ("pocket_depth", "plug_depth"),
    "wedge": ("wedge_stop",),
}
_RIM = 6.0


@styled
def residuals(result: tuple[Residual, ...], *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw readings less expectations, in standard deviations, cut by cut.

    Parameters
    ----------
    result : tuple of Residual
        In any order; cuts are drawn in the order in which they first come.
    unit : str
        Not used: standard deviations have none.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    ax = axes_for(ax, width=6.4, height=3.8)
    cuts = sorted({residual.cut for residual in result})
    place = {cut: number for number, cut in enumerate(cuts)}
    ax.axhspan(-2, 2, label=words.USUAL, **LOOKS["wide band"])
    for look, (family, kinds) in zip(GROUPS, _FAMILIES.items(), strict=True):
        mine = [r for r in result if r.kind in kinds and not r.suspect]
        if mine:
            spots = {"color": look["color"], "marker": look["marker"], "linestyle": "none", "markersize": 4.5}
            ax.plot([place[r.cut] for r in mine], [_held(r.off) for r in mine], label=family, **spots)
    doubted = [r for r in result if r.suspect]
    if doubted:
        ax.plot([place[r.cut] for r in doubted], [_held(r.off) for r in doubted], label="suspect", **LOOKS["suspect"])
    for residual in doubted:
        name = words.residual_name(residual)
        note(ax, place[residual.cut], _held(residual.off), name, shift=(7, -3), fontsize=8)
    ax.set_ylim(-_RIM - 0.8, _RIM + 0.8)
    ax.set_xticks(range(len(cuts)), labels=cuts, rotation=90, fontsize=8, parse_math=False)
    label_axes(ax, across="cut", up=words.UNUSUAL)
    legend_below(figure_of(ax), columns=3)
    return Picture(figure=figure_of(ax), axes=ax, alt=words.residuals_alt(result))


def _held(off: float) -> float:
    """Draw what is far off at the rim."""
    return max(-_RIM, min(_RIM, off))
