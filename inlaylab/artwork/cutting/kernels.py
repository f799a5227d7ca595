"""
The loops of the sweep, compiled: the deepest cut over pixels and over scattered points.

This repeats `Sweep.heights` for one run and one point, because a loop in machine code leaves out what cannot matter;
the tests hold both to the same numbers. Import this only where it is used: compiling needs Numba.
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
def tip(runs: np.ndarray, run: int, x: float, y: float, half_flat: float) -> tuple[float, float]:
    """Where on a run the bit cuts deepest at a point: the tip's depth there, and its distance squared [mm, mm2]."""
    across, down = x - runs[run, 0], y - runs[run, 1]
    u = across * runs[run, 2] + down * runs[run, 3]
    v = abs(down * runs[run, 2] - across * runs[run, 3])
    lead = runs[run, 7]
    ahead = v * lead
    if v < half_flat and lead > 0:
        ahead = max(ahead, np.sqrt(half_flat * half_flat - v * v))
    ahead = min(max(ahead + u, 0.0), runs[run, 4])
    u -= ahead
    return runs[run, 5] + ahead * runs[run, 6], u * u + v * v


@compiled
def height(runs: np.ndarray, run: int, x: float, y: float, half_tangent: float, half_flat: float) -> float:
    """Depth that one run cuts at one point: `Sweep.heights` for scalars."""
    depth, square = tip(runs, run, x, y, half_flat)
    return depth - max(np.sqrt(square) - half_flat, 0.0) / half_tangent


@compiled
def keep(
    runs: np.ndarray,
    listed: np.ndarray,
    above: np.ndarray,
    count: int,
    x: float,
    y: float,
    away: float,
    spare: float,
    half_tangent: float,
    half_flat: float,
    kept: np.ndarray,
    depths: np.ndarray,
) -> tuple[int, float]:
    """
    Keep of listed runs those within `spare` of the deepest at a cell's middle, it first.

    `above` is what they cut `away` from here; those that cannot come near are not asked. Returns how many are kept and
    the deepest cut; writes which, and what each cuts here.
    """
    best, first, new = -np.inf, 0, 0
    for i in range(count):
        if above[i] + away / half_tangent < best - spare:
            continue
        depth = height(runs, listed[i], x, y, half_tangent, half_flat)
        if depth < best - spare:
            continue
        kept[new], depths[new] = listed[i], depth
        if depth > best:
            best, first = depth, new
        new += 1
    if new:
        kept[0], kept[first] = kept[first], kept[0]
        depths[0], depths[first] = depths[first], depths[0]
    count, new = new, 0
    for i in range(count):
        if depths[i] >= best - spare:
            kept[new], depths[new] = kept[i], depths[i]
            new += 1
    return new, best


@compiled
def deepest_of(
    runs: np.ndarray,
    kept: np.ndarray,
    above: np.ndarray,
    count: int,
    x: float,
    y: float,
    away: float,
    half_tangent: float,
    half_flat: float,
    deepest: float,
) -> float:
    """Deepest cut of kept runs at a point `away` from where they cut `above`; only those that win cost a root."""
    for i in range(count):
        if above[i] + away / half_tangent <= deepest:
            continue
        depth, square = tip(runs, kept[i], x, y, half_flat)
        far = (depth - deepest) * half_tangent + half_flat
        if depth > deepest and square < far * far:
            deepest = max(deepest, depth - max(np.sqrt(square) - half_flat, 0.0) / half_tangent)
    return deepest


@compiled
def all_flat(flat: np.ndarray, row: int, column: int, side: int) -> bool:
    """Whether a square block lies on flat ground altogether, or beyond the grid."""
    for i in range(row, min(row + side, flat.shape[0])):
        for j in range(column, min(column + side, flat.shape[1])):
            if not flat[i, j]:
                return False
    return True


@compiled
def fill(flat: np.ndarray, row: int, column: int, side: int, depth: float, depths: np.ndarray) -> None:
    """Write one depth into a square block, but for its flat ground."""
    for i in range(row, min(row + side, flat.shape[0])):
        for j in range(column, min(column + side, flat.shape[1])):
            if not flat[i, j]:
                depths[i, j] = depth


@compiled
def sweep_pixels(
    runs: np.ndarray,
    half_tangent: float,
    half_flat: float,
    corner: tuple[float, float],
    pixel: float,
    floor: float,
    ceiling: float,
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
    pixel, floor, ceiling : float
        Side of a pixel; depths below the floor, and those above the ceiling, need not be told apart. [mm]
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
    unknown, over_middle, over_small = np.full(most, np.inf), np.empty(most), np.empty(most)
    bit, spare = (half_tangent, half_flat), 1.4143 * 16 * pixel / half_tangent
    for cell in range(len(cells)):
        mine = listed[starts[cell] : starts[cell + 1]]
        for part in range(16):
            row, column = 64 * cells[cell, 0] + 16 * (part // 4), 64 * cells[cell, 1] + 16 * (part % 4)
            if all_flat(flat, row, column, 16):
                continue
            at_x, at_y = corner[0] + (column + 8) * pixel, corner[1] + (row + 8) * pixel
            many, best = keep(runs, mine, unknown, len(mine), at_x, at_y, 0.0, spare, *bit, middle, over_middle)
            if best + spare / 2 < floor:
                continue
            if best - spare / 2 >= ceiling:
                fill(flat, row, column, 16, ceiling, depths)
                continue
            for piece in range(16):
                low, left = row + 4 * (piece // 4), column + 4 * (piece % 4)
                if all_flat(flat, low, left, 4):
                    continue
                x, y = corner[0] + (left + 2) * pixel, corner[1] + (low + 2) * pixel
                away = np.hypot(x - at_x, y - at_y)
                few, best = keep(runs, middle, over_middle, many, x, y, away, spare / 4, *bit, small, over_small)
                if best + spare / 8 < floor:
                    continue
                if best - spare / 8 >= ceiling:
                    fill(flat, low, left, 4, ceiling, depths)
                    continue
                for i in range(low, min(low + 4, rows)):
                    for j in range(left, min(left + 4, columns)):
                        if not flat[i, j]:
                            px, py = corner[0] + (j + 0.5) * pixel, corner[1] + (i + 0.5) * pixel
                            away = np.hypot(px - x, py - y)
                            depths[i, j] = deepest_of(runs, small, over_small, few, px, py, away, *bit, depths[i, j])


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
    unknown, over_large, over_middle, over_small = np.full(most, np.inf), np.empty(most), np.empty(most), np.empty(most)
    spares = 1.4143 * sides / half_tangent
    bit = (half_tangent, half_flat)
    for cell in range(len(bounds) - 1):
        mine = listed[starts[cell] : starts[cell + 1]]
        first = bounds[cell]
        x2, y2 = (places[2, first, 0] + 0.5) * sides[2], (places[2, first, 1] + 0.5) * sides[2]
        many, _ = keep(runs, mine, unknown, len(mine), x2, y2, 0.0, spares[2], *bit, large, over_large)
        some = few = 0
        x1, y1, x, y = x2, y2, x2, y2
        for i in range(first, bounds[cell + 1]):
            new = i == first
            if new or places[1, i, 0] != places[1, i - 1, 0] or places[1, i, 1] != places[1, i - 1, 1]:
                x1, y1 = (places[1, i, 0] + 0.5) * sides[1], (places[1, i, 1] + 0.5) * sides[1]
                away = np.hypot(x1 - x2, y1 - y2)
                some, _ = keep(runs, large, over_large, many, x1, y1, away, spares[1], *bit, middle, over_middle)
                new = True
            if new or places[0, i, 0] != places[0, i - 1, 0] or places[0, i, 1] != places[0, i - 1, 1]:
                x, y = (places[0, i, 0] + 0.5) * sides[0], (places[0, i, 1] + 0.5) * sides[0]
                away = np.hypot(x - x1, y - y1)
                few, _ = keep(runs, middle, over_middle, some, x, y, away, spares[0], *bit, small, over_small)
            away = np.hypot(points[i, 0] - x, points[i, 1] - y)
            depths[i] = deepest_of(runs, small, over_small, few, points[i, 0], points[i, 1], away, *bit, -np.inf)
