"""
A grid of pixels over an artwork, and the bit's sweep on it.

The grid serves pictures and areas. The seat is never read off it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from inlaylab.artwork.cutting.sweep import Sweep

_CELL = 64  # pixels along the side of the largest cell; each is cut in 4 x 4, and those again, and those into pixels
_SCATTERED = 0.3  # [mm] larger pixels are asked as scattered points, whose cells do not grow with the pixel


@dataclass(frozen=True, kw_only=True)
class Grid:
    """
    Square pixels.

    Parameters
    ----------
    left, bottom : float
        Corner of the first pixel. [mm]
    pixel : float
        Side of a pixel. [mm]
    columns, rows : int
        Size of the grid; row 0 is the lowest.
    """

    left: float
    bottom: float
    pixel: float
    columns: int
    rows: int

    @property
    def x(self) -> np.ndarray:
        """Middles of the columns [mm]."""
        return self.left + (np.arange(self.columns) + 0.5) * self.pixel

    @property
    def y(self) -> np.ndarray:
        """Middles of the rows [mm]."""
        return self.bottom + (np.arange(self.rows) + 0.5) * self.pixel

    @property
    def extent(self) -> tuple[float, float, float, float]:
        """Left, right, bottom, top, as matplotlib's ``imshow`` takes them [mm]."""
        right, top = self.left + self.columns * self.pixel, self.bottom + self.rows * self.pixel
        return self.left, right, self.bottom, top

    def strip(self, first: int, last: int) -> Grid:
        """
        Cut out some rows.

        Parameters
        ----------
        first, last : int
            Row numbers, the last not included; they may reach beyond the grid.

        Returns
        -------
        strip : Grid
            The same pixels.
        """
        return Grid(
            left=self.left,
            bottom=self.bottom + first * self.pixel,
            pixel=self.pixel,
            columns=self.columns,
            rows=last - first,
        )

    def grown(self) -> Grid:
        """
        Add one pixel on every side.

        Returns
        -------
        grown : Grid
            The same pixels and a border.
        """
        return Grid(
            left=self.left - self.pixel,
            bottom=self.bottom - self.pixel,
            pixel=self.pixel,
            columns=self.columns + 2,
            rows=self.rows + 2,
        )


def surface(sweep: Sweep, grid: Grid, *, floor: float, ceiling: float = np.inf) -> np.ndarray:
    """
    Depth cut at the middle of every pixel.

    Parameters
    ----------
    sweep : Sweep
        Bit and path.
    grid : Grid
        Pixels; hand over strips of a large grid to keep memory small.
    floor, ceiling : float
        Depths below the one, and those above the other, need not be told apart. [mm]

    Returns
    -------
    depths : numpy.ndarray
        Shape (rows, columns): exact between floor and ceiling, else at least the floor or the ceiling. [mm]
    """
    if grid.pixel > _SCATTERED:
        x, y = np.meshgrid(grid.x, grid.y)
        return sweep.at(np.stack([x, y], axis=-1).reshape(-1, 2), floor=floor).reshape(x.shape)
    from inlaylab.artwork.cutting.coverage import ground
    from inlaylab.artwork.cutting.kernels import sweep_pixels

    flat = np.empty((grid.rows, grid.columns), dtype=bool)
    whole = np.ones([-(-size // _CELL) for size in flat.shape], dtype=bool)
    corner = (grid.left, grid.bottom)
    ground(sweep.path.rim, corner, grid.pixel, _CELL, flat, whole)
    depths = np.where(flat, sweep.path.full_depth, float(floor))
    if not len(sweep.runs.x):
        return depths
    cells = np.argwhere(~whole)
    counts, run = sweep.near(_middles(grid, cells[:, 0], cells[:, 1], _CELL), 0.7072 * _CELL * grid.pixel, floor)
    starts = np.concatenate([[0], np.cumsum(counts)])
    bit = (sweep.true_half_tangent, sweep.tip_flat / 2)
    sweep_pixels(sweep.table, *bit, corner, grid.pixel, float(floor), float(ceiling), flat, cells, starts, run, depths)
    return depths


def _middles(grid: Grid, row: np.ndarray, column: np.ndarray, side: int) -> np.ndarray:
    step = side * grid.pixel
    return np.stack([grid.left + (column + 0.5) * step, grid.bottom + (row + 0.5) * step], axis=1)
