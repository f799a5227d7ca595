"""What was changed in a log: by whom, when, what was there before and what after."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, field

from inlaylab.errors import LogError
from inlaylab.log.file.migrations import LATER_COLUMNS, version_of
from inlaylab.log.records import RECORDS, Record, Row, to_record


@dataclass(frozen=True, kw_only=True)
class Touched:
    """
    One row that a change touched.

    Parameters
    ----------
    table : str
        Its table.
    row : int
        Its id there.
    before_row, after_row : dict
        Its columns before (None: it was not there) and after.
    """

    table: str
    row: int
    before_row: Row | None
    after_row: Row

    @property
    def before(self) -> Record | None:
        """The record that was there before; None where there was none."""
        return _alive(self.table, self.before_row)

    @property
    def after(self) -> Record | None:
        """The record that is there after; None where it was deleted."""
        return _alive(self.table, self.after_row)


@dataclass(frozen=True, kw_only=True)
class Change:
    """
    One change of the log.

    Parameters
    ----------
    number : int
        Its number, for `Log.undo`.
    at : str
        When, ISO 8601, UTC.
    by : str
        Who typed it.
    what : str
        The change in words.
    undoes : int or None
        Number of the change that this one took back.
    taken_back : bool
        Whether it was itself taken back.
    session : str
        Which opening of a panel made it; blank where it was none.
    merged : str
        Of a merge: how far the other log was taken in, as JSON; blank for other changes.
    rows : tuple of Touched
        What it touched.
    """

    number: int
    at: str
    by: str
    what: str
    undoes: int | None = None
    taken_back: bool = False
    session: str = ""
    merged: str = field(default="", repr=False)
    rows: tuple[Touched, ...] = field(default=(), repr=False)

    def __str__(self) -> str:
        return self.what

    def touches_cut(self, cut: str) -> bool:
        """
        Tell whether a cut or one of its readings was touched.

        Parameters
        ----------
        cut : str
            Name of the cut.

        Returns
        -------
        answer : bool
            Whether it was.
        """
        return any(
            (row.before_row or {}).get("cut") == cut or row.after_row.get("cut") == cut
            for row in self.rows
            if row.table in ("cuts", "readings", "forecasts")
        )


def _alive(table: str, row: Row | None) -> Record | None:
    return None if row is None or row["deleted"] else to_record(table, row)


def _columns(table: str, text: str) -> Row:
    try:
        row = json.loads(text)
        if table in RECORDS and isinstance(row, dict) and row["deleted"] in (0, 1):
            return {**LATER_COLUMNS.get(table, {}), **row}
    except (ValueError, TypeError, KeyError, RecursionError):
        pass
    raise LogError("an entry of the history cannot be read", value=text, allowed="what `check` says about the log")


def read_changes(connection: sqlite3.Connection) -> list[Change]:
    """
    Read all changes of a log, newest first.

    Parameters
    ----------
    connection : sqlite3.Connection
        An open log.

    Returns
    -------
    changes : list of Change
        Newest first.

    Raises
    ------
    LogError
        If an entry is damaged.
    """
    touched: dict[int, list[Touched]] = {}
    asked = "SELECT change, of_table, row_id, before, after FROM history ORDER BY id"
    for change, table, row, before, after in connection.execute(asked):
        before_row = None if before is None else _columns(table, before)
        made = Touched(table=table, row=row, before_row=before_row, after_row=_columns(table, after))
        touched.setdefault(change, []).append(made)
    version = version_of(connection)
    session, merged = "session" if version >= 3 else "''", "merged" if version >= 4 else "''"
    asked = f'SELECT id, at, "by", what, undoes, taken_back_by, {session}, {merged} FROM changes ORDER BY id DESC'
    return [
        Change(
            number=number,
            at=at,
            by=by,
            what=what,
            undoes=undoes,
            taken_back=taken is not None,
            session=session,
            merged=merged,
            rows=tuple(touched.get(number, ())),
        )
        for number, at, by, what, undoes, taken, session, merged in connection.execute(asked)
    ]


def next_undo(changes: Sequence[Change], *, session: str = "") -> Change | None:
    """
    Return the change that an undo takes back.

    Parameters
    ----------
    changes : sequence of Change
        All of a log, newest first.
    session : str
        Only changes of this session; blank: of anybody.

    Returns
    -------
    change : Change or None
        The last that stands and took nothing back itself.
    """
    mine = (change for change in changes if not session or change.session == session)
    return next((change for change in mine if not change.taken_back and change.undoes is None), None)


def next_redo(changes: Sequence[Change], *, session: str = "") -> Change | None:
    """
    Return the taking back that a redo takes back in turn.

    Parameters
    ----------
    changes, session
        As in `next_undo`.

    Returns
    -------
    change : Change or None
        The last undo that stands, where nothing new was done since; its ``undoes`` is the change that comes again.
    """
    by_number = {change.number: change for change in changes}
    for change in changes:
        if session and change.session != session:
            continue
        if change.undoes is None:
            if not change.taken_back:
                return None
            continue
        took_back = by_number.get(change.undoes)
        if not change.taken_back and took_back is not None and took_back.undoes is None:
            return change
    return None
