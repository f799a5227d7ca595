"""Rows of the log's tables and records of the bench, each made from the other."""

from __future__ import annotations

import json
import sqlite3
from typing import Any, TypeAlias

from inlaylab.bench import fields
from inlaylab.bench.bits import Bit, Groove
from inlaylab.bench.checks import near_column
from inlaylab.bench.coupons import Coupon, Station
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.bench.forecasts import Expected, Forecast
from inlaylab.bench.habits import Habits
from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.errors import InputError, LogError

Record: TypeAlias = Bit | Groove | Pair | Coupon | Cut | Reading | Forecast | Habits
"""What a row of the log may hold."""

Row: TypeAlias = dict[str, Any]
"""A row: its columns by name."""

RECORDS: dict[str, type[Record]] = {
    "bits": Bit,
    "grooves": Groove,
    "pairs": Pair,
    "coupons": Coupon,
    "cuts": Cut,
    "readings": Reading,
    "forecasts": Forecast,
    "habits": Habits,
}
"""Each table of the log and the record that its rows hold."""

_STATIONS: dict[str, type[Station] | type[Expected]] = {"coupons": Station, "forecasts": Expected}

KEYS = {"bits": "bit", "pairs": "pair", "coupons": "coupon", "cuts": "cut"}
"""Tables whose rows have a name of their own, and its column."""


def table_of(record: object) -> str:
    """
    Return the table that a record belongs to.

    Parameters
    ----------
    record : record of the bench
        Any of `RECORDS`.

    Returns
    -------
    table : str
        Its table.

    Raises
    ------
    LogError
        If the log keeps no such thing.
    """
    for table, record_class in RECORDS.items():
        if type(record) is record_class:
            return table
    raise LogError("the log keeps no such thing", value=type(record).__name__, allowed=", ".join(RECORDS))


def to_row(record: Record) -> Row:
    """
    Return the columns of a record.

    Parameters
    ----------
    record : record of the bench
        Any of `RECORDS`.

    Returns
    -------
    row : dict
        Column to text, number or None; dictionaries as JSON.
    """
    row = {}
    for name, value in fields.as_values(record).items():
        if name == "stations":
            value = json.dumps([fields.as_values(station) for station in value], ensure_ascii=False)
        elif isinstance(value, dict):
            value = json.dumps(value, ensure_ascii=False)
        row[name] = value
    return row


def to_record(table: str, row: Row) -> Any:
    """
    Make the record of a row.

    Parameters
    ----------
    table : str
        Its table.
    row : dict
        Its columns; those that the record does not have are left alone.

    Returns
    -------
    record : record of the bench
        Checked like any other.

    Raises
    ------
    LogError
        If the row holds what no record may.
    """
    record_class = RECORDS[table]
    try:
        values = {name: row[name] for name in record_class.__dataclass_fields__ if name in row}
        for name in ("typed", "extra"):
            if name in values:
                values[name] = json.loads(values[name])
        _keep_apart(record_class, values)
        if "stations" in values:
            values["stations"] = tuple(_station(table, station) for station in json.loads(values["stations"]))
        return record_class(**values)
    except (InputError, ValueError, TypeError, AttributeError) as fault:
        what = f"row {row.get('id')} of {table} cannot be read: {fault}"
        raise LogError(what, allowed="what `check` says about the log") from fault


def _station(table: str, values: Row) -> Station | Expected:
    _keep_apart(_STATIONS[table], values)
    station: Station | Expected = _STATIONS[table](**values)
    return station


def _keep_apart(record_class: type[Record | Station | Expected], values: Row) -> None:
    """Rename an extra column of an older log whose name has a meaning by now."""
    extra = values.get("extra") or {}
    if any(near_column(record_class, column) for column in extra):
        near = {column for column in extra if near_column(record_class, column)}
        values["extra"] = {f"{name} (as noted)" if name in near else name: text for name, text in extra.items()}


def read_rows(connection: sqlite3.Connection, table: str, *, deleted: bool = False) -> list[Row]:
    """
    Read the rows of a table.

    Parameters
    ----------
    connection : sqlite3.Connection
        An open log.
    table : str
        One of `RECORDS`.
    deleted : bool
        Whether deleted rows are wanted too.

    Returns
    -------
    rows : list of dict
        In the order in which they were added.
    """
    where = "" if deleted else " WHERE deleted = 0"
    cursor = connection.execute(f'SELECT * FROM "{table}"{where} ORDER BY id')
    names = [column[0] for column in cursor.description]
    return [dict(zip(names, values, strict=True)) for values in cursor]


def read_shop(connection: sqlite3.Connection) -> Shop:
    """
    Read every record of a log.

    Parameters
    ----------
    connection : sqlite3.Connection
        An open log.

    Returns
    -------
    shop : Shop
        Deleted rows are left out.

    Raises
    ------
    LogError
        If a row holds what no record may.
    """
    groups = {table: tuple(to_record(table, row) for row in read_rows(connection, table)) for table in RECORDS}
    habits = groups.pop("habits")
    return Shop(**groups, habits=habits[0] if habits else Habits())


def write_row(connection: sqlite3.Connection, table: str, row: Row) -> int:
    """
    Add a row, or write over the one of the same id.

    Parameters
    ----------
    connection : sqlite3.Connection
        An open log, inside a transaction.
    table : str
        One of `RECORDS`.
    row : dict
        Its columns; without an id it is added.

    Returns
    -------
    row_id : int
        Its id.
    """
    columns = [name for name in row if name != "id"]
    values = [row[name] for name in columns]
    if row.get("id") is not None:
        says = ", ".join(f'"{name}" = ?' for name in columns)
        connection.execute(f'UPDATE "{table}" SET {says} WHERE id = ?', [*values, row["id"]])
        return int(row["id"])
    names, marks = ", ".join(f'"{name}"' for name in columns), ", ".join("?" * len(columns))
    added = connection.execute(f'INSERT INTO "{table}" ({names}) VALUES ({marks})', values)
    return int(added.lastrowid or 0)
