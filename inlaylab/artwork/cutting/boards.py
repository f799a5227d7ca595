"""Both boards as the bit leaves them, before start depth and zero errors are set."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.artwork.axis.medial_axis import Axis, medial_axis
from inlaylab.artwork.cutting.artwork_seat import Depths, Samples, Seat, settle, take_samples
from inlaylab.artwork.cutting.path import tool_path
from inlaylab.artwork.cutting.sweep import Sweep
from inlaylab.artwork.polygons import Artwork, as_polygons
from inlaylab.errors import InputError
from inlaylab.units import in_both

if TYPE_CHECKING:
    from shapely import MultiPolygon
    from shapely.geometry.base import BaseGeometry

_SPARE = 1.0  # [mm] by which depths and zero errors may be turned without sweeping anew


@dataclass(frozen=True, kw_only=True)
class Boards:
    """
    Both boards as the bit leaves them, before any depth is set: what stays when only depths are turned.

    Parameters
    ----------
    polygons : shapely.MultiPolygon
        The artwork. [mm]
    strokes, lands : Axis
        Its medial axes; the lands' of the grown or shrunk outline where there is an outline offset.
    pocket, plug : Sweep
        The bit's sweep in host and insert, both counted from the level of the outline.
    path_half_tangent : float
        Tangent of half the angle of the path, T0.
    deepest_start : float
        Start depth plus insert's zero error up to which the samples hold. [mm]
    """

    polygons: MultiPolygon
    strokes: Axis
    lands: Axis
    pocket: Sweep
    plug: Sweep
    path_half_tangent: float
    deepest_start: float

    @property
    def floor(self) -> float:
        """Bare depth below which nothing matters [mm]."""
        return -(max(self.pocket.path.full_depth, self.deepest_start) + _SPARE)

    @cached_property
    def samples(self) -> Samples:
        """Both surfaces on walls and axes."""
        return take_samples(self.strokes, self.lands, self.pocket, self.plug, floor=self.floor)

    def seat(self, depths: Depths, *, climb: bool = True) -> Seat:
        """
        Find where the plug rests.

        Parameters
        ----------
        depths : Depths
            Start depth and zero errors.
        climb : bool
            Whether to refine between the samples.

        Returns
        -------
        seat : Seat
            Stand-off, contact and its place.
        """
        return settle(self.samples, self.pocket, self.plug, depths, floor=self.floor, climb=climb)


def swept_boards(
    artwork: Artwork | BaseGeometry,
    *,
    bit_angle: float,
    true_angle: float | None = None,
    tip_flat: float = 0.0,
    pocket_depth: float,
    relief_depth: float,
    outline_offset: float = 0.0,
    deepest_start: float | None = None,
    axis: Axis | None = None,
) -> Boards:
    """
    Sweep the bit through host and insert.

    Parameters
    ----------
    artwork : Artwork or shapely polygon
        What is to be filled. [mm]
    bit_angle, true_angle : float
        Included angle of the path, and the one the bit really cuts (the same if left out). [degrees]
    tip_flat : float
        Width of the flat tip. [mm]
    pocket_depth, relief_depth : float
        Depth of the pocket's floor; how far below the start depth the ground around the plug lies. [mm]
    outline_offset : float
        How much the plug's outline is grown per side. [mm]
    deepest_start : float, optional
        Largest start depth that will be asked for; the pocket depth if left out. [mm]
    axis : Axis, optional
        The artwork's medial axis, if it is at hand.

    Returns
    -------
    boards : Boards
        Both surfaces; nothing in them depends on start depth, zero errors or sanding.
    """
    polygons = as_polygons(artwork)
    axis = medial_axis(Artwork(polygons=polygons)) if axis is None else axis
    path_half, half = (float(np.tan(np.radians(angle / 2))) for angle in (bit_angle, true_angle or bit_angle))
    lands = axis if outline_offset >= 0 else medial_axis(_shrunk(polygons, -outline_offset))
    ways = [
        tool_path(axis, inside=True, depth_cap=pocket_depth, path_half_tangent=path_half),
        tool_path(
            lands,
            inside=False,
            depth_cap=relief_depth,
            path_half_tangent=path_half,
            outline_offset=max(outline_offset, 0.0),
        ),
    ]
    pocket, plug = (Sweep(way, true_half_tangent=half, tip_flat=tip_flat) for way in ways)
    return Boards(
        polygons=polygons,
        strokes=axis.where(axis.inside),
        lands=lands.where(~lands.inside),
        pocket=pocket,
        plug=plug,
        path_half_tangent=path_half,
        deepest_start=pocket_depth if deepest_start is None else deepest_start,
    )


def _shrunk(polygons: MultiPolygon, by: float) -> BaseGeometry:
    shrunk = polygons.buffer(-by, quad_segs=64)
    if shrunk.is_empty:
        raise InputError("the outline offset leaves nothing of the artwork", value=in_both(-by), where="outline offset")
    return shrunk
