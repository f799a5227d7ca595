"""The drawing itself with its thin strokes marked, by colour and by hatching."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from inlaylab import units
from inlaylab.figures.style import INK, LOOKS, Picture, in_unit, new_axes, note, styled, with_unit

_THIN = {"facecolor": "#f2c9b5", "edgecolor": "#a33c00", "hatch": "xxxx", "linewidth": 0.9}


@dataclass(frozen=True, kw_only=True)
class PlannedArtwork:
    """
    An artwork as it will be inlaid.

    Parameters
    ----------
    polygons : shapely.MultiPolygon
        What is to be filled. [mm]
    thin : artwork.axis.thin_strokes.ThinStrokes
        Strokes that may not fill.
    grain_from_x : float
        Direction of the insert's grain as seen on the host, counter-clockwise from x. [degrees]
    """

    polygons: Any
    thin: Any
    grain_from_x: float = 0.0


@styled
def planned_artwork(result: PlannedArtwork, *, unit: str = "mm", ax: Any = None) -> Picture:
    """
    Draw an artwork at equal scale in x and y, thin strokes hatched.

    Parameters
    ----------
    result : PlannedArtwork
        Polygons and thin strokes.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    import math

    from matplotlib.patches import PathPatch

    left, bottom, right, top = result.polygons.bounds
    if ax is None:
        ax = new_axes(width=6.4, height=min(6.0, 1.1 + 5.6 * (top - bottom) / max(right - left, 1e-9)), to_scale=True)
    for shape, look in ((result.polygons, LOOKS["insert"] | {"hatch": None}), (result.thin.polygons, _THIN)):
        if not shape.is_empty:
            ax.add_patch(PathPatch(outline_of(shape, unit), **look))
    span = max(right - left, top - bottom)
    pad, scale = 0.05 * span, units.UNITS[unit]
    ax.set_xlim((left - pad) / scale, (right + pad) / scale)
    ax.set_ylim((bottom - 3 * pad) / scale, (top + pad) / scale)
    turn = math.radians(result.grain_from_x)
    x, y, half = in_unit([left, bottom - 1.8 * pad, 0.08 * span], unit)
    if not result.thin.polygons.is_empty:
        middle = (x + 1.2 * half, y)
        arrow = {"arrowstyle": "<->", "color": INK, "linewidth": 1.2}
        ends = [(middle[0] + k * half * math.cos(turn), middle[1] + k * half * math.sin(turn)) for k in (-1, 1)]
        ax.annotate("", ends[1], ends[0], arrowprops=arrow, annotation_clip=False)
        note(ax, ends[1][0], ends[1][1], "insert's grain", shift=(4, 0), fontsize=8.5, va="center")
    ax.set_aspect("equal")
    ax.grid(False)
    ax.set_xlabel(with_unit("x on the host", unit))
    ax.set_ylabel(with_unit("y", unit))
    share = f"{result.thin.share:.1%}"
    ax.set_title(
        f"Hatched: thinner than {units.format_length(result.thin.limit, unit)} when finished, {share} of the area"
    )
    return Picture(figure=ax.figure, axes=ax, alt=_words(result, unit))


def outline_of(shape: Any, unit: str) -> Any:
    """Give a shape's rings as one matplotlib path, in the reader's unit."""
    import numpy as np
    import shapely
    from matplotlib.path import Path as Outline

    rings = []
    for polygon in shapely.get_parts(shape):
        if polygon.geom_type == "Polygon":
            rings += [polygon.exterior, *polygon.interiors]
    corners = [in_unit(np.asarray(ring.coords)[:, :2], unit) for ring in rings]
    return Outline.make_compound_path(*(Outline(ring, closed=True) for ring in corners))


def _words(result: PlannedArtwork, unit: str) -> str:
    left, bottom, right, top = result.polygons.bounds
    size = f"{units.format_length(right - left, unit)} wide and {units.format_length(top - bottom, unit)} high"
    limit = units.format_length(result.thin.limit, unit)
    if result.thin.polygons.is_empty:
        return f"The artwork, {size}. No stroke is thinner than {limit} on the finished face."
    places = len(result.thin.polygons.geoms)
    return (
        f"The artwork, {size}. Hatched are the strokes thinner than {limit} on the finished face: {places} places, "
        f"{result.thin.share:.1%} of the area, {units.format_length(result.thin.length, unit)} long in all."
    )
