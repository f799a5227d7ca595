"""A coupon as it will be cut: strokes, labels, blank, at scale."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab import units
from inlaylab.figures.style import (
    BLUE,
    GREY,
    INK,
    LOOKS,
    Picture,
    axes_for,
    figure_of,
    label_axes,
    note,
    styled,
    with_unit,
)
from inlaylab.wording.figures import coupons as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from shapely import LinearRing, Polygon

    from inlaylab.artwork.sheets.coupon import CouponPlan


@styled
def coupon_drawing(result: CouponPlan, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw the host of a coupon.

    Parameters
    ----------
    result : artwork.sheets.coupon.CouponPlan
        The coupon.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture

    Notes
    -----
    To scale on the screen, not at true size: the files are.
    """
    from matplotlib.patches import Circle, PathPatch, Polygon, Rectangle
    from matplotlib.path import Path

    ax = axes_for(ax, width=7.0, height=7.0 * result.width / result.length + 0.7, to_scale=0.7)
    scale = 1 / float(units.UNITS[unit])
    ax.add_patch(Rectangle((0, 0), result.length * scale, result.width * scale, **{**LOOKS["host"], "hatch": None}))
    for shapes, look in (
        (result.strokes, {**LOOKS["insert"], "hatch": None}),
        (result.marks, {"facecolor": BLUE, "edgecolor": "none"}),
    ):
        for part in shapes.geoms:
            rings = [Path([(x * scale, y * scale) for x, y in ring.coords], closed=True) for ring in _rings(part)]
            ax.add_patch(PathPatch(Path.make_compound_path(*rings), **look))
    layout = result.layout
    for dot in layout.dots if layout is not None else ():
        ax.add_patch(Circle((dot.x * scale, dot.y * scale), dot.diameter / 2 * scale, fc=INK, ec="none"))
    if layout is not None and layout.groove is not None:
        corners = [(x * scale, y * scale) for x, y in layout.groove.exterior]
        ax.add_patch(Polygon(corners, fc=GREY, ec=INK, hatch="///", lw=0.8))
        note(ax, *min(corners), words.GLUE_ALONE, fontsize=8, shift=(-4, 0), ha="right", color=INK)
    ax.annotate(
        "",
        xy=(result.length * scale * 0.3, result.width * scale * 0.96),
        xytext=(result.length * scale * 0.05, result.width * scale * 0.96),
        arrowprops={"arrowstyle": "<->", "color": GREY},
    )
    ax.set_xlim(-0.01 * result.length * scale, 1.01 * result.length * scale)
    ax.set_ylim(-0.01 * result.width * scale, 1.01 * result.width * scale)
    ax.set_aspect("equal")
    ax.grid(False)
    label_axes(ax, across=with_unit(words.ALONG_GRAIN, unit), up=with_unit(words.ACROSS_GRAIN, unit))
    return Picture(figure=figure_of(ax), axes=ax, alt=words.coupon_drawing_alt(result, unit))


def _rings(polygon: Polygon) -> tuple[LinearRing, ...]:
    return (polygon.exterior, *polygon.interiors)
