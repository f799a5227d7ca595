"""
The sweep of the bit: the surface that a cone with a flat tip leaves along a path, exactly.

The bit at tip depth z cuts, at a distance r from its middle, down to ``z - max(r - t/2, 0) / T``. Along a straight run
of evenly changing depth the deepest such cut over any point has a closed form, and the surface is the deepest over
all runs. No pixel enters here: any point may be asked. Runs that cannot matter are left out cell by cell, which is
exact because a run's surface is nowhere steeper than the bit.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from shapely import STRtree

    from inlaylab.artwork.cutting.path import Path

_CELLS = (
    0.5,
    2.0,
    8.0,
)  # [mm] sides of the cells in which runs are kept for scattered points, four to one


@dataclass(frozen=True, kw_only=True)
class Runs:
    """
    Straight runs as columns: start, direction, length, depth at the start, rise, and the lead of the deepest cut.

    Parameters
    ----------
    x, y, along_x, along_y, length, depth, rise, lead : numpy.ndarray
        Shape (runs,). `lead` is m T / sqrt(1 - (m T)^2) for a rise m: how far ahead, per unit of distance from the run,
        lies the tip that cuts deepest. [mm]
    """

    x: np.ndarray
    y: np.ndarray
    along_x: np.ndarray
    along_y: np.ndarray
    length: np.ndarray
    depth: np.ndarray
    rise: np.ndarray
    lead: np.ndarray


class Sweep:
    """
    Surface left by a bit along a path.

    Parameters
    ----------
    path : Path
        Where the tip runs.
    true_half_tangent : float
        Tangent of half the angle that the bit really cuts, T.
    tip_flat : float
        Width t of the flat tip. [mm]

    Notes
    -----
    Depths count from the level in which the outline was drawn and are negative where the bit leaves wood above it.
    """

    def __init__(self, path: Path, *, true_half_tangent: float, tip_flat: float = 0.0) -> None:
        self.path, self.true_half_tangent, self.tip_flat = path, true_half_tangent, tip_flat
        rim_depths = np.full((len(path.rim), 2), path.full_depth)
        self._ends = np.concatenate([path.ends, path.rim])
        self.runs = _columns(self._ends, np.concatenate([path.depths, rim_depths]), true_half_tangent)

    def at(self, points: np.ndarray, *, floor: float = -np.inf) -> np.ndarray:
        """
        Depth cut at points.

        Parameters
        ----------
        points : numpy.ndarray
            Shape (points, 2). [mm]
        floor : float
            Depths below this need not be told apart. [mm]

        Returns
        -------
        depths : numpy.ndarray
            Shape (points,), at least `floor`. [mm]
        """
        points = np.asarray(points, dtype=float).reshape(-1, 2)
        depths = np.full(len(points), float(floor))
        if not len(points):
            return depths
        flat = self.on_flat_ground(points)
        depths[flat] = self.path.full_depth
        rest = np.flatnonzero(~flat)
        if len(rest) and len(self.runs.x):
            depths[rest] = np.maximum(floor, self._scattered(points[rest], floor))
        return depths

    def reach(self, floor: float) -> float:
        """
        How far from its path the bit can cut down to a depth.

        Parameters
        ----------
        floor : float
            That depth. [mm]

        Returns
        -------
        reach : float
            Distance. [mm]
        """
        deepest = max(self.path.full_depth, 0.0)
        return max(deepest - floor, 0.0) * self.true_half_tangent + self.tip_flat / 2 + 1e-6

    def on_flat_ground(self, points: np.ndarray) -> np.ndarray:
        """
        Say which points lie on ground that is cut at full depth.

        Parameters
        ----------
        points : numpy.ndarray
            Shape (points, 2). [mm]

        Returns
        -------
        flat : numpy.ndarray
            Shape (points,), truth values.
        """
        if not len(self.path.rim):
            return np.zeros(len(points), dtype=bool)
        from inlaylab.artwork.cutting.coverage import turns

        found = np.empty(len(points), dtype=np.int64)
        turns(*self._bands, np.asarray(points, dtype=float), found)
        return found > 0

    @cached_property
    def tree(self) -> STRtree:
        """Spatial index of the runs (shapely)."""
        import shapely

        return shapely.STRtree(shapely.linestrings(self._ends))

    @cached_property
    def table(self) -> np.ndarray:
        """All runs, one a row, with the columns of `Runs` in their order [mm]."""
        runs = self.runs
        columns = (runs.x, runs.y, runs.along_x, runs.along_y, runs.length, runs.depth, runs.rise, runs.lead)
        return np.ascontiguousarray(np.stack(columns, axis=1))

    @cached_property
    def _bands(self) -> tuple[np.ndarray, float, float, np.ndarray]:
        """Sides of the rim by level; lowest level, height of a band, and where each band's sides begin."""
        low, high = self.path.rim[:, :, 1].min(axis=1), self.path.rim[:, :, 1].max(axis=1)
        bottom = float(low.min())
        band = max((float(high.max()) - bottom) / 2000, 1e-3)
        first, last = (np.floor((level - bottom) / band).astype(int) for level in (low, high))
        spans = last - first + 1
        side = np.repeat(np.arange(len(spans)), spans)
        in_band = np.arange(len(side)) - np.repeat(np.cumsum(spans) - spans, spans) + first[side]
        starts = np.concatenate([[0], np.cumsum(np.bincount(in_band))])
        return self.path.rim[side[np.argsort(in_band, kind="stable")]], bottom, band, starts

    def _scattered(self, points: np.ndarray, floor: float) -> np.ndarray:
        """Surface at scattered points by cells within cells."""
        from inlaylab.artwork.cutting.kernels import sweep_points

        places = np.stack([np.floor(points / side).astype(np.int64) for side in _CELLS])
        largest = places[-1] - places[-1].min(axis=0)
        keys = largest[:, 0] * (largest[:, 1].max() + 1) + largest[:, 1]
        for finer, coarser in ((1, 2), (0, 1)):
            within = places[finer] - 4 * places[coarser]
            keys = 16 * keys + 4 * within[:, 0] + within[:, 1]
        order = np.argsort(keys)
        keys, places = keys[order] // 256, np.ascontiguousarray(places[:, order])
        bounds = np.concatenate([[0], np.flatnonzero(np.diff(keys)) + 1, [len(keys)]])
        centres = (places[-1, bounds[:-1]] + 0.5) * _CELLS[-1]
        counts, run = self.near(centres, 0.75 * _CELLS[-1], floor)
        starts = np.concatenate([[0], np.cumsum(counts)])
        found = np.empty(len(points))
        bit = (self.true_half_tangent, self.tip_flat / 2)
        sides = np.array(_CELLS)
        sweep_points(self.table, *bit, sides, points[order], places, bounds, starts, run, found)
        depths = np.empty(len(points))
        depths[order] = found
        return depths

    def near(self, centres: np.ndarray, half_diagonal: float, floor: float) -> tuple[np.ndarray, np.ndarray]:
        """
        Find the runs that may cut down to a depth somewhere in a cell: how many per cell, and which.

        Parameters
        ----------
        centres : numpy.ndarray
            Shape (cells, 2), middles of the cells. [mm]
        half_diagonal : float
            From a cell's middle to its corner. [mm]
        floor : float
            The depth; where it is minus infinity the nearest run and all that may beat it are kept. [mm]

        Returns
        -------
        counts, run : numpy.ndarray
            Runs per cell, and their numbers cell by cell.
        """
        import shapely

        where = shapely.points(centres)
        if np.isfinite(floor):
            radius = np.full(len(centres), self.reach(floor))
        else:
            _, nearest = self.tree.query_nearest(where, all_matches=False, return_distance=True)
            spare = self.path.full_depth * self.true_half_tangent + self.tip_flat
            radius = nearest + spare + half_diagonal
        span = (radius + half_diagonal)[:, None]
        boxes = shapely.box(*(centres - span).T, *(centres + span).T)
        cell, run = self.tree.query(boxes)
        order = np.argsort(cell, kind="stable")
        return np.bincount(cell, minlength=len(centres)), run[order]

    def heights(self, run: np.ndarray, x: np.ndarray, y: np.ndarray) -> np.ndarray:
        """
        Depth that single runs cut at single points.

        Parameters
        ----------
        run : numpy.ndarray
            Numbers of the runs.
        x, y : numpy.ndarray
            Points; all three broadcast, the runs along the last axis. [mm]

        Returns
        -------
        depths : numpy.ndarray
            Broadcast shape. [mm]

        Notes
        -----
        At u along and v beside a run of rise m the deepest cut comes from the tip at u + max(|v| mT / sqrt(1 - (mT)^2),
        sqrt(t^2/4 - v^2)), kept on the run (just u where m = 0): the depth as a function of the tip's place is concave.
        """
        runs = self.runs
        across, down = x - runs.x[run], y - runs.y[run]
        along_x, along_y = runs.along_x[run], runs.along_y[run]
        u = across * along_x
        u += down * along_y
        v = down * along_x
        v -= across * along_y
        np.abs(v, out=v)
        lead = runs.lead[run]
        ahead = v * lead
        if self.tip_flat > 0:
            chord = np.sqrt(np.maximum(self.tip_flat**2 / 4 - v * v, 0.0))
            chord *= lead > 0
            np.maximum(ahead, chord, out=ahead)
        ahead += u
        np.maximum(ahead, 0.0, out=ahead)
        np.minimum(ahead, runs.length[run], out=ahead)
        u -= ahead
        u *= u
        v *= v
        u += v
        np.sqrt(u, out=u)
        if self.tip_flat > 0:
            u -= self.tip_flat / 2
            np.maximum(u, 0.0, out=u)
        u /= -self.true_half_tangent
        ahead *= runs.rise[run]
        u += ahead
        u += runs.depth[run]
        return u


def _columns(ends: np.ndarray, depths: np.ndarray, true_half_tangent: float) -> Runs:
    """Write runs as columns, each from its shallow end to its deep one so that no rise is negative."""
    turned = depths[:, 0] > depths[:, 1]
    ends = np.where(turned[:, None, None], ends[:, ::-1], ends)
    depths = np.where(turned[:, None], depths[:, ::-1], depths)
    run = ends[:, 1] - ends[:, 0]
    length = np.hypot(run[:, 0], run[:, 1])
    safe = np.maximum(length, 1e-12)
    along = np.where((length > 1e-9)[:, None], run / safe[:, None], [1.0, 0.0])
    length = np.where(length > 1e-9, length, 0.0)
    rise = np.where(length > 0, (depths[:, 1] - depths[:, 0]) / safe, 0.0)
    start = np.where(length > 0, depths[:, 0], depths[:, 1])
    steep = rise * true_half_tangent
    lead = np.where(steep < 1, steep / np.sqrt(np.maximum(1 - steep**2, 1e-18)), 1e9)
    return Runs(
        x=ends[:, 0, 0], y=ends[:, 0, 1], along_x=along[:, 0], along_y=along[:, 1],
        length=length, depth=start, rise=rise, lead=lead,
    )  # fmt: skip
