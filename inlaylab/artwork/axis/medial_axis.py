"""
Medial axis of an artwork, inside (strokes) and outside (lands), with exact distances to the outline.

The axis comes from the Voronoi diagram of the outline's own segments (Boost, through ``pyvoronoi``), never from
pixels or from points strewn along the outline: the seat of a plug is a maximum over the whole artwork, so an error of
0.02 mm in a half-width would lift the plug by more than all other effects.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.artwork.polygons import GRID, Artwork, as_polygons

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry


SAGITTA = 1e-4  # [mm] straight pieces stay this close to a curved part of the axis
FLAT_CORNER = 1.0  # [degrees] two sides that turn by less are facets of one curve
_FRAME = 2000.0  # [mm] distance of the frame that closes the outside; its lands are never narrow
_FINE_BELOW = 60.0  # [mm] half-width above which no bit of any shop reaches the axis


@dataclass(frozen=True, kw_only=True)
class Axis:
    """
    Straight pieces of a medial axis; along a piece the half-width changes evenly.

    Parameters
    ----------
    ends : numpy.ndarray
        Shape (pieces, 2, 2): piece, end, coordinate. [mm]
    half_widths : numpy.ndarray
        Shape (pieces, 2): distance to the outline at both ends. [mm]
    feet : numpy.ndarray
        Shape (pieces, 2, 2, 2): piece, side, end, coordinate: the nearest outline points. [mm]
    corner : numpy.ndarray
        Shape (pieces, 2): whether a side's nearest outline is one corner (else it is a straight part).
    site : numpy.ndarray
        Shape (pieces, 2): number of that corner or straight part.
    inside : numpy.ndarray
        Shape (pieces,): true in strokes, false in lands.
    facet : numpy.ndarray
        Shape (pieces,): true between two facets of one flattened curve, where no path runs.
    """

    ends: np.ndarray
    half_widths: np.ndarray
    feet: np.ndarray
    corner: np.ndarray
    site: np.ndarray
    inside: np.ndarray
    facet: np.ndarray

    def __len__(self) -> int:
        return len(self.inside)

    def where(self, wanted: np.ndarray) -> Axis:
        """
        Keep some of the pieces.

        Parameters
        ----------
        wanted : numpy.ndarray
            Truth values or positions.

        Returns
        -------
        axis : Axis
            The pieces wanted.
        """
        wanted = np.flatnonzero(wanted) if wanted.dtype == bool else wanted
        return Axis(**{name: getattr(self, name)[wanted] for name in self.__dataclass_fields__})

    def between(self, least: float, most: float) -> Axis:
        """
        Keep what lies between two half-widths, cutting pieces where they pass a limit.

        Parameters
        ----------
        least, most : float
            Half-widths; a piece of even half-width is kept from `least` on and up to below `most`. [mm]

        Returns
        -------
        axis : Axis
            Pieces and parts of pieces.
        """
        first, second = self.half_widths.T
        level = second == first
        rise = np.where(level, 1.0, second - first)
        limits = np.array([least, most])
        limits[np.isinf(limits)] = max(1.0, self.half_widths.max(initial=0.0)) + 1.0
        at = np.sort((limits - first[:, None]) / rise[:, None], axis=1)
        at[level] = np.where((first >= least) & (first < most), [[0.0], [1.0]], -1.0).T[level]
        share = np.clip(at, 0.0, 1.0)
        kept = share[:, 1] > share[:, 0]
        some, share = self.where(kept), share[kept]
        half_widths = some.half_widths[:, :1] + share * np.diff(some.half_widths, axis=1)
        ends = some.ends[:, :1] + share[:, :, None] * np.diff(some.ends, axis=1)
        feet = some.feet[:, :, :1] + share[:, None, :, None] * np.diff(some.feet, axis=2)
        return replace(some, ends=ends, half_widths=half_widths, feet=feet)

    @property
    def lengths(self) -> np.ndarray:
        """Length of each piece [mm]."""
        return np.hypot(*(self.ends[:, 1] - self.ends[:, 0]).T)

    @property
    def spread(self) -> np.ndarray:
        """
        Angle between the two nearest outline points as seen from the middle of each piece [degrees].

        Notes
        -----
        180 in a stroke of even width, the corner's turn (180 less its angle) on the branch into a corner.
        """
        middle = (self.ends[:, 0] + self.ends[:, 1]) / 2
        first, second = ((self.feet[:, side, 0] + self.feet[:, side, 1]) / 2 - middle for side in (0, 1))
        across = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
        return np.degrees(np.abs(np.arctan2(across, np.einsum("pc,pc->p", first, second))))


def medial_axis(artwork: Artwork | BaseGeometry) -> Axis:
    """
    Find the medial axis of an artwork, strokes and lands both.

    Parameters
    ----------
    artwork : Artwork or shapely polygon
        Cleaned first unless it is an `Artwork`. [mm]

    Returns
    -------
    axis : Axis
        Every branch, the ones into corners too; it depends on no setting of the cut, so keep it.

    Notes
    -----
    Exact but for the rounding of corners to 0.00001 mm and for `SAGITTA`. The outside is closed by a frame far away.

    Examples
    --------
    >>> from shapely import box
    >>> axis = medial_axis(box(0, 0, 20, 6))
    >>> print(axis.half_widths[axis.inside].max().round(4))
    3.0
    """
    import shapely

    polygons = as_polygons(artwork)
    centre: np.ndarray = np.round(np.array(polygons.bounds).reshape(2, 2).mean(axis=0), 3)
    segments = _segments(polygons, centre)
    pieces = _pieces(segments * GRID, *_voronoi(segments))
    middle = (pieces["ends"][:, 0] + pieces["ends"][:, 1]) / 2 + centre
    shapely.prepare(polygons)
    inside = shapely.contains_xy(polygons, middle[:, 0], middle[:, 1])
    axis = Axis(**pieces, inside=inside, facet=np.zeros(len(inside), dtype=bool))
    return Axis(
        ends=axis.ends + centre,
        half_widths=axis.half_widths,
        feet=axis.feet + centre,
        corner=axis.corner,
        site=axis.site,
        inside=inside,
        facet=axis.spread < FLAT_CORNER,
    )


def _segments(polygons: BaseGeometry, centre: np.ndarray) -> np.ndarray:
    """Outline and far frame as whole numbers of grid steps; shape (segments, 2, 2)."""
    import shapely

    moved = shapely.transform(polygons.boundary, lambda corners: np.round((corners - centre) / GRID))
    lines = shapely.get_parts(shapely.unary_union(moved, grid_size=1.0))  # crossings and touches become corners
    corners, line = shapely.get_coordinates(lines, return_index=True)
    pairs = np.stack([corners[:-1], corners[1:]], axis=1)[line[:-1] == line[1:]]
    half = np.ceil(np.abs(corners).max() + _FRAME / GRID)
    frame = half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]])
    pairs = np.concatenate([pairs, np.stack([frame[:-1], frame[1:]], axis=1)])
    pairs = pairs[(pairs[:, 0] != pairs[:, 1]).any(axis=1)].astype(np.int64)
    backwards = (pairs[:, 0, 0] > pairs[:, 1, 0]) | (
        (pairs[:, 0, 0] == pairs[:, 1, 0]) & (pairs[:, 0, 1] > pairs[:, 1, 1])
    )
    pairs[backwards] = pairs[backwards][:, ::-1]
    return np.unique(pairs.reshape(-1, 4), axis=0).reshape(-1, 2, 2)


def _voronoi(segments: np.ndarray) -> tuple[np.ndarray, ...]:
    """Edges between two sites: vertices [mm], whether straight, and for both sides the cell, its site and category."""
    import pyvoronoi

    diagram = pyvoronoi.Pyvoronoi(1)
    for segment in segments.tolist():
        diagram.AddSegment(segment)
    diagram.Construct()
    vertices = np.array([(vertex.X, vertex.Y) for _, vertex in diagram.EnumerateVertices()]) * GRID
    cells = np.array([(cell.site, cell.source_category) for _, cell in diagram.EnumerateCells()])
    edges = np.array(
        [(i, e.twin, e.start, e.end, e.cell, e.is_linear) for i, e in diagram.EnumerateEdges() if e.is_primary]
    )
    number, twin, start, end, cell, linear = edges.T
    cell_of = np.empty(diagram.CountEdges(), dtype=np.int64)
    cell_of[number] = cell
    kept = (number < twin) & (start >= 0) & (end >= 0)
    pair = np.stack([cell[kept], cell_of[twin[kept]]], axis=1)
    return vertices[edges[kept, 2:4]], linear[kept] == 1, pair, cells[pair, 0], cells[pair, 1]


def _pieces(
    segments: np.ndarray,
    ends: np.ndarray,
    straight: np.ndarray,
    cell: np.ndarray,
    site: np.ndarray,
    category: np.ndarray,
) -> dict[str, np.ndarray]:
    """Cut each Voronoi edge into straight pieces of evenly changing half-width and find their feet."""
    corner = category < 3  # Boost's categories: 1 and 2 are the two ends of a segment, 3 and 4 the segment itself
    line = segments[site]  # (edges, side, end, coordinate)
    point = np.where((category == 1)[..., None], line[:, :, 0], line[:, :, 1])
    origin, along, normal, p = _conic(corner, line, point)
    u = np.einsum("ekc,ec->ke", ends - origin[:, None], along)
    w = np.sign(u) * (np.sqrt(np.abs(u) + p) - np.sqrt(p))
    gap = ends[:, None] - np.stack([_feet(ends[:, k], line, point, corner) for k in (0, 1)], axis=2)
    nearest = np.minimum(*np.moveaxis(np.hypot(gap[..., 0], gap[..., 1]), 1, 0))
    bent = (corner[:, 0] | corner[:, 1]) & (np.minimum(*nearest.T) < _FINE_BELOW)
    steps = np.ceil(np.abs(w[1] - w[0]) / np.sqrt(SAGITTA * np.sqrt(2.0)))
    cuts = np.where(bent, np.maximum(1, steps), 1).astype(int)
    owner = np.repeat(np.arange(len(ends)), cuts)
    place = np.arange(len(owner)) - np.repeat(np.cumsum(cuts) - cuts, cuts)
    new_ends = []
    for k in (0, 1):
        share = (place + k) / cuts[owner]
        there = w[0, owner] + share * (w[1] - w[0])[owner]
        run = np.sign(there) * ((np.abs(there) + np.sqrt(p[owner])) ** 2 - p[owner])
        rise = np.where(straight[owner], 0.0, (run**2 + p[owner] ** 2) / (2 * p[owner]))
        inner = origin[owner] + run[:, None] * along[owner] + rise[:, None] * normal[owner]
        first, last = (place + k == 0)[:, None], (place + k == cuts[owner])[:, None]
        new_ends.append(np.where(first, ends[owner, 0], np.where(last, ends[owner, 1], inner)))
    feet = np.stack([_feet(end, line[owner], point[owner], corner[owner]) for end in new_ends], axis=2)
    both = np.stack(new_ends, axis=1)
    gap = both[:, None] - feet
    half_widths = np.minimum(*np.moveaxis(np.hypot(gap[..., 0], gap[..., 1]), 1, 0))
    pieces = {"ends": both, "half_widths": half_widths, "feet": feet, "corner": corner[owner], "site": cell[owner]}
    extent = np.abs(segments).max(axis=(1, 2))
    in_frame = np.atleast_1d(extent == extent.max())
    framed = (in_frame[site[:, 0]] & in_frame[site[:, 1]])[owner]
    moved = both[:, 0] != both[:, 1]
    kept = (moved[:, 0] | moved[:, 1]) & ~framed
    return {name: values[kept] for name, values in pieces.items()}


def _feet(points: np.ndarray, line: np.ndarray, corner_point: np.ndarray, corner: np.ndarray) -> np.ndarray:
    """Nearest points of both sites; shape (edges, side, coordinate)."""
    run = line[:, :, 1] - line[:, :, 0]
    share = np.einsum("ekc,ekc->ek", points[:, None] - line[:, :, 0], run) / np.einsum("ekc,ekc->ek", run, run)
    on_line = line[:, :, 0] + np.clip(share, 0.0, 1.0)[..., None] * run
    return np.where(corner[..., None], corner_point, on_line)


def _conic(corner: np.ndarray, line: np.ndarray, point: np.ndarray) -> tuple[np.ndarray, ...]:
    """
    Frame of each bent edge: a parabola between corner and side, the middle line between two corners.

    At distance u along the frame a parabola's point lies (u^2 + p^2) / (2 p) above its directrix, with p the distance
    from corner to side; on a middle line the half-width is sqrt(u^2 + p^2), with p half the corners' distance.
    """
    pick = np.arange(len(corner))
    focus = point[pick, np.where(corner[:, 0], 0, 1)]
    side = line[pick, np.where(corner[:, 0], 1, 0)]
    run = side[:, 1] - side[:, 0]
    along = run / np.hypot(run[:, 0], run[:, 1])[:, None]
    foot = side[:, 0] + ((focus - side[:, 0]) * along).sum(axis=1)[:, None] * along
    lift = focus - foot
    p = np.maximum(np.hypot(lift[:, 0], lift[:, 1]), 1e-12)
    apart = point[:, 1] - point[:, 0]
    size = np.maximum(np.hypot(apart[:, 0], apart[:, 1]), 1e-12)
    across = np.stack([-apart[:, 1], apart[:, 0]], axis=1) / size[:, None]
    two = np.asarray(corner.all(axis=1))
    origin = np.where(two[:, None], point.mean(axis=1), foot)
    along = np.where(two[:, None], across, along)
    return origin, along, lift / p[:, None], np.where(two, size / 2, p)
