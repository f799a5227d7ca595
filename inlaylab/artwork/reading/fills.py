"""Closed rings of a drawing as areas: by a fill rule, or by what lies within what."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from inlaylab.artwork.polygons import MOST_CORNERS
from inlaylab.artwork.winding import winding
from inlaylab.errors import DrawingError
from inlaylab.units import in_both

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_MOST_RINGS = 20_000


def filled_by_rule(rings: list[np.ndarray], *, even_odd: bool) -> BaseGeometry:
    """
    Fill rings as SVG does.

    Parameters
    ----------
    rings : list of numpy.ndarray
        Shape (corners, 2) each; closed by themselves. [mm]
    even_odd : bool
        The even-odd rule; else what any ring winds around.

    Returns
    -------
    shape : shapely geometry
        The filled area; rings may cross themselves and each other.

    Examples
    --------
    >>> square = np.array([[0, 0], [3, 0], [3, 3], [0, 3]])
    >>> filled_by_rule([square, square / 3], even_odd=True).area
    8.0
    """
    import shapely

    rings = [ring for ring in rings if len(np.unique(ring, axis=0)) > 2]
    if not rings:
        return shapely.MultiPolygon()
    closed = [np.concatenate([ring, ring[:1]]) for ring in rings]
    if sum(map(len, closed)) > MOST_CORNERS:
        raise DrawingError("the drawing has too many corners", allowed=f"up to {MOST_CORNERS}")
    only = shapely.Polygon(closed[0])
    if len(closed) == 1 and shapely.is_valid(only):
        return only
    lines = shapely.unary_union([shapely.LineString(ring) for ring in closed])
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
    inner = shapely.get_coordinates(shapely.point_on_surface(faces))
    sides = np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in closed])
    turns = winding(sides, inner)
    wanted = (turns % 2 != 0) if even_odd else (turns != 0)
    return shapely.union_all(faces[wanted])


def nested(polygons: list[BaseGeometry]) -> tuple[BaseGeometry, list[str]]:
    """
    Fill rings of which nothing is known but where they lie: what lies within a filled one is a hole, and so on.

    Parameters
    ----------
    polygons : list of shapely.Polygon
        Each ring's inside. [mm]

    Returns
    -------
    shape : shapely geometry
        The filled area; outlines that overlap in part are joined.
    mended : list of str
        What was put right.
    """
    import shapely

    if len(polygons) > _MOST_RINGS:
        raise DrawingError("the drawing has too many outlines", value=len(polygons), allowed=f"up to {_MOST_RINGS}")
    whole = np.array([shapely.normalize(shapely.set_precision(p, 1e-3)) for p in polygons])
    _, first = np.unique(np.array([p.wkb_hex for p in whole]), return_index=True)
    rings = np.array(polygons, dtype=object)[np.sort(first)]
    mended = []
    if len(rings) < len(polygons):
        mended.append(f"{len(polygons) - len(rings)} outlines that were drawn twice were taken once")
    tree = shapely.STRtree(rings)
    held, holder = tree.query(rings, predicate="covered_by")
    own = held != holder
    depth = np.bincount(held[own], minlength=len(rings))
    one, two = tree.query(rings, predicate="overlaps")
    if len(one):
        x, y = shapely.point_on_surface(rings[one[0]].intersection(rings[two[0]])).coords[0]
        mended.append(f"outlines that overlap were joined, as near x {x:.3g}, y {y:.3g}")
    shape: BaseGeometry = shapely.MultiPolygon()
    for level in range(depth.max() + 1):
        layer = shapely.union_all(rings[depth == level])
        shape = shape.union(layer) if level % 2 == 0 else shape.difference(layer)
    return shape, mended


def chained(lines: list[np.ndarray], *, gap: float) -> tuple[list[np.ndarray], list[str]]:
    """
    Join open lines end to end into rings.

    Parameters
    ----------
    lines : list of numpy.ndarray
        Shape (corners, 2) each, open. [mm]
    gap : float
        Ends that lie closer than this belong together. [mm]

    Returns
    -------
    rings : list of numpy.ndarray
        Closed outlines, the last corner not repeated. [mm]
    mended : list of str
        What was put right.

    Raises
    ------
    DrawingError
        Where an end has no partner, or more than one.
    """
    from scipy.spatial import cKDTree

    if not lines:
        return [], []
    ends = np.array([line[k] for line in lines for k in (0, -1)])
    partners = cKDTree(ends).query_ball_point(ends, gap)
    partner = np.empty(len(ends), dtype=int)
    for end, near in enumerate(partners):
        others = [k for k in near if k != end]
        if len(others) != 1:
            x, y = ends[end]
            what = "an outline is open" if not others else "more than two lines meet"
            raise DrawingError(
                what, where=f"x {x:.6g}, y {y:.6g}", allowed=f"outlines whose ends lie within {in_both(gap, 'fine')}"
            )
        partner[end] = others[0]
    widest = float(np.hypot(*(ends - ends[partner]).T).max())
    rings, used = [], np.zeros(len(lines), dtype=bool)
    for start in range(len(lines)):
        if used[start]:
            continue
        corners, end = [], 2 * start
        while not used[end // 2]:
            used[end // 2] = True
            line = lines[end // 2] if end % 2 == 0 else lines[end // 2][::-1]
            corners.append(line[:-1])
            end = partner[end ^ 1]
        rings.append(np.concatenate(corners))
    mended = [f"{len(lines)} open lines were joined end to end into {len(rings)} outlines"]
    if widest > 1e-6:
        mended.append(f"gaps of up to {widest:.2g} mm between line ends were closed")
    return rings, mended
