"""
Areas, lengths and volumes of an artwork's pocket and plug, from its own geometry.

What they cost in time, wood and glue is for ``models.around.workload`` and ``models.around.glue`` to say.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.artwork.axis.medial_axis import Axis, medial_axis
from inlaylab.artwork.cutting.path import tool_path
from inlaylab.artwork.polygons import Artwork, as_polygons
from inlaylab.errors import InputError
from inlaylab.units import in_both

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_FACET = 20.0  # [degrees] corners that turn by less are taken as parts of a curve, for lengths only
_Function = Callable[[np.ndarray], np.ndarray]


@dataclass(frozen=True, kw_only=True)
class Measures:
    """
    Geometry of an artwork that is to be cut with given depths.

    Parameters
    ----------
    width, height : float
        Width and height of the artwork's bounds. [mm]
    area, outline_length : float
        Area and outline length of the artwork; all outlines, holes included. [mm2], [mm]
    pocket_axis_length, pocket_rim_length, pocket_flat_area : float
        Path along thin strokes; around the pocket's flat ground; and that ground. [mm], [mm], [mm2]
    ground_axis_length, ground_rim_length, ground_flat_area : float
        The same for the ground around the plug, out to the border. [mm], [mm], [mm2]
    pocket_volume, ground_volume : float
        Wood cut away in host and insert. [mm3]
    wall_area : float
        Wall area of the walls that plug and pocket share, measured along the slope. [mm2]
    nose_area, floor_void : float
        Nose area and floor void of the plug's flat ends; the room between plug and pocket's bottom. [mm2], [mm3]
    """

    width: float
    height: float
    area: float
    outline_length: float
    pocket_axis_length: float
    pocket_rim_length: float
    pocket_flat_area: float
    ground_axis_length: float
    ground_rim_length: float
    ground_flat_area: float
    pocket_volume: float
    ground_volume: float
    wall_area: float
    nose_area: float
    floor_void: float


def measure(
    artwork: Artwork | BaseGeometry,
    *,
    path_angle: float,
    start_depth: float,
    pocket_depth: float,
    relief_depth: float,
    border: float = 10.0,
    axis: Axis | None = None,
) -> Measures:
    """
    Measure what is to be cut, for a perfect bit.

    Parameters
    ----------
    artwork : Artwork or shapely polygon
        The drawing. [mm]
    path_angle : float
        Included angle of the path. [degrees]
    start_depth, pocket_depth, relief_depth : float
        Programmed depths. [mm]
    border : float
        Ground that is cleared around the artwork's bounds. [mm]
    axis : Axis, optional
        The artwork's medial axis, if it is at hand.

    Returns
    -------
    measures : Measures
        Estimates of nothing but the geometry itself.

    Notes
    -----
    With d the distance to the outline: pocket min(P, d/T0) deep, ground S + min(F, d/T0); volumes are their integrals,
    summed over the patches between the medial axis and the outline. Walls: area where d < min(S, P) T0, over
    sin(a0/2).

    Examples
    --------
    >>> from shapely import box
    >>> bar = measure(box(0, 0, 100, 10), path_angle=90, start_depth=2, pocket_depth=2, relief_depth=2, border=5)
    >>> print(round(bar.pocket_volume, 3), round(bar.pocket_flat_area, 3))
    1570.667 576.0
    """
    polygons = as_polygons(artwork)
    axis = medial_axis(Artwork(polygons=polygons)) if axis is None else axis
    half = float(np.tan(np.radians(path_angle / 2)))
    if border < relief_depth * half:
        narrowest = f"{relief_depth * half:.2f} mm or more"
        raise InputError("the border is too narrow", value=in_both(border), allowed=narrowest)
    cut = {
        **_pocket(axis, float(polygons.area), half, start_depth, pocket_depth),
        **_ground(axis, polygons, half, relief_depth, border),
    }
    left, bottom, right, top = polygons.bounds
    bevelled = cut.pop("bevelled")  # the plug's own slopes, cut away above its outline's level
    cut["ground_volume"] += start_depth * cut["ground_area"] + bevelled
    cut.pop("ground_area")
    return Measures(
        width=right - left,
        height=top - bottom,
        area=float(polygons.area),
        outline_length=float(polygons.length),
        wall_area=_band(axis.where(axis.inside), min(start_depth, pocket_depth) * half)
        / float(np.sin(np.radians(path_angle / 2))),
        **cut,
    )


def _pocket(axis: Axis, area: float, half: float, start_depth: float, pocket_depth: float) -> dict[str, float]:
    path = tool_path(_travelled(axis), inside=True, depth_cap=pocket_depth, path_half_tangent=half)
    inner = axis.where(axis.inside)
    bevelled = _shortfall(inner, start_depth * half) / half
    volume = pocket_depth * area - _shortfall(inner, pocket_depth * half) / half
    return {
        "pocket_axis_length": _length(path.ends),
        "pocket_rim_length": _length(path.rim),
        "pocket_flat_area": max(0.0, area - _band(inner, pocket_depth * half)),
        "pocket_volume": volume,
        "nose_area": max(0.0, area - _band(inner, start_depth * half)),
        "floor_void": max(0.0, volume - (start_depth * area - bevelled)),
        "bevelled": bevelled,
    }


def _ground(axis: Axis, polygons: BaseGeometry, half: float, relief_depth: float, border: float) -> dict[str, float]:
    path = tool_path(_travelled(axis), inside=False, depth_cap=relief_depth, path_half_tangent=half)
    left, bottom, right, top = polygons.bounds
    outer = _beside(axis.where(~axis.inside), (left, bottom, right, top))
    area = (right - left + 2 * border) * (top - bottom + 2 * border) - float(polygons.area)
    return {
        "ground_axis_length": _length(path.ends),
        "ground_rim_length": _length(_near(path.rim, (left - border, bottom - border, right + border, top + border))),
        "ground_flat_area": max(0.0, area - _band(outer, relief_depth * half)),
        "ground_volume": relief_depth * area - _shortfall(outer, relief_depth * half) / half,
        "ground_area": area,
    }


def _travelled(axis: Axis) -> Axis:
    """Leave out the branches between facets of flattened curves: no program runs a path into them."""
    return replace(axis, facet=axis.spread < _FACET)


def _length(runs: np.ndarray) -> float:
    return float(np.hypot(*(runs[:, 1] - runs[:, 0]).T).sum())


def _near(sides: np.ndarray, bounds: tuple[float, float, float, float]) -> np.ndarray:
    middle = sides.mean(axis=1)
    return sides[((middle >= bounds[:2]) & (middle <= bounds[2:])).all(axis=1)]


def _beside(axis: Axis, bounds: tuple[float, float, float, float]) -> Axis:
    """Make the far frame's sides of the pieces count for nothing: as if all its outline were one still point."""
    middle = axis.feet.mean(axis=2)
    far = ((middle < np.subtract(bounds[:2], 1e-6)) | (middle > np.add(bounds[2:], 1e-6))).any(axis=-1)
    feet = np.where(far[..., None, None], axis.feet[:, :, :1], axis.feet)
    return replace(axis, feet=feet, corner=axis.corner & ~far)


def _patches(axis: Axis) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Give straight outline length, turn around a corner, and half-widths at ends and middle, by side of each piece."""
    feet = axis.feet
    along = np.where(axis.corner, 0.0, np.hypot(*np.moveaxis(feet[:, :, 1] - feet[:, :, 0], -1, 0)))
    first, second = np.moveaxis(axis.ends[:, None] - feet, 2, 0)
    across = first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0]
    turn = np.where(axis.corner, np.abs(np.arctan2(across, (first * second).sum(axis=-1))), 0.0)
    return along, turn, axis.half_widths[:, None, :]


def _over_patches(axis: Axis, most: float, straight: _Function, corner: _Function) -> float:
    """Sum a function of the half-width, capped at `most`, over all patches (Simpson along each piece)."""
    parts = [axis.between(0.0, most), axis.between(most, np.inf)]
    total = 0.0
    for part in parts:
        along, turn, ends = _patches(part)
        reach = np.minimum(np.concatenate([ends, ends.mean(axis=-1, keepdims=True)], axis=-1), most)
        weights = np.array([1.0, 1.0, 4.0]) / 6.0
        total += float(((along[..., None] * straight(reach) + turn[..., None] * corner(reach)) * weights).sum())
    return total


def _shortfall(axis: Axis, most: float) -> float:
    """Integral of (most - distance to the outline) where that is positive."""
    return _over_patches(axis, most, lambda h: most * h - h**2 / 2, lambda h: most * h**2 / 2 - h**3 / 3)


def _band(axis: Axis, most: float) -> float:
    """Area nearer to the outline than a distance."""
    return _over_patches(axis, most, lambda h: h, lambda h: h**2 / 2)
