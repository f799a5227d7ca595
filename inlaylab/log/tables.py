"""
A log as a folder of CSV tables: read into records, each row checked and every name followed to where it points.

``read_folder`` needs no database; ``import_folder`` and ``export_folder`` join it to one.
"""

from __future__ import annotations

from difflib import get_close_matches
from pathlib import Path
from typing import Any

from ..bench.bits import Bit, Groove
from ..bench.coupons import Station, Stroke
from ..bench.cuts import Cut, Pair
from ..bench.habits import Habits
from ..bench.readings import Reading
from ..bench.shop import Shop
from ..errors import TableError
from .csv_rows import Sheet, read_sheet
from .references import Placed, follow, new_rows, refuse_twice, whole_coupons
from .table_rows import read_rows

TABLES: dict[str, Any] = {
    "habits": Habits,
    "bits": Bit,
    "grooves": Groove,
    "pairs": Pair,
    "coupons": Station,
    "cuts": Cut,
    "readings": Reading,
}
"""Each table and the record that one of its rows makes."""


def read_folder(folder: str | Path, *, known: Shop | None = None) -> Shop:
    """
    Read a folder of tables into records.

    Parameters
    ----------
    folder : path
        Holds ``cuts.csv`` and the like; a missing table is an empty one.
    known : Shop, optional
        What a log holds already: rows may point to it, and its habits fill blank depths.

    Returns
    -------
    shop : Shop
        The folder's grooves, cuts and readings; bits, pairs and coupons of ``known`` and then the folder's new ones.

    Raises
    ------
    TableError
        Naming file, row and column of the first thing that cannot be taken.
    """
    known = known or Shop()
    placed = read_placed(folder, known=known)
    merged = {
        table: (*getattr(known, table), *(record for _, record in new_rows(placed, known, table)))
        for table in ("bits", "pairs", "coupons")
    }
    own = {table: tuple(placed.records(table)) for table in ("grooves", "cuts", "readings")}
    return Shop(**merged, **own, habits=placed.habits or known.habits)


def read_placed(folder: str | Path, *, known: Shop) -> Placed:
    """
    Read a folder of tables, keeping the place of each record.

    Parameters
    ----------
    folder : path
        The folder.
    known : Shop
        What rows may point to besides the folder's own.

    Returns
    -------
    placed : Placed
        Checked records.

    Raises
    ------
    TableError
        Naming file, row and column of the first thing that cannot be taken.
    """
    folder = Path(folder)
    placed = Placed()
    sheets = _sheets(folder, placed.notes)
    if "habits" in sheets:
        placed.habits = _habits(sheets["habits"])
    habits = placed.habits or known.habits
    for table, sheet in sheets.items():
        if table != "habits":
            placed.rows[table] = read_rows(TABLES[table], sheet, habits, placed.notes)
    placed.rows["coupons"] = whole_coupons(placed.rows.get("coupons", []))
    for table, key in (("bits", "bit"), ("pairs", "pair"), ("cuts", "cut")):
        refuse_twice(placed.rows.get(table, []), f"{table}.csv", key)
    follow(placed, known)
    return placed


def _sheets(folder: Path, notes: list[str]) -> dict[str, Sheet]:
    try:
        if not folder.is_dir():
            raise TableError("there is no such folder", value=str(folder), allowed="a folder of CSV tables")
        names = sorted(path.name for path in folder.iterdir())
    except OSError as fault:
        raise TableError(f"the folder cannot be read ({fault.strerror})", value=str(folder)) from None
    wanted = {f"{table}.csv": table for table in TABLES}
    for name in names:
        if name in wanted or not name.lower().endswith(".csv"):
            continue
        near = get_close_matches(name.lower()[:60], [w for w in wanted if w not in names], n=1, cutoff=0.8)
        if near:
            raise TableError("this table has nearly a known name", value=name, file=name, allowed=near[0])
        notes.append(f"{name} is no table of a log and was left alone")
    found = [name for name in wanted if name in names]
    if not found:
        raise TableError("the folder holds no table of a log", value=str(folder), allowed=", ".join(wanted))
    for name in found:
        if (folder / name).resolve().parent != folder.resolve():
            raise TableError("this table is a link that leads out of its folder", file=name)
    return {wanted[name]: read_sheet(folder / name) for name in found}


def _habits(sheet: Sheet) -> Habits | None:
    rows = read_rows(Habits, sheet, Habits(), [])
    if len(rows) > 1:
        raise TableError("habits are stated twice", file=sheet.file, row=rows[1][0], allowed="one row")
    return rows[0][1] if rows else None


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
