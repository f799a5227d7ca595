"""
How wide strokes and lands are, and how much of an artwork has which width.

Every piece of the medial axis owns the wood between itself and its two feet; together these patches make up the whole
area. So what depends on width (what fills, what is cut away) is a sum over pieces, without any grid.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from inlaylab.artwork.axis.medial_axis import medial_axis

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from inlaylab.artwork.axis.medial_axis import Axis
    from inlaylab.artwork.polygons import Artwork

_WIDEST = 120.0  # [mm] wider than any bit's full depth
_CORNER_TAPER = 0.5  # half-width per length, sin(30 degrees): steeper branches run into a corner


def taper(axis: Axis) -> np.ndarray:
    """
    Give the rate at which the half-width changes along each piece.

    Parameters
    ----------
    axis : Axis
        Pieces.

    Returns
    -------
    taper : numpy.ndarray
        Sine of half the angle between the two outlines, 0 in a stroke of even width. [mm/mm]
    """
    return np.abs(np.diff(axis.half_widths, axis=1)[:, 0]) / np.maximum(axis.lengths, 1e-12)


def is_steep(axis: Axis) -> np.ndarray:
    """
    Say which pieces run into a corner rather than along a stroke.

    Parameters
    ----------
    axis : Axis
        Pieces.

    Returns
    -------
    steep : numpy.ndarray
        True where the two outlines stand at more than 60 degrees.
    """
    return (taper(axis) > _CORNER_TAPER) | axis.facet


def stroke_half_widths(axis: Axis) -> np.ndarray:
    """
    Give the half-width of the stroke that each piece belongs to.

    Parameters
    ----------
    axis : Axis
        Pieces of strokes.

    Returns
    -------
    half_widths : numpy.ndarray
        Shape (pieces, 2), at both ends. [mm]

    Notes
    -----
    A branch into a corner belongs to the stroke that it starts from: it takes the widest half-width of all steep
    pieces that hang together with it. Gentle tapers keep their own.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    steep = is_steep(axis)
    vertex = _vertices(axis)
    number = int(vertex.max(initial=-1)) + 1
    one, two = vertex[steep].T
    _, group = connected_components(coo_array((np.ones(len(one)), (one, two)), shape=(number, number)), directed=False)
    widest = np.zeros(group.max(initial=-1) + 1)
    np.maximum.at(widest, group[vertex[steep]].ravel(), axis.half_widths[steep].ravel())
    half_widths = axis.half_widths.copy()
    half_widths[steep] = widest[group[vertex[steep]]]
    return half_widths


def areas(axis: Axis) -> np.ndarray:
    """
    Give the area that each piece owns.

    Parameters
    ----------
    axis : Axis
        Pieces.

    Returns
    -------
    areas : numpy.ndarray
        Between the piece and its feet, both sides together. [mm2]

    Examples
    --------
    >>> from shapely import box
    >>> axis = medial_axis(box(0, 0, 20, 6))
    >>> print(areas(axis.where(axis.inside)).sum().round(6))
    120.0
    """
    start, end = axis.ends[:, None, 0], axis.ends[:, None, 1]
    first, second = end - axis.feet[:, :, 0], axis.feet[:, :, 1] - start  # diagonals of each patch
    return 0.5 * np.abs(first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0]).sum(axis=1)


def _vertices(axis: Axis) -> np.ndarray:
    """Give the number of the vertex at each end of each piece; shape (pieces, 2)."""
    _, vertex = np.unique(np.round(axis.ends.reshape(-1, 2), 6), axis=0, return_inverse=True)
    return vertex.reshape(-1, 2)


def widths_along_outline(artwork: Artwork | BaseGeometry, *, axis: Axis | None = None) -> np.ndarray:
    """
    Find stroke and land width on both sides of the outline, place by place.

    Parameters
    ----------
    artwork : Artwork or shapely polygon
        The drawing. [mm]
    axis : Axis, optional
        Its medial axis, if it is at hand.

    Returns
    -------
    widths : numpy.ndarray
        Shape (places, 4): full width of the stroke and of the land, x and y of the place. [mm]
    """
    from scipy.spatial import cKDTree

    axis = medial_axis(artwork) if axis is None else axis
    sampled = [_feet_and_widths(axis.where(axis.inside == inside)) for inside in (True, False)]
    (places, stroke), (beyond, land) = sampled
    if not len(beyond):
        return np.column_stack([stroke, np.full(len(stroke), _WIDEST), places])
    _, nearest = cKDTree(beyond).query(places)
    return np.column_stack([np.minimum(stroke, _WIDEST), np.minimum(land[nearest], _WIDEST), places])


def _feet_and_widths(axis: Axis) -> tuple[np.ndarray, np.ndarray]:
    """Places on the outline and the width there: along even or gently tapering parts, and at the widest points."""
    axis = axis.where(axis.half_widths.min(axis=1) < _WIDEST)
    even = axis.where(~is_steep(axis))
    step = max(0.2, even.lengths.sum() / 20_000)
    cuts = np.maximum(1, np.ceil(even.lengths / step)).astype(int)
    owner = np.repeat(np.arange(len(even)), cuts + 1)
    place = np.arange(len(owner)) - np.repeat(np.cumsum(cuts + 1) - cuts - 1, cuts + 1)
    share = place / cuts[owner]
    width = 2 * (even.half_widths[owner, 0] + share * np.diff(even.half_widths, axis=1)[owner, 0])
    feet = even.feet[owner, :, 0] + share[:, None, None] * np.diff(even.feet, axis=2)[owner, :, 0]
    piece, end = np.nonzero(_peaks(axis))
    feet = np.concatenate([feet, axis.feet[piece, :, end]])
    width = np.concatenate([width, 2 * axis.half_widths[piece, end]])
    return feet.reshape(-1, 2), np.repeat(width, 2)


def _peaks(axis: Axis) -> np.ndarray:
    """Which ends of pieces are the widest of all pieces that meet there, as in the middle of a dot."""
    vertex = _vertices(axis).ravel()
    climbs = np.zeros(vertex.max(initial=-1) + 1, dtype=bool)
    climbs[vertex[(axis.half_widths[:, ::-1] > axis.half_widths + 1e-9).ravel()]] = True
    return ~climbs[vertex].reshape(-1, 2)


def spread_out(points: np.ndarray, most: int) -> np.ndarray:
    """
    Choose few of many points so that every point is near one that is chosen.

    Parameters
    ----------
    points : numpy.ndarray
        Shape (points, 2).
    most : int
        How many to choose at most.

    Returns
    -------
    chosen : numpy.ndarray
        Their numbers: the extremes first, then ever again the point farthest from all chosen ones.
    """
    chosen = list(dict.fromkeys(int(k) for k in (*points.argmin(axis=0), *points.argmax(axis=0))))
    distance = np.min([np.hypot(*(points - points[k]).T) for k in chosen], axis=0)
    while len(chosen) < most and distance.max() > 0.05:
        chosen.append(int(distance.argmax()))
        distance = np.minimum(distance, np.hypot(*(points - points[chosen[-1]]).T))
    return np.array(chosen)
