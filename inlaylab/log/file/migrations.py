"""
The log's schema, step by step; each step is applied once, and its number is kept in ``user_version``.

A step that was ever released is never edited: a change of schema is a new step at the end.
"""

from __future__ import annotations

import sqlite3

from inlaylab.errors import LogError

APPLICATION_ID = 0x494E4C59
"""Marks an SQLite file as a log ("INLY")."""

_ROW = """
    deleted INTEGER NOT NULL DEFAULT 0 CHECK (deleted IN (0, 1)),
    typed TEXT NOT NULL DEFAULT '{}', extra TEXT NOT NULL DEFAULT '{}',
    unit TEXT NOT NULL DEFAULT 'mm' CHECK (unit IN ('mm', 'in', 'thou', ''))
"""

_RECORDS = (
    f"""CREATE TABLE bits (
    id INTEGER PRIMARY KEY, bit TEXT NOT NULL UNIQUE CHECK (length(bit) BETWEEN 1 AND 200),
    nominal_angle_deg REAL NOT NULL CHECK (nominal_angle_deg > 0 AND nominal_angle_deg < 180),
    tip_flat REAL CHECK (tip_flat >= 0), cutting_diameter REAL CHECK (cutting_diameter > 0),
    notes TEXT NOT NULL DEFAULT '', {_ROW})""",
    f"""CREATE TABLE grooves (
    id INTEGER PRIMARY KEY, bit TEXT NOT NULL REFERENCES bits (bit) ON UPDATE CASCADE, date TEXT,
    depth REAL NOT NULL CHECK (depth > 0), width REAL NOT NULL CHECK (width > 0), {_ROW})""",
    f"""CREATE TABLE pairs (
    id INTEGER PRIMARY KEY, pair TEXT NOT NULL UNIQUE CHECK (length(pair) BETWEEN 1 AND 200),
    host TEXT NOT NULL, "insert" TEXT NOT NULL, {_ROW})""",
    f"""CREATE TABLE coupons (
    id INTEGER PRIMARY KEY, coupon TEXT NOT NULL UNIQUE CHECK (length(coupon) BETWEEN 1 AND 200),
    stations TEXT NOT NULL, {_ROW})""",
    f"""CREATE TABLE cuts (
    id INTEGER PRIMARY KEY, cut TEXT NOT NULL UNIQUE CHECK (length(cut) BETWEEN 1 AND 200), date TEXT,
    bit TEXT NOT NULL REFERENCES bits (bit) ON UPDATE CASCADE,
    pair TEXT NOT NULL REFERENCES pairs (pair) ON UPDATE CASCADE,
    coupon TEXT REFERENCES coupons (coupon) ON UPDATE CASCADE,
    start_depth REAL NOT NULL CHECK (start_depth >= 0), pocket_depth REAL NOT NULL CHECK (pocket_depth > 0),
    relief_depth REAL NOT NULL CHECK (relief_depth >= 0), sanded_off REAL CHECK (sanded_off >= 0),
    path_angle_deg REAL CHECK (path_angle_deg > 0 AND path_angle_deg < 180), outline_offset REAL,
    pass_spacing REAL CHECK (pass_spacing >= 0), path_length_m REAL CHECK (path_length_m >= 0),
    outcome TEXT CHECK (outcome IN ('tight', 'hairline', 'open', 'proud', 'broken')),
    notes TEXT NOT NULL DEFAULT '', photo TEXT NOT NULL DEFAULT '', {_ROW})""",
    f"""CREATE TABLE readings (
    id INTEGER PRIMARY KEY, cut TEXT NOT NULL REFERENCES cuts (cut) ON UPDATE CASCADE, kind TEXT NOT NULL,
    station TEXT, value REAL CHECK (value >= 0), "limit" REAL CHECK ("limit" > 0), state TEXT,
    {_ROW}, CHECK (value IS NOT NULL OR state IS NOT NULL))""",
    "CREATE INDEX readings_of_cut ON readings (cut)",
)

_MEMORY = (
    """CREATE TABLE changes (
    id INTEGER PRIMARY KEY, at TEXT NOT NULL, "by" TEXT NOT NULL, what TEXT NOT NULL,
    undoes INTEGER REFERENCES changes (id), taken_back_by INTEGER REFERENCES changes (id))""",
    """CREATE TABLE history (
    id INTEGER PRIMARY KEY, change INTEGER NOT NULL REFERENCES changes (id), of_table TEXT NOT NULL,
    row_id INTEGER NOT NULL, before TEXT, after TEXT NOT NULL)""",
    "CREATE INDEX history_of_change ON history (change)",
)

_HABITS = (
    f"""CREATE TABLE habits (
    id INTEGER PRIMARY KEY CHECK (id = 1), pocket_depth REAL CHECK (pocket_depth > 0),
    relief_depth REAL CHECK (relief_depth >= 0), sanded_off REAL NOT NULL CHECK (sanded_off >= 0),
    tight_below REAL NOT NULL CHECK (tight_below > 0), hairline_below REAL NOT NULL CHECK (hairline_below > 0),
    loupe_limit REAL NOT NULL CHECK (loupe_limit > 0), maker TEXT NOT NULL DEFAULT '', {_ROW})""",
)

_FORECASTS = (
    """CREATE TABLE forecasts (
    id INTEGER PRIMARY KEY, cut TEXT NOT NULL REFERENCES cuts (cut) ON UPDATE CASCADE, made TEXT NOT NULL,
    within REAL NOT NULL CHECK (within > 0), chance REAL CHECK (chance BETWEEN 0 AND 1),
    known INTEGER NOT NULL CHECK (known >= 0), stations TEXT NOT NULL, origin TEXT,
    deleted INTEGER NOT NULL DEFAULT 0 CHECK (deleted IN (0, 1)))""",
    "CREATE INDEX forecasts_of_cut ON forecasts (cut)",
)

_HOW_IT_WAS_READ = (
    "ALTER TABLE readings ADD COLUMN method TEXT CHECK (method IN ('loupe', 'picture', 'feeler', 'gauge'))",
    "ALTER TABLE readings ADD COLUMN sd REAL CHECK (sd > 0)",
    "ALTER TABLE coupons ADD COLUMN layout TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE cuts ADD COLUMN picture TEXT NOT NULL DEFAULT ''",
)

_ORIGINS = tuple(
    f"ALTER TABLE {table} ADD COLUMN origin TEXT" for table in ("bits", "grooves", "pairs", "cuts", "readings")
)

_SESSIONS = ("ALTER TABLE changes ADD COLUMN session TEXT NOT NULL DEFAULT ''",)

_MERGES = ("ALTER TABLE changes ADD COLUMN merged TEXT NOT NULL DEFAULT ''",)

STEPS: tuple[tuple[str, ...], ...] = (
    (*_RECORDS, *_MEMORY),  # 1: records, and what was before each change
    _HABITS,  # 2: the shop's stated habits
    (*_FORECASTS, *_HOW_IT_WAS_READ, *_ORIGINS, *_SESSIONS),  # 3: forecasts, pictures, origins, and who may undo what
    _MERGES,  # 4: how far another log was taken in by a merge, for the next merge with it
)
"""Statements of each step; the version of a log is the number of steps that were applied to it."""

VERSION = len(STEPS)

LATER_COLUMNS: dict[str, dict[str, str | None]] = {
    **{table: {"origin": None} for table in ("bits", "grooves", "pairs")},
    "coupons": {"layout": ""},
    "cuts": {"picture": "", "origin": None},
    "readings": {"method": None, "sd": None, "origin": None},
}
"""What rows that the history remembers from before a step held in the columns that it added."""


def version_of(connection: sqlite3.Connection) -> int:
    """
    Return how many steps a log has seen.

    Parameters
    ----------
    connection : sqlite3.Connection
        An open log.

    Returns
    -------
    version : int
        0 for an empty file.
    """
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(connection: sqlite3.Connection, *, upto: int | None = None) -> int:
    """
    Bring a log to the newest schema, all steps in one transaction.

    Parameters
    ----------
    connection : sqlite3.Connection
        An open log, in autocommit.
    upto : int, optional
        Stop after this step; for making logs of an earlier schema.

    Returns
    -------
    steps : int
        How many were applied.

    Raises
    ------
    LogError
        If the log is newer than this inlaylab.
    """
    last = VERSION if upto is None else upto
    connection.execute("BEGIN IMMEDIATE")
    try:
        first = version_of(connection)
        refuse_newer(first)
        for statements in STEPS[first:last]:
            for statement in statements:
                connection.execute(statement)
        if first < last:
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {last}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
    return max(0, last - first)


def refuse_newer(version: int, where: str | None = None) -> None:
    """
    Refuse a log that a newer inlaylab has written.

    Parameters
    ----------
    version : int
        The log's version.
    where : str, optional
        The log, for the message.

    Raises
    ------
    LogError
        If the version is above `VERSION`.
    """
    if version > VERSION:
        what = "this log was written by a newer inlaylab and is left as it is; its version"
        raise LogError(what, value=version, where=where, allowed=f"up to version {VERSION}, or a newer inlaylab")
