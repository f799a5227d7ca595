"""
Copies of a log while it is in use, and what can be read of a damaged one.

Every row stands twice in a log, in its table and in the history; a row lost in one place is taken from the other.
"""

from __future__ import annotations

import json
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path

from inlaylab.errors import InputError, LogError
from inlaylab.log.file import migrations
from inlaylab.log.file.faults import in_words
from inlaylab.log.file.making import making
from inlaylab.log.file.opening import LARGEST_LOG, check_header, look
from inlaylab.log.records import RECORDS, Row, read_shop, to_record
from inlaylab.log.references import check_shop

_PAGE = 4096
_MOST_PROBES = 100_000
_TABLES = (*RECORDS, "changes", "history")
_POINTS = {
    "grooves": (("bit", "bits"),),
    "cuts": (("bit", "bits"), ("pair", "pairs"), ("coupon", "coupons")),
    "readings": (("cut", "cuts"),),
    "forecasts": (("cut", "cuts"),),
}

_KINDS: dict[str, dict[str, type]] = {
    "changes": {"at": str, "by": str, "what": str},
    "history": {"change": int, "of_table": str, "row_id": int, "after": str},
}

Rows = dict[str, dict[int, Row]]


@dataclass(frozen=True, kw_only=True)
class Recovered:
    """
    What was read of a damaged log.

    Parameters
    ----------
    target : Path
        The new log.
    kept : dict
        Table to number of rows, deleted ones included.
    missing : tuple of str
        What could not be read, and what was taken from the history.
    """

    target: Path
    kept: dict[str, int]
    missing: tuple[str, ...]


def copy_log(path: str | Path, target: str | Path) -> Path:
    """
    Copy a log while others may be writing to it; the copy is one moment's whole state.

    Parameters
    ----------
    path : path
        The log.
    target : path
        Where there is no file yet.

    Returns
    -------
    target : Path
        The copy, verified.

    Raises
    ------
    LogError
        If the log is damaged, or the target is there or cannot be written.
    """
    path, target = Path(path), Path(target)
    _refuse_taken(target)
    with in_words(path):
        check_header(path)
    try:
        with making(target, empty=True) as temporary:
            with (
                in_words(path),
                closing(look(path)) as source,
                closing(sqlite3.connect(temporary, isolation_level=None)) as copy,
            ):
                source.backup(copy)
                copy.execute("PRAGMA journal_mode = DELETE")
                verdict = copy.execute("PRAGMA integrity_check(1)").fetchone()[0]
            if verdict != "ok":
                what = f"the log is damaged ({verdict}); no copy was made"
                raise LogError(what, where=str(path), allowed="recovering it into a new log")
    except FileExistsError:
        _refuse_taken(target)
    return target


def _refuse_taken(target: Path) -> None:
    if target.exists():
        raise LogError("there is a file of this name already", value=str(target), allowed="a new name")


def recover_log(path: str | Path, target: str | Path) -> Recovered:
    """
    Read what can be read of a damaged log into a new one; the damaged file is not touched.

    Parameters
    ----------
    path : path
        The damaged log.
    target : path
        Where there is no file yet.

    Returns
    -------
    recovered : Recovered
        What is in the new log, and what is missing.

    Raises
    ------
    LogError
        If nothing of a log can be read, or the target is there or cannot be written.
    """
    path, target = Path(path), Path(target)
    _refuse_taken(target)
    with in_words(path):
        if not path.is_file() or path.stat().st_size > LARGEST_LOG:
            raise LogError("there is no such log", value=str(path), allowed=f"a file up to {LARGEST_LOG // 10**6} MB")
        rows, damaged = _salvage(path)
    if not any(rows[table] for table in RECORDS):
        raise LogError("nothing of a log can be read in this file", value=str(path), allowed="a damaged log")
    missing: list[str] = []
    _say_what_is_uncounted(rows, damaged, missing)
    _take_from_history(rows, missing)
    _drop_unreadable(rows, missing)
    _stand_in_for_changes(rows, missing)
    _drop_strays(rows, missing)
    with in_words(target):
        try:
            with making(target) as temporary:
                _fill(temporary, rows, missing)
        except FileExistsError:
            _refuse_taken(target)
    kept = {table: len(rows[table]) for table in RECORDS}
    return Recovered(target=target, kept=kept, missing=tuple(missing))


def _salvage(path: Path) -> tuple[Rows, set[str]]:
    """Read every row that SQLite still finds, from a copy of the file; name the tables that are damaged."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "log"
        shutil.copyfile(path, copy)
        wal = path.with_name(path.name + "-wal")
        if wal.is_file():
            shutil.copyfile(wal, copy.with_name("log-wal"))
        with suppress(sqlite3.Error, UnicodeDecodeError), closing(sqlite3.connect(copy)) as connection:
            migrations.refuse_newer(migrations.version_of(connection), str(path))
        if not _has_schema(copy):
            _transplant_schema(copy)
        rows: Rows = {table: {} for table in _TABLES}
        damaged: set[str] = set()
        with (
            suppress(sqlite3.Error, UnicodeDecodeError),
            closing(sqlite3.connect(copy, isolation_level=None)) as connection,
        ):
            for table in _TABLES:
                rows[table], whole = _read_table(connection, table)
                if not whole:
                    damaged.add(table)
    for table, kinds in _KINDS.items():
        rows[table] = {
            number: row
            for number, row in rows[table].items()
            if all(isinstance(row.get(name), kind) for name, kind in kinds.items())
        }
    return rows, damaged


def _say_what_is_uncounted(rows: Rows, damaged: set[str], missing: list[str]) -> None:
    """Where a table and the history are both damaged nobody can tell how many rows there were."""
    if "history" in damaged:
        missing.append(f"history: {len(rows['history'])} entries were read, the others are lost")
        for table in RECORDS:
            if table in damaged:
                missing.append(f"{table}: damaged, and rows after the last that was read cannot be counted")


def _has_schema(copy: Path) -> bool:
    try:
        with closing(sqlite3.connect(copy)) as connection:
            names = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
            return {"bits", "cuts", "readings", "history"} <= names
    except (sqlite3.Error, UnicodeDecodeError):
        return False


def _transplant_schema(copy: Path) -> None:
    """
    Give a file whose first page is lost the first page of a new log.

    Each table of step 1 begins at the same page in both. Those of later steps may begin elsewhere in an older log: what
    is read in their place is no record, and theirs come from the history.
    """
    with tempfile.TemporaryDirectory() as folder:
        fresh = Path(folder) / "fresh"
        with closing(sqlite3.connect(fresh, isolation_level=None)) as connection:
            connection.execute(f"PRAGMA page_size = {_PAGE}")
            migrations.migrate(connection)
        whole = fresh.read_bytes()
    page = bytearray(whole[:_PAGE])
    wal = copy.with_name(copy.name + "-wal")
    page[18:20] = b"\2\2" if wal.exists() and wal.stat().st_size else b"\1\1"
    page[32:40] = bytes(8)
    last = copy.stat().st_size // _PAGE
    with copy.open("r+b") as stream:
        stream.truncate(last * _PAGE)
        for at in _schema_leaves(
            page
        ):  # put after the last page: in an older log other rows lie where a new log has them
            number = int.from_bytes(page[at : at + 4], "big")
            stream.seek(last * _PAGE)
            stream.write(whole[(number - 1) * _PAGE : number * _PAGE])
            last += 1
            page[at : at + 4] = last.to_bytes(4, "big")
        page[28:32] = last.to_bytes(4, "big")
        stream.seek(0)
        stream.write(page)


def _schema_leaves(page: bytearray) -> list[int]:
    """Return where a first page that is an interior page names the pages below it (SQLite file format, 1.6)."""
    if page[100] != 5:
        return []
    cells = int.from_bytes(page[103:105], "big")
    return [*(int.from_bytes(page[112 + 2 * i : 114 + 2 * i], "big") for i in range(cells)), 108]


def _read_table(connection: sqlite3.Connection, table: str) -> tuple[dict[int, Row], bool]:
    """Read a table from both ends, and what lies between damaged pages row by row; tell whether it was whole."""
    found, whole = _rows_of(connection, table, "ORDER BY id")
    if whole:
        return found, True
    found |= _rows_of(connection, table, "ORDER BY id DESC")[0]
    lost = [number for number in range(1, max(found, default=0) + 1) if number not in found]
    for number in lost[:_MOST_PROBES]:
        found |= _rows_of(connection, table, f"WHERE id = {number}")[0]
    return dict(sorted(found.items())), False


def _rows_of(connection: sqlite3.Connection, table: str, which: str) -> tuple[dict[int, Row], bool]:
    found: dict[int, Row] = {}
    try:
        cursor = connection.execute(f'SELECT * FROM "{table}" NOT INDEXED {which}')
        names = [column[0] for column in cursor.description]
        for values in cursor:
            row = dict(zip(names, values, strict=True))
            if isinstance(row.get("id"), int):
                found[row["id"]] = row
    except (sqlite3.Error, UnicodeDecodeError):
        return found, False
    return found, True


def _newest(rows: Rows) -> Iterator[tuple[str, int, Row]]:
    """Yield what the history says last of each row."""
    last: dict[tuple[str, int], Row] = {}
    for entry in rows["history"].values():
        with suppress(ValueError, TypeError):
            after = json.loads(entry["after"])
            if entry["of_table"] in RECORDS and isinstance(after, dict) and after.get("id") == entry["row_id"]:
                last[entry["of_table"], entry["row_id"]] = after
    for (table, number), after in last.items():
        yield table, number, after


def _take_from_history(rows: Rows, missing: list[str]) -> None:
    taken: dict[str, list[int]] = {}
    for table, number, after in _newest(rows):
        if not _readable(table, rows[table].get(number)) and _readable(table, after):
            rows[table][number] = after
            taken.setdefault(table, []).append(number)
    for table, numbers in taken.items():
        rows[table] = dict(sorted(rows[table].items()))
        missing.append(f"{table}: {_numbers(numbers)} taken from the history")


def _readable(table: str, row: Row | None) -> bool:
    try:
        return row is not None and to_record(table, row) is not None and row["deleted"] in (0, 1)
    except (LogError, KeyError):
        return False


def _drop_unreadable(rows: Rows, missing: list[str]) -> None:
    for table in RECORDS:
        rows[table] = {number: row for number, row in rows[table].items() if _readable(table, row)}
        last = max([*rows[table], *(n for t, n, _ in _newest(rows) if t == table)], default=0)
        lost = [number for number in range(1, last + 1) if number not in rows[table]]
        if lost:
            missing.append(f"{table}: {_numbers(lost)} cannot be read")


def _stand_in_for_changes(rows: Rows, missing: list[str]) -> None:
    """Keep what the history says of a change whose day and maker are lost."""
    lost = sorted({entry["change"] for entry in rows["history"].values()} - set(rows["changes"]))
    for number in lost:
        rows["changes"][number] = {"id": number, "at": "", "by": "", "what": "a change whose day and maker are lost"}
    if lost:
        missing.append(f"changes: day and maker of {_numbers(lost)} cannot be read")


def _drop_strays(rows: Rows, missing: list[str]) -> None:
    """Leave out rows that point to what is lost."""
    for table, points in _POINTS.items():
        for key, to in points:
            there = {row.get(key) for row in rows[to].values()}
            strays = [n for n, row in rows[table].items() if row.get(key) is not None and row[key] not in there]
            for number in strays:
                del rows[table][number]
            if strays:
                missing.append(f"{table}: {_numbers(strays)} left out, for their {key} is lost")


def _numbers(numbers: list[int]) -> str:
    some = ", ".join(map(str, numbers[:10])) + (f" and {len(numbers) - 10} more" if len(numbers) > 10 else "")
    return f"row {some}" if len(numbers) == 1 else f"rows {some}"


def _fill(temporary: Path, rows: Rows, missing: list[str]) -> None:
    """Write what was read into a new log, and leave out what it does not take."""
    with closing(sqlite3.connect(temporary, isolation_level=None)) as connection:
        connection.execute("PRAGMA foreign_keys = OFF")
        connection.execute("BEGIN IMMEDIATE")
        for table in _TABLES:
            columns = [column[1] for column in connection.execute(f'PRAGMA table_info("{table}")')]
            for number, row in list(rows[table].items()):
                names = [name for name in columns if name in row]
                listed = ", ".join(f'"{name}"' for name in names)
                try:
                    marks = ", ".join("?" * len(names))
                    connection.execute(
                        f'INSERT INTO "{table}" ({listed}) VALUES ({marks})', [row[name] for name in names]
                    )
                except (sqlite3.Error, OverflowError) as fault:
                    del rows[table][number]
                    missing.append(f"{table}: row {number} left out ({fault})")
        connection.execute("UPDATE changes SET undoes = NULL WHERE undoes NOT IN (SELECT id FROM changes)")
        connection.execute(
            "UPDATE changes SET taken_back_by = NULL WHERE taken_back_by NOT IN (SELECT id FROM changes)"
        )
        for table, row, parent, _ in connection.execute("PRAGMA foreign_key_check").fetchall():
            connection.execute(f'DELETE FROM "{table}" WHERE rowid = ?', (row,))
            rows[table].pop(row, None)
            missing.append(f"{table}: row {row} left out, for its row of {parent} is lost")
        connection.execute("COMMIT")
        shop = read_shop(connection)
    try:
        check_shop(shop)
    except InputError as fault:
        missing.append(f"please fix by hand: {fault}")
