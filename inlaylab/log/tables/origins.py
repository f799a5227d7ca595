"""
Whose page each row of a folder of tables came from, in a file beside them: the tables themselves stay as they were.

Rows are named by their number; where a table has another number of rows by now, its origins are left out and said so.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from inlaylab.bench.shop import Shop
from inlaylab.errors import RecordError, TableError
from inlaylab.log.tables.csv_rows import read_text

ORIGINS = "origins.json"
FIRST_ROW = {"forecasts": 1}
"""Number of a table's first row; of a CSV file it is 2, for the header is row 1."""
_TABLES = ("bits", "grooves", "pairs", "coupons", "cuts", "readings", "forecasts")


def write_origins(shop: Shop) -> dict[str, str]:
    """
    Write where the rows of a shop came from.

    Parameters
    ----------
    shop : Shop
        The records, in the order in which their tables are written.

    Returns
    -------
    texts : dict of str to str
        JSON text by file name; nothing where every row was logged here.
    """
    found = []
    for table in _TABLES:
        records = _rows(shop, table)
        named: dict[str, list[int]] = {}
        for number, record in enumerate(records, start=FIRST_ROW.get(table, 2)):
            if record.origin:
                named.setdefault(record.origin, []).append(number)
        found += [
            {"origin": origin, "table": table, "of": len(records), "rows": rows} for origin, rows in named.items()
        ]
    return {ORIGINS: json.dumps(found, ensure_ascii=False) + "\n"} if found else {}


def _rows(shop: Shop, table: str) -> Sequence[Any]:
    if table == "coupons":
        return [station for coupon in shop.coupons for station in coupon.stations]
    return tuple(getattr(shop, table))


def read_origins(folder: Path) -> dict[str, tuple[int, dict[int, str]]]:
    """
    Read where the rows of a folder of tables came from.

    Parameters
    ----------
    folder : Path
        The folder.

    Returns
    -------
    origins : dict
        By table: how many rows it had, and the origin by row number.

    Raises
    ------
    TableError
        Where the file is not of this kind.
    """
    path = folder / ORIGINS
    if not path.is_file():
        return {}
    origins: dict[str, tuple[int, dict[int, str]]] = {}
    try:
        for entry in json.loads(read_text(path)):
            table, of, origin = str(entry["table"]), int(entry["of"]), str(entry["origin"])
            named = origins.setdefault(table, (of, {}))[1]
            named.update({int(row): origin for row in entry["rows"]})
    except (ValueError, TypeError, KeyError, RecursionError):
        raise TableError("this file names no origins", file=ORIGINS, allowed="JSON as `export` writes it") from None
    return origins


def with_origins(
    rows: list[tuple[int, Any]], table: str, origins: Mapping[str, tuple[int, dict[int, str]]], notes: list[str]
) -> list[tuple[int, Any]]:
    """
    Give rows their origins.

    Parameters
    ----------
    rows : list of (int, record)
        Row number and record.
    table : str
        Which table they are of.
    origins : mapping
        As `read_origins` gives them.
    notes : list of str
        Takes a word where the table has changed too much.

    Returns
    -------
    rows : list of (int, record)
        A row that states its own origin keeps it.

    Raises
    ------
    TableError
        Where an origin is not one.
    """
    of, named = origins.get(table, (0, {}))
    if not named:
        return rows
    if of != len(rows):
        notes.append(f"{ORIGINS} is about {of} rows of {table}, there are {len(rows)}: left alone")
        return rows
    try:
        return [
            (row, replace(record, origin=named[row]) if row in named and not record.origin else record)
            for row, record in rows
        ]
    except RecordError as fault:
        raise TableError(fault.what, value=fault.value, file=ORIGINS, allowed=fault.allowed) from None
