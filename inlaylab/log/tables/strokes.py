"""Tables of an artwork that are no part of a log: its strokes, and points to read a virtual cut at."""

from __future__ import annotations

from pathlib import Path

from inlaylab.bench.coupons import Point, Stroke
from inlaylab.bench.habits import Habits
from inlaylab.errors import TableError
from inlaylab.log.tables.csv_rows import Sheet, read_sheet
from inlaylab.log.tables.rows import read_rows


def read_strokes(path: str | Path) -> tuple[Stroke, ...]:
    """
    Read the strokes of an artwork from a CSV file with ``stroke_width, land_width, unit``.

    Parameters
    ----------
    path : path
        The file.

    Returns
    -------
    strokes : tuple of Stroke
        At least one.

    Raises
    ------
    TableError
        Naming file, row and column.
    """
    sheet = _one_sheet(path)
    strokes = tuple(record for _, record in read_rows(Stroke, sheet, Habits(), []))
    if not strokes:
        raise TableError("there is no stroke", file=sheet.file, allowed="at least one row")
    return strokes


def _one_sheet(path: str | Path) -> Sheet:
    path = Path(path)
    if not path.exists():
        raise TableError("there is no such file", value=str(path))
    return read_sheet(path)


def read_points(path: str | Path) -> tuple[tuple[float, float], ...]:
    """
    Read points of an artwork from a CSV file with ``x, y, unit``.

    Parameters
    ----------
    path : path
        The file.

    Returns
    -------
    points : tuple of (float, float)
        In the artwork's coordinates. [mm]

    Raises
    ------
    TableError
        Naming file, row and column.
    """
    sheet = _one_sheet(path)
    return tuple((point.x, point.y) for _, point in read_rows(Point, sheet, Habits(), []))
