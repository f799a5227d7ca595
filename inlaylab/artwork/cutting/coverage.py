"""
The loops over pixels and points that need no bit, compiled: flat ground, shares of pixels, turns of an outline.

Import this only where it is used: compiling needs Numba.
"""

from __future__ import annotations

import numpy as np

from inlaylab.artwork.cutting.kernels import compiled


@compiled
def ground(
    rim: np.ndarray, corner: tuple[float, float], pixel: float, side: int, flat: np.ndarray, whole: np.ndarray
) -> None:
    """
    Find the pixels on flat ground: signed crossings of each row with its rim, summed along the row.

    Parameters
    ----------
    rim : numpy.ndarray
        Shape (sides, 2, 2), with the ground on the left. [mm]
    corner : tuple of float
        Left and bottom of the grid. [mm]
    pixel : float
        Side of a pixel. [mm]
    side : int
        Pixels along a cell.
    flat : numpy.ndarray
        Shape (rows, columns), truth values, written to.
    whole : numpy.ndarray
        Truth values, one a cell, all true before: made false where a pixel of the cell is not on flat ground.
    """
    rows, columns = flat.shape
    crossings = np.zeros((rows, columns + 1), np.int16)
    for k in range(len(rim)):
        first = (rim[k, 0, 1] - corner[1] - 1.2345e-7) / pixel - 0.5  # off any corner's level
        last = (rim[k, 1, 1] - corner[1] - 1.2345e-7) / pixel - 0.5
        low, high = max(np.ceil(min(first, last)), 0.0), min(np.ceil(max(first, last)), float(rows))
        for row in range(int(low), int(high)):
            share = (row - first) / (last - first)
            x = rim[k, 0, 0] + share * (rim[k, 1, 0] - rim[k, 0, 0])
            column = min(max(np.ceil((x - corner[0]) / pixel - 0.5), 0.0), float(columns))
            crossings[row, int(column)] += 1 if last > first else -1
    for row in range(rows):
        turns = 0
        for column in range(columns):
            turns += crossings[row, column]
            flat[row, column] = turns < 0
            if turns >= 0:
                whole[row // side, column // side] = False


@compiled
def cover(depths: np.ndarray, level: float, slope: float, pixel: float, share: np.ndarray, bent: np.ndarray) -> None:
    """
    Find the share of each pixel that lies beyond a level, and where the surface does not change evenly.

    Parameters
    ----------
    depths : numpy.ndarray
        A field with a border of one pixel; (depth - level) slope is the signed distance to the edge.
    level, slope, pixel : float
        Level; slope of the field; side of a pixel. [mm]
    share : numpy.ndarray
        Without the border, written to: 0 to 1, by the half-plane that the pixel's neighbours tell.
    bent : numpy.ndarray
        Truth values, false before: made true beside an edge where there is a ridge, a tip or a sharp corner.
    """
    for i in range(share.shape[0]):
        for j in range(share.shape[1]):
            here = (depths[i + 1, j + 1] - level) * slope
            share[i, j] = here > 0
            if not -pixel < here < pixel:
                continue
            along_x = abs((depths[i + 1, j + 2] - depths[i + 1, j]) * slope)
            along_y = abs((depths[i + 2, j + 1] - depths[i, j + 1]) * slope)
            bent[i, j] = along_x * along_x + along_y * along_y < 0.8 * 4 * pixel * pixel
            if not -0.7072 * pixel < here < 0.7072 * pixel:
                continue
            beside = False
            for k in range(9):
                there = (depths[i + k // 3, j + k % 3] - level) * slope
                beside |= there <= 0 if here > 0 else there >= 0
            if not beside:
                continue
            size = max(np.hypot(along_x, along_y), 1e-12)
            long, short, far = max(along_x, along_y) / size, min(along_x, along_y) / size, abs(here) / pixel
            if far <= (long - short) / 2:
                missing = 0.5 - far / max(long, 1e-12)
            else:
                missing = max((long + short) / 2 - far, 0.0) ** 2 / max(2 * long * short, 1e-12)
            share[i, j] = 1 - missing if here > 0 else missing


@compiled
def turns(
    sides: np.ndarray, bottom: float, band: float, starts: np.ndarray, points: np.ndarray, found: np.ndarray
) -> None:
    """
    Count how often closed outlines wind around points: `winding.winding`, with the sides sorted beforehand.

    Parameters
    ----------
    sides : numpy.ndarray
        Shape (sides, 2, 2), those of one band one after the other; a side stands in each band it meets. [mm]
    bottom, band : float
        Lowest level of the bands, and their height. [mm]
    starts : numpy.ndarray
        Where the sides of each band begin, and where the last end.
    points : numpy.ndarray
        Shape (points, 2). [mm]
    found : numpy.ndarray
        Shape (points,), written to.
    """
    for i in range(len(points)):
        x, y, count = points[i, 0], points[i, 1] + 1.2345e-7, 0
        level = int(np.floor((y - bottom) / band))
        if 0 <= level < len(starts) - 1:
            for k in range(starts[level], starts[level + 1]):
                low, high = sides[k, 0, 1], sides[k, 1, 1]
                if (low <= y) == (high <= y):
                    continue
                if sides[k, 0, 0] + (y - low) * (sides[k, 1, 0] - sides[k, 0, 0]) / (high - low) < x:
                    count += 1 if low > high else -1
        found[i] = count
