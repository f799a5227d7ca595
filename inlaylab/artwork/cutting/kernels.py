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
    for cell in range(len(cells)):
        mine = listed[starts[cell] : starts[cell + 1]]
        for part in range(16):
            row, column = 64 * cells[cell, 0] + 16 * (part // 4), 64 * cells[cell, 1] + 16 * (part % 4)
            if all_flat(flat, row, column, 16):
                continue
            at_x, at_y = corner[0] + (column + 8) * pixel, corner[1] + (row + 8) * pixel
            spare = 1.4143 * 16 * pixel / half_tangent
            many, best = keep(
                runs, mine, unknown, len(mine), at_x, at_y, 0.0, spare, half_tangent, half_flat, middle, over_middle
            )
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
                few, best = keep(
                    runs, middle, over_middle, many, x, y, away, spare / 4, half_tangent, half_flat, small, over_small
                )
                if best + spare / 8 < floor:
                    continue
                if best - spare / 8 >= ceiling:
                    fill(flat, low, left, 4, ceiling, depths)
                    continue
                for i in range(low, min(low + 4, rows)):
                    for j in range(left, min(left + 4, columns)):
                        if flat[i, j]:
                            continue
                        here_x, here_y = corner[0] + (j + 0.5) * pixel, corner[1] + (i + 0.5) * pixel
                        away = np.hypot(here_x - x, here_y - y)
                        depths[i, j] = deepest_of(
                            runs, small, over_small, few, here_x, here_y, away, half_tangent, half_flat, depths[i, j]
                        )


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
def cover(distance: np.ndarray, pixel: float, share: np.ndarray, bent: np.ndarray) -> None:
    """
    Find the share of each pixel in which a distance field is above zero, and where it does not change evenly.

    Parameters
    ----------
    distance : numpy.ndarray
        Signed distance to the edge, positive inside, with a border of one pixel. [mm]
    pixel : float
        Side of a pixel. [mm]
    share : numpy.ndarray
        Without the border, written to.
    bent : numpy.ndarray
        Truth values, false before: made true beside an edge where there is a ridge, a tip or a sharp corner.
    """
    for i in range(share.shape[0]):
        for j in range(share.shape[1]):
            here = distance[i + 1, j + 1]
            share[i, j] = here > 0
            if not -pixel < here < pixel:
                continue
            along_x = abs(distance[i + 1, j + 2] - distance[i + 1, j])
            along_y = abs(distance[i + 2, j + 1] - distance[i, j + 1])
            bent[i, j] = along_x * along_x + along_y * along_y < 0.8 * 4 * pixel * pixel
            if not -0.7072 * pixel < here < 0.7072 * pixel:
                continue
            beside = False
            for k in range(3):
                for m in range(3):
                    there = distance[i + k, j + m]
                    beside |= there <= 0 if here > 0 else there >= 0
            if not beside:
                continue
            size = max(np.hypot(along_x, along_y), 1e-12)
            long, short = max(along_x, along_y) / size, min(along_x, along_y) / size
            far, outer = abs(here) / pixel, (long + short) / 2
            if far <= (long - short) / 2:
                missing = 0.5 - far / max(long, 1e-12)
            else:
                missing = max(outer - far, 0.0) ** 2 / max(2 * long * short, 1e-12)
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
                if (low <= y) != (high <= y):
                    if sides[k, 0, 0] + (y - low) * (sides[k, 1, 0] - sides[k, 0, 0]) / (high - low) < x:
                        count += 1 if low > high else -1
        found[i] = count
