"""
A log as a folder of CSV tables: read into records, each row checked and every name followed to where it points.

``read_folder`` needs no database; ``import_folder`` and ``export_folder`` join it to one. An export does not carry the
history of changes nor deleted rows: it says so in its README.txt.
"""

from __future__ import annotations

import os
import shutil
import uuid
from collections import Counter
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from inlaylab.bench import fields
from inlaylab.bench.bits import Bit, Groove
from inlaylab.bench.coupons import Station
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.bench.forecasts import Forecast
from inlaylab.bench.habits import Habits
from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.errors import LogError, TableError
from inlaylab.log.file.making import making, sweep
from inlaylab.log.kept_pictures import copy_pictures
from inlaylab.log.records import Record
from inlaylab.log.references import (
    NOT_CONTENT,
    Placed,
    follow,
    new_layouts,
    new_rows,
    refuse_twice,
    same_content,
    whole_coupons,
)
from inlaylab.log.store import Log
from inlaylab.log.tables.csv_rows import Sheet, read_sheet, write_sheet
from inlaylab.log.tables.nested import read_nested, write_nested
from inlaylab.log.tables.rows import Written, read_rows, write_rows

TABLES: dict[str, type[Written]] = {
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
    own = {table: tuple(placed.records(table)) for table in ("grooves", "cuts", "readings", "forecasts")}
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
    read_nested(folder, [path.name for path in folder.iterdir()], placed, known)
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
        notes.append(f"{name} is not a table of a log and was left alone")
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


@dataclass(frozen=True, kw_only=True)
class Imported:
    """
    What an import did.

    Parameters
    ----------
    added, already : dict
        Table to number of records that were taken, and of those that the log held already.
    notes : tuple of str
        What was kept though inlaylab has no use for it.
    """

    added: dict[str, int] = field(default_factory=dict)
    already: dict[str, int] = field(default_factory=dict)
    notes: tuple[str, ...] = ()

    def words(self) -> str:
        """
        Say what was done.

        Returns
        -------
        text : str
            One or more lines.
        """
        added = ", ".join(
            f"{count} {table.removesuffix('s') if count == 1 else table}"
            for table, count in self.added.items()
            if count
        )
        lines = [f"Added {added}." if added else "Nothing was new."]
        already = ", ".join(
            f"{count} {table.removesuffix('s') if count == 1 else table}"
            for table, count in self.already.items()
            if count
        )
        if already:
            lines.append(f"In the log already: {already}.")
        return "\n".join([*lines, *(note + "." for note in self.notes)])


def import_folder(log_path: str | Path, folder: str | Path, *, by: str = "import") -> Imported:
    """
    Add a folder of tables to a log, making the log where there is none: all of it or nothing.

    Records that the log holds already are passed over; a name that says something else there is refused. A reading of a
    cut that is in the log counts as there already if the log holds as many of the same.

    Parameters
    ----------
    log_path : path
        The log.
    folder : path
        Its tables.
    by : str
        Who brings them, for the history.

    Returns
    -------
    imported : Imported
        What was added.

    Raises
    ------
    TableError
        Naming file, row and column of the first thing that cannot be taken; then nothing is.
    LogError
        If the log cannot be opened or written.
    """
    log_path, folder = Path(log_path), Path(folder)
    sweep(log_path)
    if not log_path.exists():
        placed = read_placed(folder, known=Shop())
        with suppress(FileExistsError), making(log_path) as temporary:
            with Log.open(temporary) as log:
                imported = _take(log, folder, by, placed=placed)
            return imported
    with Log.open(log_path) as log:
        return _take(log, folder, by)


def _take(log: Log, folder: Path, by: str, *, placed: Placed | None = None) -> Imported:
    """Take a folder into a log; ``placed`` is what was read of it already, for a log that is empty."""
    with log.change(f"imported {folder.absolute().name}", by=by) as work:
        known = log.shop()
        placed = placed or read_placed(folder, known=known)
        new: dict[str, list[Any]] = {}
        for table in ("bits", "pairs", "coupons", "cuts"):
            new[table] = [record for _, record in new_rows(placed, known, table)]
        for table in ("grooves", "readings", "forecasts"):
            new[table] = not_there(placed.records(table), getattr(known, table))
        for old, coupon in new_layouts(placed, known):
            work.correct(old, coupon)
        if placed.habits is not None:
            stated = log.stated_habits()
            differs = same_content(placed.habits, stated) if stated else None
            if stated and differs:
                what = "the log states another habit"
                value, theirs = getattr(placed.habits, differs), getattr(stated, differs)
                allowed = f"the log's ({theirs}), or no habits.csv"
                raise TableError(what, value=value, file="habits.csv", row=2, column=differs, allowed=allowed)
            if not stated:
                work.set_habits(placed.habits)
        for table in ("bits", "grooves", "pairs", "coupons", "cuts", "readings", "forecasts"):
            for record in new[table]:
                work.add(record)
        copy_pictures(new["cuts"], folder, log.path.resolve().parent)
    added = {table: len(records) for table, records in new.items()}
    already = {table: len(placed.records(table)) - count for table, count in added.items()}
    return Imported(added=added, already=already, notes=tuple(placed.notes))


def not_there(records: Sequence[Record], there: Sequence[Record]) -> list[Record]:
    """
    Give records without a name of which the log does not hold as many.

    Parameters
    ----------
    records : list of records
        To be added.
    there : tuple of records
        What the log holds.

    Returns
    -------
    new : list of records
        Those that are not there yet.
    """
    left = Counter(_says(record) for record in there)
    new = []
    for record in records:
        key = _says(record)
        if left[key] > 0:
            left[key] -= 1
        else:
            new.append(record)
    return new


def _says(record: Record) -> str:
    values = {name: value for name, value in fields.as_values(record).items() if name not in NOT_CONTENT}
    if isinstance(record, Forecast):
        values["stations"] = [fields.as_values(station) for station in record.stations]
    return fields.canonical(values)


def export_folder(log_path: str | Path, folder: str | Path) -> str:
    """
    Write a log as a folder of tables; importing them again gives an equal log.

    Parameters
    ----------
    log_path : path
        The log.
    folder : path
        A new or empty folder.

    Returns
    -------
    said : str
        What was written, and that the history was not.

    Raises
    ------
    LogError
        If the folder is there and not empty, or cannot be written; then nothing is.
    """
    with Log.open(log_path) as log:
        shop, stated = log.shop(), log.stated_habits()
    write_folder(shop, folder, habits=stated, pictures=Path(log_path).resolve().parent)
    said = f"{_counted('cuts', len(shop.cuts))} and {_counted('readings', len(shop.readings))}"
    return f"Wrote {said}. {_README}"


_README = "The history of changes and deleted rows stay in the log; these tables do not carry them."


def write_folder(shop: Shop, folder: str | Path, *, habits: Habits | None = None, pictures: Path | None = None) -> None:
    """
    Write a shop as a folder of tables, all of it or nothing.

    Parameters
    ----------
    shop : Shop
        The records.
    folder : path
        A new or empty folder.
    habits : Habits, optional
        The habits it states; without them there is no ``habits.csv``.
    pictures : Path, optional
        The folder of the log, to copy the pictures from that its cuts name.

    Raises
    ------
    LogError
        If the folder is there and not empty, or cannot be written.
    """
    folder = Path(folder).absolute()
    kept: dict[str, Sequence[Written]] = {table: getattr(shop, table) for table in TABLES}
    kept["coupons"] = [station for coupon in shop.coupons for station in coupon.stations]
    kept["habits"] = [] if habits is None else [habits]
    texts = {"README.txt": f"A log of test cuts as tables, written by inlaylab.\n{_README}\n"}
    for table, record_class in TABLES.items():
        if table != "habits" or habits is not None:
            texts[f"{table}.csv"] = write_sheet(*write_rows(record_class, kept[table]))
    texts |= write_nested(shop)
    temporary = folder.with_name(f".{folder.name}.{uuid.uuid4().hex[:12]}.new")
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise LogError("this folder is not empty", value=str(folder), allowed="a new or empty folder")
        folder.parent.mkdir(parents=True, exist_ok=True)
        temporary.mkdir()
        for name, text in texts.items():
            with (temporary / name).open("w", encoding="utf-8", newline="") as stream:
                stream.write(text)
                stream.flush()
                os.fsync(stream.fileno())
        if pictures is not None:
            copy_pictures(shop.cuts, pictures, temporary)
        if folder.exists():
            folder.rmdir()
        temporary.rename(folder)
    except OSError as fault:
        what = f"the folder cannot be written ({fault.strerror}); nothing was"
        raise LogError(what, value=str(folder), allowed="a folder that may be written, on a drive with room") from fault
    finally:
        shutil.rmtree(temporary, ignore_errors=True)


def _counted(table: str, count: int) -> str:
    """Say how many rows of a table there are."""
    return f"{count} {table.removesuffix('s') if count == 1 else table}"
