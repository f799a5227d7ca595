"""
Clean polygons: what every other file of this room may rely on.

A clean artwork is a shapely ``MultiPolygon`` in millimetres whose outlines do not cross, touch along a side or
lie on top of each other, with corners on a grid of 0.00001 mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.errors import DrawingError
from inlaylab.units import in_both

if TYPE_CHECKING:
    from shapely import MultiPolygon
    from shapely.geometry.base import BaseGeometry

GRID = 1e-5  # [mm] corners are rounded to this; far below what a router can do
SMALLEST_AREA = 1e-6  # [mm2] polygons below it are crumbs of the mending
LARGEST_SIDE = 5000.0  # [mm]
MOST_CORNERS = 400_000


@dataclass(frozen=True, kw_only=True)
class Artwork:
    """
    The drawing that is to be inlaid.

    Parameters
    ----------
    polygons : shapely.MultiPolygon
        What is to be filled, in the host's coordinates. [mm]
    mended : tuple of str
        What was put right while reading, in sentences.
    source : str
        Where it came from.
    """

    polygons: MultiPolygon
    mended: tuple[str, ...] = ()
    source: str = ""

    @property
    def area(self) -> float:
        """Area to be filled [mm2]."""
        return float(self.polygons.area)

    @property
    def width(self) -> float:
        """Extent in x [mm]."""
        left, _, right, _ = self.polygons.bounds
        return float(right - left)

    @property
    def height(self) -> float:
        """Extent in y [mm]."""
        _, bottom, _, top = self.polygons.bounds
        return float(top - bottom)


def as_polygons(artwork: Artwork | BaseGeometry) -> MultiPolygon:
    """
    Take the polygons of an artwork, or of any shapely polygon, cleaned.

    Parameters
    ----------
    artwork : Artwork or shapely.Polygon or shapely.MultiPolygon
        An `Artwork` is clean already and is passed through. [mm]

    Returns
    -------
    polygons : shapely.MultiPolygon
        Clean polygons. [mm]
    """
    return artwork.polygons if isinstance(artwork, Artwork) else clean(artwork)


def clean(shape: BaseGeometry) -> MultiPolygon:
    """
    Mend a shape so that its outlines neither cross nor lie on each other.

    Parameters
    ----------
    shape : shapely geometry
        Polygons, in millimetres; lines and points in a collection are left out. [mm]

    Returns
    -------
    polygons : shapely.MultiPolygon
        The same area with clean outlines. [mm]

    Raises
    ------
    DrawingError
        Where there is no area, the size is beyond a workshop's, or a coordinate is no number.

    Examples
    --------
    >>> from shapely import from_wkt
    >>> bow_tie = from_wkt("POLYGON ((0 0, 4 4, 4 0, 0 4, 0 0))")
    >>> clean(bow_tie).area
    8.0
    """
    import shapely

    _check_size(shape)
    mended = shapely.make_valid(_areas(shape), method="structure", keep_collapsed=False)
    mended = shapely.set_precision(_areas(mended), GRID)
    mended = _areas(shapely.make_valid(mended, method="structure", keep_collapsed=False))
    parts = shapely.get_parts(mended)
    polygons = shapely.multipolygons(parts[shapely.area(parts) > SMALLEST_AREA])
    if polygons.is_empty:
        raise DrawingError("the drawing encloses no area", allowed="closed outlines")
    return shapely.set_precision(polygons, 0.0)


def _areas(shape: BaseGeometry) -> MultiPolygon:
    import shapely

    parts = shapely.get_parts(shapely.get_parts(np.atleast_1d(shape)))
    polygons = parts[(shapely.get_type_id(parts) == 3) & ~shapely.is_empty(parts)]
    return shapely.multipolygons(polygons)


def _check_size(shape: BaseGeometry) -> None:
    import shapely

    corners = shapely.get_coordinates(shape)
    if not len(corners):
        raise DrawingError("the drawing encloses no area", allowed="closed outlines")
    if len(corners) > MOST_CORNERS:
        raise DrawingError("the drawing has too many corners", value=len(corners), allowed=f"up to {MOST_CORNERS}")
    if not np.isfinite(corners).all():
        raise DrawingError("a coordinate is not a number", allowed="finite millimetres")
    side = float(np.ptp(corners, axis=0).max())
    if side > LARGEST_SIDE:
        raise DrawingError(
            "the drawing is too large",
            value=in_both(side),
            allowed=f"up to {in_both(LARGEST_SIDE)}; is its unit right?",
        )
    if np.abs(corners).max() > 1e6:
        raise DrawingError("the drawing lies too far from its origin", allowed="coordinates within 1 km")
