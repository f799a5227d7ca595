"""One change of a log in the making: every row that it touches is remembered as it was before."""

from __future__ import annotations

import datetime
import json
import sqlite3
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from inlaylab.bench.bits import Groove
from inlaylab.bench.cuts import Cut
from inlaylab.bench.forecasts import Forecast
from inlaylab.bench.habits import Habits
from inlaylab.bench.readings import Reading
from inlaylab.errors import LogError, StaleError
from inlaylab.log.history import Change, Touched, next_redo, next_undo, read_changes
from inlaylab.log.records import KEYS, RECORDS, Record, Row, read_rows, table_of, to_record, to_row, write_row

FORECAST_FROM = (
    "bit",
    "pair",
    "coupon",
    "start_depth",
    "pocket_depth",
    "relief_depth",
    "path_angle_deg",
    "outline_offset",
    "pass_spacing",
)
"""What a cut is programmed as: a forecast is of these."""


class Work:
    """
    One change in the making, inside its transaction.

    Parameters
    ----------
    connection : sqlite3.Connection
        The log, in a transaction.
    what, by, session : str
        The change in words, who makes it, and in which session.
    """

    def __init__(self, connection: sqlite3.Connection, *, what: str, by: str, session: str = "") -> None:
        self._connection, self._what, self._by, self._session = connection, what, by, session
        self._change: int | None = None
        self.touched = 0

    def add(self, record: Record) -> None:
        """
        Add a record; one that was deleted under this name comes back with the new content.

        Parameters
        ----------
        record : record
            A bit, groove, pair, coupon, cut or reading.

        Raises
        ------
        LogError
            If its name is taken.
        """
        table = table_of(record)
        old = self._named(table, record)
        if old is not None and not old["deleted"]:
            name = getattr(record, KEYS[table])
            what = f"there is a {KEYS[table]} of this name in the log already"
            raise StaleError(
                what, mine=record, theirs=to_record(table, old), value=name, allowed="another name, or correcting it"
            )
        self._write(table, to_row(record), old)

    def correct(self, old: Record, new: Record) -> None:
        """
        Put ``new`` in the place of ``old``, which must still be there.

        A cut whose bit, pair, coupon or depths are corrected loses its forecast, which was of another cut.
        """
        table = table_of(old)
        if table_of(new) != table:
            raise LogError("a record of another kind", value=type(new).__name__, allowed=type(old).__name__)
        row = self._still_there(table, old, mine=new)
        if new != old:
            self._write(table, to_row(new), row)
            if (
                isinstance(old, Cut)
                and isinstance(new, Cut)
                and any(getattr(old, name) != getattr(new, name) for name in FORECAST_FROM)
            ):
                self._delete_of(new.cut, "forecasts")

    def delete(self, record: Record) -> None:
        """Mark a record as deleted, a cut with its readings and its forecast."""
        table = table_of(record)
        row = self._still_there(table, record, mine=None)
        self._write(table, {"deleted": 1}, row)
        if isinstance(record, Cut):
            self._delete_of(record.cut, "readings")
            self._delete_of(record.cut, "forecasts")

    def _delete_of(self, cut: str, table: str) -> None:
        for row in self._rows_of(cut, table):
            self._write(table, {"deleted": 1}, row)

    def keep_forecast(self, forecast: Forecast) -> None:
        """
        Keep what is expected of a cut, in place of an earlier forecast.

        Parameters
        ----------
        forecast : Forecast
            Made by a fit that knows no reading of the cut.

        Raises
        ------
        LogError
            If the cut has a reading already.
        """
        if self._rows_of(forecast.cut, "readings"):
            what = "this cut has been read, so nothing can be forecast of it any more"
            raise LogError(what, value=forecast.cut, allowed="a cut without readings")
        self._delete_of(forecast.cut, "forecasts")
        self.add(forecast)

    def replace_readings(self, cut: str, readings: Iterable[Reading], *, before: Sequence[Reading] | None) -> None:
        """
        Make these the readings of a cut; those that say the same stay as they are.

        Parameters
        ----------
        cut : str
            Name of the cut now.
        readings : iterable of Reading
            All its readings.
        before : sequence of Reading or None
            What they were when the correction was begun.

        Raises
        ------
        StaleError
            If ``before`` is given and no longer holds.
        """
        rows = self._rows_of(cut, "readings")
        there = [to_record("readings", row) for row in rows]
        if before is not None and [replace(record, cut=cut) for record in before] != there:
            what = f"somebody else has changed the readings of cut {cut}"
            raise StaleError(
                what, mine=tuple(readings), theirs=tuple(there), allowed="looking at both and saving again"
            )
        wanted = list(readings)
        left = []
        for row, record in zip(rows, there, strict=True):
            if record in wanted:
                wanted.remove(record)
            else:
                left.append((row, record))
        for row, record in left:
            match = next((r for r in wanted if (r.kind, r.station) == (record.kind, record.station)), None)
            if match is None:
                self._write("readings", {"deleted": 1}, row)
            else:
                wanted.remove(match)
                self._write("readings", to_row(match), row)
        for record in wanted:
            self.add(record)

    def set_habits(self, habits: Habits) -> None:
        """State the shop's habits."""
        rows = read_rows(self._connection, "habits", deleted=True)
        if not rows or rows[0]["deleted"] or to_record("habits", rows[0]) != habits:
            self._write("habits", to_row(habits), rows[0] if rows else None)

    def take_back(self, number: int | None) -> Change | None:
        """
        Put every row of a change back to what it was before.

        Parameters
        ----------
        number : int or None
            The change; None for the last that stands, of this session where there is one.

        Returns
        -------
        change : Change or None
            What was taken back.
        """
        changes = read_changes(self._connection)
        if number is None:
            target = next_undo(changes, session=self._session)
        else:
            target = next((c for c in changes if c.number == number), None)
            if target is None or target.taken_back:
                what = "there is no such change" if target is None else "this change is taken back already"
                raise LogError(what, value=number, allowed="a change of the history that stands")
        if target is None:
            return None
        self._what = f"did again: {target.what}" if target.undoes else f"took back: {target.what}"
        self._begin()
        for touched in reversed(target.rows):
            self._put_back(touched, target)
        self._connection.execute("UPDATE changes SET undoes = ? WHERE id = ?", (target.number, self._change))
        self._connection.execute("UPDATE changes SET taken_back_by = ? WHERE id = ?", (self._change, target.number))
        if target.undoes is not None:
            self._connection.execute("UPDATE changes SET taken_back_by = NULL WHERE id = ?", (target.undoes,))
        self.touched += 1
        return target

    def do_again(self) -> Change | None:
        """Take back the last taking back, if nothing new was done since; return the change that stands again."""
        changes = read_changes(self._connection)
        taking = next_redo(changes, session=self._session)
        if taking is None:
            return None
        self.take_back(taking.number)
        return next(change for change in changes if change.number == taking.undoes)

    def _put_back(self, touched: Touched, target: Change) -> None:
        now = self._one(f'SELECT * FROM "{touched.table}" WHERE id = ?', touched.row)
        if now is None:
            raise LogError("a row of this change is not in the log", value=touched.row, allowed="a sound log")
        if now != touched.after_row:
            raise StaleError(
                f"what change {target.number} did ({target.what}) was changed again since",
                mine=touched.before,
                theirs=None if now["deleted"] else to_record(touched.table, now),
                remedy="take back the later change first",
            )
        self._write(touched.table, touched.before_row or {"deleted": 1}, now)

    def _named(self, table: str, record: Record) -> Row | None:
        if table not in KEYS:
            return None
        key = KEYS[table]
        return self._one(f'SELECT * FROM "{table}" WHERE "{key}" = ?', getattr(record, key))

    def _still_there(self, table: str, record: Record, *, mine: Record | None) -> Row:
        rows = [self._named(table, record)] if table in KEYS else read_rows(self._connection, table)
        alive = [row for row in rows if row is not None and not row["deleted"]]
        for row in alive:
            if to_record(table, row) == record:
                return row
        theirs = to_record(table, alive[0]) if table in KEYS and alive else None
        what = f"{name_of(record)} was changed or deleted by somebody else since"
        raise StaleError(what, mine=mine, theirs=theirs, allowed="looking at both and saving again")

    def _rows_of(self, cut: str, table: str) -> list[Row]:
        cursor = self._connection.execute(f'SELECT * FROM "{table}" WHERE cut = ? AND deleted = 0 ORDER BY id', (cut,))
        names = [column[0] for column in cursor.description]
        return [dict(zip(names, values, strict=True)) for values in cursor]

    def _one(self, question: str, *values: str | int) -> Row | None:
        cursor = self._connection.execute(question, values)
        names = [column[0] for column in cursor.description]
        found = cursor.fetchone()
        return None if found is None else dict(zip(names, found, strict=True))

    def past(self) -> tuple[dict[str, dict[int, Row]], list[Change]]:
        """Return every row of the log, deleted ones too, by table and id, and its changes, newest first."""
        tables = {table: read_rows(self._connection, table, deleted=True) for table in RECORDS}
        rows = {table: {row["id"]: row for row in each} for table, each in tables.items()}
        return rows, read_changes(self._connection)

    def put(self, table: str, columns: Row, row_id: int | None) -> int:
        """
        Write a row as another log has it.

        Parameters
        ----------
        table : str
            Its table.
        columns : dict
            Its columns, without the id.
        row_id : int or None
            The row of this log that it takes the place of; None adds it.

        Returns
        -------
        row_id : int
            Its id here.
        """
        old = None if row_id is None else self._one(f'SELECT * FROM "{table}" WHERE id = ?', row_id)
        return self._write(table, columns, old)

    def remember_merge(self, merged: str) -> None:
        """Keep with this change how far another log was taken in; a merge that touched no row counts as a change."""
        self._connection.execute("UPDATE changes SET merged = ? WHERE id = ?", (merged, self._begin()))
        self.touched += 1

    def _begin(self) -> int:
        """Write the change itself, once."""
        if self._change is None:
            at = datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds")
            added = self._connection.execute(
                'INSERT INTO changes (at, "by", what, session) VALUES (?, ?, ?, ?)',
                (at, self._by, self._what, self._session),
            )
            self._change = int(added.lastrowid or 0)
        return self._change

    def _write(self, table: str, columns: Row, old: Row | None) -> int:
        """Write a row and remember what was there before."""
        change = self._begin()
        new = {"deleted": 0, **columns} if "deleted" not in columns else columns
        row_id = write_row(self._connection, table, {**new, "id": old["id"] if old else None})
        after = self._one(f'SELECT * FROM "{table}" WHERE id = ?', row_id)
        before = None if old is None else json.dumps(old, ensure_ascii=False)
        self._connection.execute(
            "INSERT INTO history (change, of_table, row_id, before, after) VALUES (?, ?, ?, ?, ?)",
            (change, table, row_id, before, json.dumps(after, ensure_ascii=False)),
        )
        self.touched += 1
        return row_id


def name_of(record: Record) -> str:
    """
    Return what a record is called in messages and in the history.

    Parameters
    ----------
    record : record of the bench
        Any that the log keeps.

    Returns
    -------
    name : str
        As "cut k1"; a name that begins with what it is stands alone, as "cut 2".
    """
    table = table_of(record)
    if table in KEYS:
        kind, name = KEYS[table], str(getattr(record, KEYS[table]))
        return name if name.startswith(f"{kind} ") else f"{kind} {name}"
    if isinstance(record, Reading):
        return " ".join(filter(None, (f"the {record.kind.replace('_', ' ')} of", record.cut, record.station)))
    if isinstance(record, Forecast):
        return f"the forecast of {record.cut}"
    return f"a groove of {record.bit}" if isinstance(record, Groove) else "the habits"


def added_words(records: Sequence[Record]) -> str:
    """
    Say what is added, for the history.

    Parameters
    ----------
    records : sequence of records
        Any that the log keeps.

    Returns
    -------
    what : str
        As "added bit sixty", "added 3 readings of k1", "added 2 bits and 1 pair".
    """
    if len(records) == 1 and not isinstance(records[0], Reading):
        return f"added {name_of(records[0])}"
    counts = Counter(table_of(record) for record in records)
    said = [f"{count} {table if count > 1 else table[:-1]}" for table, count in counts.items()]
    of = ""
    if set(counts) == {"readings"}:
        of = " of " + ", ".join(dict.fromkeys(record.cut for record in records if isinstance(record, Reading)))
    listed = " and ".join(filter(None, (", ".join(said[:-1]), *said[-1:]))) or "nothing"
    return f"added {listed}{of}"


def saved_words(cut: Cut, readings: int, *, new: bool) -> str:
    """Say that a cut is saved with its readings, for the history: as "added cut k1 with 3 readings"."""
    return f"{'added' if new else 'corrected'} {name_of(cut)} with {readings} reading{'' if readings == 1 else 's'}"
