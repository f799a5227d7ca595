"""The drawing itself, each stroke coloured by its glue line or by its chance to fill."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inlaylab import units
from inlaylab.figures.scales import LOST, chance_bar, colours, glue_bar, glue_norm
from inlaylab.figures.style import (
    INK,
    Picture,
    figure_of,
    in_unit,
    keep_title,
    legend_below,
    new_axes,
    note,
    styled,
    with_unit,
)
from inlaylab.wording.figures import artwork as words

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.axes import Axes
    from matplotlib.path import Path
    from numpy.typing import NDArray
    from shapely import MultiPolygon
    from shapely.geometry.base import BaseGeometry

GLUE, FILL = "glue line", "chance to fill"


@dataclass(frozen=True, kw_only=True)
class PlannedArtwork:
    """
    An artwork as it will be inlaid.

    Parameters
    ----------
    polygons : shapely.MultiPolygon
        What is to be filled. [mm]
    patches : numpy.ndarray
        Shape (rows, columns): number of the patch each pixel lies in; row 0 is the lowest.
    extent : tuple of float
        Left, right, bottom and top of those pixels. [mm]
    values : numpy.ndarray
        Shape (patches,): glue lines per side [mm] or chances (0 to 1); not a number where sanding takes all.
    told : {"glue line", "chance to fill"}
        Which of the two.
    grain_from_x : float
        Direction of the insert's grain as seen on the host, counter-clockwise from x. [degrees]
    """

    polygons: MultiPolygon
    patches: NDArray[np.int32]
    extent: tuple[float, float, float, float]
    values: NDArray[np.float64]
    told: str = GLUE
    grain_from_x: float = 0.0


@styled
def planned_artwork(result: PlannedArtwork, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw an artwork at equal scale in x and y, its strokes coloured.

    Parameters
    ----------
    result : PlannedArtwork
        Polygons, and a value for each patch of them.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    import numpy as np
    from matplotlib.patches import Patch, PathPatch

    left, bottom, right, top = result.polygons.bounds
    tall = (top - bottom) / max(right - left, 1e-9)
    if ax is None:
        wide = 6.4 if tall < 1.1 else max(4.0, 6.4 * 1.1 / tall)
        ax = new_axes(width=wide, height=min(7.6, 1.9 + 0.95 * wide * tall), to_scale=1.9)
    values = result.values if result.told == GLUE else 100 * result.values
    scale: dict[str, Any] = {"vmin": 0, "vmax": 100, "cmap": colours(good_is_low=False)}
    if result.told == GLUE:
        values, scale = in_unit(values, unit), {"norm": glue_norm(unit), "cmap": colours()}
    shape = PathPatch(outline_of(result.polygons, unit), facecolor="none", edgecolor=INK, linewidth=0.7)
    drawn = ax.imshow(
        np.ma.masked_invalid(values[result.patches]),
        origin="lower",
        extent=tuple(in_unit(result.extent, unit)),
        interpolation="nearest",
        **scale,
    )
    ax.add_patch(shape)
    drawn.set_clip_path(shape)
    (glue_bar(ax, drawn, unit) if result.told == GLUE else chance_bar(ax, drawn))
    _grain(ax, result, unit)
    if np.isnan(result.values).any():
        lost = Patch(facecolor=LOST, edgecolor=INK, label=words.SANDED_AWAY)
        legend_below(figure_of(ax), handles=[lost])
    ax.set_aspect("equal")
    ax.grid(False)
    ax.set_xlabel(with_unit(words.X, unit))
    ax.set_ylabel(with_unit("y", unit))
    ax.set_title(words.by_what(result.told))
    keep_title(ax)
    return Picture(figure=figure_of(ax), axes=ax, alt=_alt(result, unit))


def _grain(ax: Axes, result: PlannedArtwork, unit: str) -> None:
    """Leave room below the artwork for an arrow along the insert's grain."""
    import math

    left, bottom, right, top = result.polygons.bounds
    span = max(right - left, top - bottom)
    pad, scale, turn = 0.05 * span, units.UNITS[unit], math.radians(result.grain_from_x)
    ax.set_xlim((left - pad) / scale, (right + pad) / scale)
    ax.set_ylim((bottom - 3 * pad) / scale, (top + pad) / scale)
    x, y, half = in_unit([left, bottom - 1.8 * pad, 0.05 * span], unit)
    middle = (x + 1.2 * half, y)
    ends = [(middle[0] + k * half * math.cos(turn), middle[1] + k * half * math.sin(turn)) for k in (-1, 1)]
    arrow = {"arrowstyle": "<->", "color": INK, "linewidth": 1.2}
    ax.annotate("", ends[1], ends[0], arrowprops=arrow, annotation_clip=False)
    note(ax, middle[0] + half, middle[1], words.GRAIN, shift=(6, 0), fontsize=8.5, va="center")


def outline_of(shape: BaseGeometry, unit: str) -> Path:
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


def _alt(result: PlannedArtwork, unit: str) -> str:
    import numpy as np

    left, bottom, right, top = result.polygons.bounds
    shown = result.values[np.unique(result.patches)]
    lost, kept = bool(np.isnan(shown).any()), shown[~np.isnan(shown)]
    ends = None
    if len(kept):
        ends = words.planned_ends(float(kept.min()), float(kept.max()), unit, chances=result.told != GLUE)
    return words.planned_alt((right - left, top - bottom), unit, told=result.told, ends=ends, lost=lost)
