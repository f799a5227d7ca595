"""
The path of the tool: where the bit's tip runs and how deep, from the medial axis.

Where a stroke is too narrow for full depth the tip follows the medial axis, as deep as the stroke's half-width allows;
the rest is flat ground, cut at full depth. Both are lists of straight runs whose depth changes evenly.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.artwork.axis.medial_axis import SAGITTA

if TYPE_CHECKING:
    from inlaylab.artwork.axis.medial_axis import Axis


@dataclass(frozen=True, kw_only=True)
class Path:
    """
    What the tip runs along in one board.

    Parameters
    ----------
    ends : numpy.ndarray
        Shape (runs, 2, 2): run, end, coordinate. [mm]
    depths : numpy.ndarray
        Shape (runs, 2), below the level of the outline. [mm]
    rim : numpy.ndarray
        Shape (sides, 2, 2): the border of the flat ground, with the ground on the left; its sides are runs too. [mm]
    full_depth : float
        Depth of the flat ground. [mm]
    """

    ends: np.ndarray
    depths: np.ndarray
    rim: np.ndarray
    full_depth: float

    @property
    def length(self) -> float:
        """Length of the runs along the axis and once around the flat ground [mm]."""
        runs = np.concatenate([self.ends, self.rim])
        return float(np.hypot(*(runs[:, 1] - runs[:, 0]).T).sum())


def tool_path(
    axis: Axis, *, inside: bool, depth_cap: float, path_half_tangent: float, outline_offset: float = 0.0
) -> Path:
    """
    Lay out the path for the pocket (inside) or for the ground around the plug (outside).

    Parameters
    ----------
    axis : Axis
        Medial axis of the artwork.
    inside : bool
        True for the strokes, false for the lands.
    depth_cap : float
        Depth of the flat ground: pocket depth P or relief depth F. [mm]
    path_half_tangent : float
        Tangent of half the path angle, T0.
    outline_offset : float
        How much the outline was grown (never shrunk) into the lands before; only with `inside` false. [mm]

    Returns
    -------
    path : Path
        Depth min(cap, (half-width - offset) / T0), as in the model, section 4.
    """
    side = axis.where(axis.inside == inside)
    full_width = depth_cap * path_half_tangent + outline_offset
    low = side.where(~side.facet).between(outline_offset, full_width)
    depths = np.clip((low.half_widths - outline_offset) / path_half_tangent, 0.0, depth_cap)
    return Path(ends=low.ends, depths=depths, rim=_rim(side, full_width), full_depth=depth_cap)


def _rim(axis: Axis, distance: float) -> np.ndarray:
    """
    Border of the points that lie further than a distance from the outline.

    Each piece of the axis that lies further out throws its two sides of that border towards its two feet: a straight
    side beside a straight outline, an arc around a corner.
    """
    wide = axis.between(distance, np.inf)
    feet = wide.feet
    ray = wide.ends[:, None] - feet
    size = np.maximum(np.hypot(ray[..., 0], ray[..., 1]), 1e-12)[..., None]
    ray = (ray / size).reshape(-1, 2, 2)
    feet, corner, site = feet.reshape(-1, 2, 2), wide.corner.ravel(), wide.site.ravel()
    sides = [_straight_sides(feet[~corner] + distance * ray[~corner], ray[~corner], site[~corner])]
    sides.append(_arcs(feet[corner, 0], ray[corner], site[corner], distance))
    sides.append(_closings(wide, distance))
    return np.concatenate(sides)


def _closings(wide: Axis, distance: float) -> np.ndarray:
    """
    Short sides where the border turns from one foot to the other, on the axis.

    On a bent part of the axis the two sides' borders end a hair apart, as the axis is made of straight pieces. The
    border comes along the foot to the left of the widening axis and leaves along the one to its right.
    """
    piece, end = np.nonzero(np.abs(wide.half_widths - distance) < 1e-9)
    widening = wide.ends[piece, 1 - end] - wide.ends[piece, end]
    ray = wide.ends[piece, None, end] - wide.feet[piece, :, end]  # (pieces, side, coordinate)
    size = np.maximum(np.hypot(ray[..., 0], ray[..., 1]), 1e-12)[..., None]
    stops = wide.feet[piece, :, end] + distance * ray / size
    left = widening[:, 0] * ray[:, 0, 1] - widening[:, 1] * ray[:, 0, 0] < 0
    return np.where(left[:, None, None], stops, stops[:, ::-1])


def _straight_sides(sides: np.ndarray, ray: np.ndarray, site: np.ndarray) -> np.ndarray:
    """Turn the ground to the left and join what continues along one straight outline."""
    normal = ray[:, 0]
    along = np.stack([normal[:, 1], -normal[:, 0]], axis=1)
    place = np.einsum("skc,sc->sk", sides, along)
    flipped = place[:, 0] > place[:, 1]
    sides[flipped], place[flipped] = sides[flipped, ::-1], place[flipped, ::-1]
    sides, along, site, place = (values[place[:, 1] > place[:, 0]] for values in (sides, along, site, place))
    forth = (along[:, 0] > 0) | ((along[:, 0] == 0) & (along[:, 1] > 0))
    order = np.lexsort([place[:, 0], forth, site])
    sides, site, forth, place = sides[order], site[order], forth[order], place[order]
    if not len(sides):
        return sides
    begin, end = _joined(2 * site + forth, place[:, 0], place[:, 1])
    return np.stack([sides[begin, 0], sides[end, 1]], axis=1)


def _arcs(centre: np.ndarray, ray: np.ndarray, site: np.ndarray, radius: float) -> np.ndarray:
    """Arcs around corners as straight sides, the ground (outside of the arc) on the left: they run clockwise."""
    if not len(centre) or radius <= 0:
        return np.empty((0, 2, 2))
    angle = np.arctan2(ray[..., 1], ray[..., 0])
    sweep = np.mod(angle[:, 1] - angle[:, 0] + np.pi, 2 * np.pi) - np.pi
    low = np.where(sweep > 0, angle[:, 0], angle[:, 1])
    order = np.lexsort([low, site])
    centre, site, low, sweep = centre[order], site[order], low[order], np.abs(sweep[order])
    begin, end = _joined(site, low, low + sweep)
    centre, low, sweep = centre[begin], low[begin], (low + sweep)[end] - low[begin]
    cuts = np.maximum(1, np.ceil(sweep / (2 * np.arccos(max(0.0, 1 - SAGITTA / radius))))).astype(int)
    owner = np.repeat(np.arange(len(centre)), cuts)
    place = np.arange(len(owner)) - np.repeat(np.cumsum(cuts) - cuts, cuts)
    turn = low[owner, None] + (place[:, None] + [1, 0]) / cuts[owner, None] * sweep[owner, None]
    sides = centre[owner, None] + radius * np.stack([np.cos(turn), np.sin(turn)], axis=2)
    return sides[(sides[:, 0] != sides[:, 1]).any(axis=1)]


def _joined(group: np.ndarray, low: np.ndarray, high: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """First and last position of each chain of sorted intervals of one group that continue one another."""
    chained = (group[1:] == group[:-1]) & (np.abs(low[1:] - high[:-1]) < 1e-9)
    begin = np.flatnonzero(np.concatenate([[True], ~chained]))
    return begin, np.concatenate([begin[1:], [len(group)]]) - 1
