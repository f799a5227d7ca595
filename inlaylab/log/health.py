"""
What contradicts what in a log, and whether its file is sound.

``problems`` looks at records, ``check_file`` at the file. A contradiction is no refusal: both sides stay in the log
until the maker says which is wrong.
"""

from __future__ import annotations

import datetime
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from inlaylab.bench.shop import Shop
from inlaylab.errors import InputError, LogError
from inlaylab.log.contradictions import contradictions
from inlaylab.log.file import migrations
from inlaylab.log.file.faults import in_words
from inlaylab.log.file.opening import check_header, look
from inlaylab.log.history import read_changes
from inlaylab.log.records import RECORDS, read_rows, to_record
from inlaylab.log.references import check_shop


@dataclass(frozen=True, kw_only=True)
class Problem:
    """
    Something that cannot be as it stands.

    Parameters
    ----------
    where : str
        Cut, station, bit or file.
    what : str
        What contradicts what.
    """

    where: str
    what: str


def problems(shop: Shop, *, today: datetime.date | None = None, unit: str | None = None) -> tuple[Problem, ...]:
    """
    Name the records of a shop that contradict each other.

    Parameters
    ----------
    shop : Shop
        All records.
    today : date, optional
        Later dates are named; by default the day it is.
    unit : str, optional
        The reader's unit; without it lengths are said in the unit of their own row.

    Returns
    -------
    problems : tuple of Problem
        Empty where all agree.
    """
    today = today or datetime.datetime.now(datetime.UTC).date() + datetime.timedelta(days=1)
    return tuple(Problem(where=where, what=what) for where, what in contradictions(shop, today=today, unit=unit))


def check_file(path: str | Path) -> tuple[Problem, ...]:
    """
    Verify a log's file without changing it.

    Parameters
    ----------
    path : path
        The log.

    Returns
    -------
    problems : tuple of Problem
        Faults of the file name it in ``where``; then `rescue.recover_log` reads what can be read. A photo that is not
        there names its cut.

    Raises
    ------
    LogError
        If there is no such file, or it is no log, or a newer one.
    """
    path = Path(path)
    with in_words(path):
        check_header(path)
    found: list[str] = []
    photos: list[Problem] = []
    try:
        with in_words(path), closing(look(path)) as connection:
            found += _sound(connection)
            if not found:
                found += _readable(connection)
                photos += _photos(connection, path)
    except LogError as fault:
        found.append(fault.what)
    return (*(Problem(where=path.name, what=what) for what in found), *photos)


def _sound(connection: sqlite3.Connection) -> list[str]:
    migrations.refuse_newer(migrations.version_of(connection))
    found = [str(row[0]) for row in connection.execute("PRAGMA integrity_check(20)") if row[0] != "ok"]
    strays = connection.execute("SELECT type, name FROM sqlite_master WHERE type IN ('trigger', 'view')").fetchall()
    found += [f"it holds a {kind} ({name}), which no log does" for kind, name in strays]
    if not found:
        lost = connection.execute("PRAGMA foreign_key_check").fetchall()
        found += [
            f"row {row} of {table} points to a row of {parent} that is not there" for table, row, parent, _ in lost
        ]
    return found


def _readable(connection: sqlite3.Connection) -> list[str]:
    found: list[str] = []
    groups: dict[str, Any] = {}
    there = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    for table in RECORDS:
        groups[table] = []
        if table not in there:
            continue  # an older log's file, looked at before it is brought up
        for row in read_rows(connection, table):
            try:
                groups[table].append(to_record(table, row))
            except LogError as fault:
                found.append(fault.what)
    if not found:
        habits = groups.pop("habits")
        try:
            check_shop(Shop(**groups, **({"habits": habits[0]} if habits else {})))
        except InputError as fault:
            found.append(str(fault))
    try:
        read_changes(connection)
    except LogError as fault:
        found.append(fault.what)
    return found


def _photos(connection: sqlite3.Connection, path: Path) -> Iterator[Problem]:
    kept = ("photo", "picture") if migrations.version_of(connection) >= 3 else ("photo",)
    for word in kept:
        rows = connection.execute(f"SELECT cut, {word} FROM cuts WHERE deleted = 0 AND {word} <> '' ORDER BY id")
        for cut, name in rows:
            if not (path.parent / name).is_file():
                yield Problem(where=f"cut {cut}", what=f"its {word} {name} is not in the log's folder")
