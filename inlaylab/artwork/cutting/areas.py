"""
Areas of what is filled and what stays open on the finished face, from strips of pixels.

On a wall, (depth - level) T is the distance to the edge of what is cut at that level; so each pixel beside an edge is
counted with the share of it that is really covered, and areas are far finer than the pixel.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.artwork.cutting.grid import surface

if TYPE_CHECKING:
    from shapely import MultiPolygon

    from inlaylab.artwork.cutting.artwork_seat import Depths
    from inlaylab.artwork.cutting.grid import Grid
    from inlaylab.artwork.cutting.sweep import Sweep

OUTSIDE, FILLED, OPEN = 0, 1, 2
_FINER = 5  # parts along the side of a pixel that holds the tip of a stroke
_MOST_FINER = 20_000  # pixels looked at in finer parts, per strip


@dataclass(frozen=True, kw_only=True)
class Strip:
    """
    Finished face of some rows of pixels.

    Parameters
    ----------
    state : numpy.ndarray
        0 host, 1 filled, 2 open, shape (rows, columns).
    cut, filled : float
        Area cut below the finished face; area filled. [mm2]
    """

    state: np.ndarray
    cut: float
    filled: float


def count_strip(pocket: Sweep, plug: Sweep, depths: Depths, stand_off: float, sanded_off: float, grid: Grid) -> Strip:
    """
    Say what is filled in a strip of the finished face.

    Parameters
    ----------
    pocket, plug : Sweep
        What the bit leaves in the two boards.
    depths : Depths
        Start depth and zero errors.
    stand_off, sanded_off : float
        How high the plug sits; how much came off the host's face. [mm]
    grid : Grid
        Pixels of the strip.

    Returns
    -------
    strip : Strip
        Picture and areas.

    Notes
    -----
    Filled where H > s and S - Z - h >= s; open where H > s only (the model, section 4).
    """
    levels = (
        sanded_off - depths.host_zero_error,
        -(depths.insert_zero_error + stand_off + sanded_off),
    )
    halo = grid.grown()
    spare = 4 * grid.pixel / pocket.true_half_tangent
    inside, shares = [], []
    for sweep, level, sign in zip((pocket, plug), levels, (1.0, -1.0), strict=True):
        cut_to = surface(sweep, halo, floor=level - spare, ceiling=level + spare)
        shares.append(_share(sweep, level, sign, cut_to, grid))
        inside.append((cut_to > level if sign > 0 else cut_to < level)[1:-1, 1:-1])
    reach = depths.start_depth - stand_off - sanded_off > 0  # sanding has not yet gone through the plug
    state = inside[0].astype(np.uint8) * np.uint8(OPEN)
    if reach:
        state[inside[0] & inside[1]] = FILLED
    cut = float(shares[0].sum())
    filled = float(np.minimum(shares[0], shares[1], out=shares[0]).sum()) if reach else 0.0
    return Strip(state=state, cut=cut * grid.pixel**2, filled=filled * grid.pixel**2)


def _share(sweep: Sweep, level: float, sign: float, cut_to: np.ndarray, grid: Grid) -> np.ndarray:
    """Covered share of each pixel, with the pixels that hold a ridge or a tip cut finer."""
    slope = sign * sweep.true_half_tangent
    share, bent = _covered(cut_to, level, slope, grid.pixel)
    row, column = np.nonzero(bent)
    if not 0 < len(row) <= _MOST_FINER:
        return share
    size = grid.pixel / _FINER
    place = (np.arange(_FINER + 2) - (_FINER + 1) / 2) * size
    x = grid.x[column][:, None, None] + place[None, None, :]
    y = grid.y[row][:, None, None] + place[None, :, None]
    points = np.stack(np.broadcast_arrays(x, y), axis=-1)
    depth = sweep.at(points.reshape(-1, 2), floor=level - 4 * grid.pixel / sweep.true_half_tangent)
    rows = depth.reshape(-1, _FINER + 2)
    parts, _ = _covered(
        rows, level, slope, size
    )  # blocks lie one above the other; rows at their seams are halo and are left out
    parts = np.concatenate([np.zeros((1, _FINER)), parts, np.zeros((1, _FINER))]).reshape(len(row), _FINER + 2, _FINER)
    share[row, column] = parts[:, 1:-1].mean(axis=(1, 2))
    return share


def covered(distance: np.ndarray, pixel: float) -> np.ndarray:
    """
    Share of each pixel in which a distance field is above zero.

    Parameters
    ----------
    distance : numpy.ndarray
        Signed distance to the edge at the middle of each pixel, positive inside, shape (rows, columns). [mm]
    pixel : float
        Side of a pixel. [mm]

    Returns
    -------
    share : numpy.ndarray
        0 to 1, shape (rows - 2, columns - 2): the outermost pixels serve as neighbours only.

    Notes
    -----
    The edge is taken as straight within a pixel, its direction from the neighbours; exact for a half-plane. A pixel
    counts in part only where one of its eight neighbours lies on the other side of the edge.

    Examples
    --------
    >>> x = np.arange(5) * 0.1
    >>> print(covered(np.tile(0.22 - x, (3, 1)), 0.1).round(3))
    [[1.  0.7 0. ]]
    """
    return _covered(distance, 0.0, 1.0, pixel)[0]


def _covered(field: np.ndarray, level: float, slope: float, pixel: float) -> tuple[np.ndarray, np.ndarray]:
    """Share of each pixel, and which hold a ridge or a tip: `coverage.cover`."""
    from inlaylab.artwork.cutting.coverage import cover

    inner = (field.shape[0] - 2, field.shape[1] - 2)
    share, bent = np.empty(inner), np.zeros(inner, dtype=bool)
    cover(field, level, slope, pixel, share, bent)
    return share, bent


def lost_strokes(polygons: MultiPolygon, half_width: float) -> MultiPolygon:
    """
    Find the parts of an artwork that no disc of a radius covers: strokes that sanding takes away.

    Parameters
    ----------
    polygons : shapely.MultiPolygon
        The artwork. [mm]
    half_width : float
        Half the width of the widest stroke that is lost. [mm]

    Returns
    -------
    lost : shapely.MultiPolygon
        Thin strokes, with the outermost tips of sharp corners.
    """
    import shapely

    if half_width < 1e-6:
        return shapely.MultiPolygon()
    kept = polygons.buffer(-half_width, quad_segs=32).buffer(half_width * (1 + 1e-6), quad_segs=32)
    return polygons.difference(kept)
