"""Which points an outline winds around, and the lists of lists this room works with."""

from __future__ import annotations

import numpy as np

_AT_ONCE = 200_000  # pairs of side and point worked on together


def taken(counts: np.ndarray, items: np.ndarray, which: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """
    Take lists by number from lists of lists.

    Parameters
    ----------
    counts, items : numpy.ndarray
        Length of each list, and all lists one after the other.
    which : numpy.ndarray
        Numbers of the lists wanted; one may be wanted often.

    Returns
    -------
    counts, items : numpy.ndarray
        The lists wanted, in the same form.

    Examples
    --------
    >>> counts, items = taken(np.array([1, 2]), np.array([7, 8, 9]), np.array([1, 0, 1]))
    >>> print(counts, items)
    [2 1 2] [8 9 7 8 9]
    """
    start = np.cumsum(counts) - counts
    new = counts[which]
    shift = np.repeat(start[which] - (np.cumsum(new) - new), new)
    return new, items[np.arange(len(shift)) + shift]


def parts(total: int, size: int) -> list[slice]:
    """
    Cut a long row in parts.

    Parameters
    ----------
    total, size : int
        Length of the row and of a part.

    Returns
    -------
    parts : list of slice
        The last may be shorter.
    """
    return [slice(start, min(start + size, total)) for start in range(0, total, size)]


def winding(sides: np.ndarray, points: np.ndarray) -> np.ndarray:
    """
    Count how often closed outlines wind around points.

    Parameters
    ----------
    sides : numpy.ndarray
        Shape (sides, 2, 2): all sides of the outlines, in any order. [mm]
    points : numpy.ndarray
        Shape (points, 2); on an outline either count may come out. [mm]

    Returns
    -------
    turns : numpy.ndarray
        Whole numbers, positive where the outline has the point on its left.

    Notes
    -----
    Signed crossings of a ray to the left, among the sides that pass the point's level.

    Examples
    --------
    >>> corners = np.array([[0, 0], [2, 0], [2, 2], [0, 2]])
    >>> sides = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    >>> print(winding(sides, np.array([[1, 1], [3, 1]])))
    [1 0]
    """
    turns = np.zeros(len(points))
    if not len(sides) or not len(points):
        return turns.astype(int)
    y = points[:, 1] + 1.2345e-7  # off the level of corners that share a round coordinate
    low, high = np.sort(sides[:, :, 1], axis=1).T
    bottom, band = y.min(), max(float(np.ptp(y)) / 2000, 1e-3)
    bands = int(np.floor((y.max() - bottom) / band)) + 1
    first = np.clip(np.floor((low - bottom) / band), 0, None)
    last = np.clip(np.floor((high - bottom) / band), -1, bands - 1)
    spans = np.maximum(last - first + 1, 0).astype(int)
    side = np.repeat(np.arange(len(sides)), spans)
    in_band = np.arange(len(side)) - np.repeat(np.cumsum(spans) - spans, spans) + first[side].astype(int)
    order = np.argsort(in_band, kind="stable")
    level = np.floor((y - bottom) / band).astype(int)
    counts, listed = taken(np.bincount(in_band, minlength=bands), side[order], level)
    owner = np.repeat(np.arange(len(points)), counts)
    rise = sides[:, 1, 1] - sides[:, 0, 1]
    slope = (sides[:, 1, 0] - sides[:, 0, 0]) / np.where(rise == 0, 1.0, rise)
    for part in parts(len(owner), _AT_ONCE):
        s, p = listed[part], owner[part]
        crossed = (low[s] <= y[p]) & (y[p] < high[s])
        s, p = s[crossed], p[crossed]
        left = sides[s, 0, 0] + (y[p] - sides[s, 0, 1]) * slope[s] < points[p, 0]
        turns -= np.bincount(p[left], weights=np.sign(rise[s[left]]), minlength=len(points))
    return np.round(turns).astype(int)
