"""
The loops of the sweep, compiled: the deepest cut over pixels and over scattered points.

This repeats `Sweep.heights` for one run and one point, because a loop in machine code leaves out what cannot matter
point by point; the tests hold both to the same numbers. Import this only where it is used: compiling needs Numba.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numpy as np

_Loop = TypeVar("_Loop", bound=Callable[..., Any])

X, Y, ALONG_X, ALONG_Y, LENGTH, DEPTH, RISE, LEAD = range(8)
"""Columns of a table of runs, one run a row."""


def compiled(function: _Loop) -> _Loop:
    """Compile a function when it is first called; its machine code is kept on disk where that is possible."""
    from numba import njit

    try:
        made = njit(nogil=True, cache=True, error_model="numpy")(function)
    except RuntimeError:  # no folder that can be written: compiled anew in each process
        made = njit(nogil=True, error_model="numpy")(function)
    return cast(_Loop, made)


@compiled
def height(runs: np.ndarray, run: int, x: float, y: float, half_tangent: float, half_flat: float) -> float:
    """Depth that one run cuts at one point: `Sweep.heights` for scalars."""
    across, down = x - runs[run, 0], y - runs[run, 1]
    u = across * runs[run, 2] + down * runs[run, 3]
    v = abs(down * runs[run, 2] - across * runs[run, 3])
    lead = runs[run, 7]
    ahead = v * lead
    if half_flat > 0 and lead > 0:
        ahead = max(ahead, np.sqrt(max(half_flat * half_flat - v * v, 0.0)))
    ahead = min(max(ahead + u, 0.0), runs[run, 4])
    u -= ahead
    return runs[run, 5] + ahead * runs[run, 6] - max(np.sqrt(u * u + v * v) - half_flat, 0.0) / half_tangent


@compiled
def keep(
    runs: np.ndarray,
    listed: np.ndarray,
    count: int,
    x: float,
    y: float,
    spare: float,
    half_tangent: float,
    half_flat: float,
    depths: np.ndarray,
    kept: np.ndarray,
) -> tuple[int, float]:
    """Keep of listed runs those within `spare` of the deepest at a cell's middle: how many, and that depth."""
    best = -np.inf
    for i in range(count):
        depths[i] = height(runs, listed[i], x, y, half_tangent, half_flat)
        best = max(best, depths[i])
    new = 0
    for i in range(count):
        if depths[i] >= best - spare:
            kept[new] = listed[i]
            new += 1
    return new, best


@compiled
def all_flat(flat: np.ndarray, row: int, column: int, side: int) -> bool:
    """Whether a square block lies on flat ground altogether, or beyond the grid."""
    for i in range(row, min(row + side, flat.shape[0])):
        for j in range(column, min(column + side, flat.shape[1])):
            if not flat[i, j]:
                return False
    return True


@compiled
def sweep_pixels(
    runs: np.ndarray,
    half_tangent: float,
    half_flat: float,
    corner: tuple[float, float],
    pixel: float,
    floor: float,
    flat: np.ndarray,
    cells: np.ndarray,
    starts: np.ndarray,
    listed: np.ndarray,
    depths: np.ndarray,
) -> None:
    """
    Write the deepest cut into pixels, cell by cell of 64, 16 and 4 pixels a side.

    Parameters
    ----------
    runs : numpy.ndarray
        Shape (runs, 8), columns as named above. [mm]
    half_tangent, half_flat : float
        Of the bit: T, and half its flat tip. [-, mm]
    corner : tuple of float
        Left and bottom of the grid. [mm]
    pixel, floor : float
        Side of a pixel; depths below the floor need not be told apart. [mm]
    flat : numpy.ndarray
        Shape (rows, columns), truth values: pixels that need nothing.
    cells : numpy.ndarray
        Shape (cells, 2): row and column of each cell of 64 pixels.
    starts, listed : numpy.ndarray
        Where each cell's runs begin in `listed`, and where the last ends; numbers of the runs.
    depths : numpy.ndarray
        Shape (rows, columns), written to. [mm]
    """
    rows, columns = flat.shape
    most = 1
    for cell in range(len(cells)):
        most = max(most, starts[cell + 1] - starts[cell])
    middle, small = np.empty(most, np.int64), np.empty(most, np.int64)
    held = np.empty(most)
    for cell in range(len(cells)):
        mine = listed[starts[cell] : starts[cell + 1]]
        for part in range(16):
            row, column = 64 * cells[cell, 0] + 16 * (part // 4), 64 * cells[cell, 1] + 16 * (part % 4)
            if all_flat(flat, row, column, 16):
                continue
            x, y = corner[0] + (column + 8) * pixel, corner[1] + (row + 8) * pixel
            spare = 1.4143 * 16 * pixel / half_tangent
            many, best = keep(runs, mine, len(mine), x, y, spare, half_tangent, half_flat, held, middle)
            if best + spare / 2 < floor:
                continue
            for piece in range(16):
                low, left = row + 4 * (piece // 4), column + 4 * (piece % 4)
                if all_flat(flat, low, left, 4):
                    continue
                x, y = corner[0] + (left + 2) * pixel, corner[1] + (low + 2) * pixel
                few, best = keep(runs, middle, many, x, y, spare / 4, half_tangent, half_flat, held, small)
                if best + spare / 8 < floor:
                    continue
                for i in range(low, min(low + 4, rows)):
                    y = corner[1] + (i + 0.5) * pixel
                    for j in range(left, min(left + 4, columns)):
                        x = corner[0] + (j + 0.5) * pixel
                        deepest = depths[i, j]
                        for k in range(few):
                            deepest = max(deepest, height(runs, small[k], x, y, half_tangent, half_flat))
                        depths[i, j] = deepest


@compiled
def sweep_points(
    runs: np.ndarray,
    half_tangent: float,
    half_flat: float,
    sides: np.ndarray,
    points: np.ndarray,
    places: np.ndarray,
    bounds: np.ndarray,
    starts: np.ndarray,
    listed: np.ndarray,
    depths: np.ndarray,
) -> None:
    """
    Write the deepest cut at scattered points, by cells within cells.

    Parameters
    ----------
    runs, half_tangent, half_flat
        As in `sweep_pixels`.
    sides : numpy.ndarray
        Sides of the cells, smallest first; each is a whole number of the one before. [mm]
    points : numpy.ndarray
        Shape (points, 2), those of one cell one after the other, at every size. [mm]
    places : numpy.ndarray
        Shape (sizes, points, 2), whole numbers: which cell of each size a point lies in.
    bounds : numpy.ndarray
        Where the points of each largest cell begin, and where the last end.
    starts, listed : numpy.ndarray
        Where the runs of each largest cell begin in `listed`, and where the last end; numbers of the runs.
    depths : numpy.ndarray
        Shape (points,), written to. [mm]
    """
    most = 1
    for cell in range(len(bounds) - 1):
        most = max(most, starts[cell + 1] - starts[cell])
    large, middle, small = np.empty(most, np.int64), np.empty(most, np.int64), np.empty(most, np.int64)
    held = np.empty(most)
    spares = 1.4143 * sides / half_tangent
    for cell in range(len(bounds) - 1):
        mine = listed[starts[cell] : starts[cell + 1]]
        first = bounds[cell]
        x, y = (places[2, first, 0] + 0.5) * sides[2], (places[2, first, 1] + 0.5) * sides[2]
        many, _ = keep(runs, mine, len(mine), x, y, spares[2], half_tangent, half_flat, held, large)
        some = few = 0
        for i in range(first, bounds[cell + 1]):
            new = i == first
            if new or places[1, i, 0] != places[1, i - 1, 0] or places[1, i, 1] != places[1, i - 1, 1]:
                x, y = (places[1, i, 0] + 0.5) * sides[1], (places[1, i, 1] + 0.5) * sides[1]
                some, _ = keep(runs, large, many, x, y, spares[1], half_tangent, half_flat, held, middle)
                new = True
            if new or places[0, i, 0] != places[0, i - 1, 0] or places[0, i, 1] != places[0, i - 1, 1]:
                x, y = (places[0, i, 0] + 0.5) * sides[0], (places[0, i, 1] + 0.5) * sides[0]
                few, _ = keep(runs, middle, some, x, y, spares[0], half_tangent, half_flat, held, small)
            deepest = -np.inf
            for k in range(few):
                deepest = max(deepest, height(runs, small[k], points[i, 0], points[i, 1], half_tangent, half_flat))
            depths[i] = deepest
