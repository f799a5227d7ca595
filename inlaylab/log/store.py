"""
The shop's log: one SQLite file that keeps every record, and what was there before each change.

``with Log.open(path) as log: shop = log.shop()`` reads; ``log.save_cut(cut, readings, by="Ada")`` writes, all of it or
nothing.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType

from inlaylab.bench.cuts import Cut
from inlaylab.bench.forecasts import Forecast
from inlaylab.bench.habits import Habits
from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.errors import LogError, RecordError
from inlaylab.log.change import Work, added_words, name_of, saved_words
from inlaylab.log.file import opening
from inlaylab.log.file.faults import in_words
from inlaylab.log.file.making import making
from inlaylab.log.history import Change, next_redo, next_undo, read_changes
from inlaylab.log.records import Record, read_rows, read_shop, to_record
from inlaylab.log.references import check_shop


class Log:
    """
    An open log; made by `Log.open` or `Log.make`, used as a context manager.

    Parameters
    ----------
    path : Path
        Its file.
    connection : sqlite3.Connection
        Open on it.
    read_only : bool
        Whether nothing can be written.
    note : str
        What the maker should know about the drive; empty where all is as it should be.
    session : str
        Which opening of a panel writes; undo and redo then keep to its own changes.
    """

    def __init__(
        self,
        path: Path,
        connection: sqlite3.Connection,
        *,
        read_only: bool = False,
        note: str = "",
        session: str = "",
    ) -> None:
        self.path, self.read_only, self.note, self.session = path, read_only, note, session
        self._connection = connection

    @classmethod
    def open(cls, path: str | Path, *, make: bool = False, session: str = "") -> Log:
        """
        Open a log, bringing an older one to the newest schema after a copy was put beside it.

        Parameters
        ----------
        path : path
            The log's file.
        make : bool
            Whether to make it where there is none.
        session : str
            A text of its own each time a panel is opened, kept with every change it makes; blank for none.

        Returns
        -------
        log : Log
            To be closed, best by ``with``. Read-only where file or folder cannot be written.

        Raises
        ------
        LogError
            If there is no such log, it is none, damaged, or newer than this inlaylab.
        """
        path = Path(path)
        if make and not path.exists():
            with suppress(FileExistsError), making(path):
                pass  # or another program made it just now
        connection, read_only, note = opening.open_log(path)
        return cls(path, connection, read_only=read_only, note=note, session=session)

    @classmethod
    def make(cls, path: str | Path) -> Log:
        """
        Make a new, empty log and open it.

        Parameters
        ----------
        path : path
            Where there is no file yet.

        Returns
        -------
        log : Log

        Raises
        ------
        LogError
            If there is a file already, or the folder cannot be written.
        """
        path = Path(path)
        try:
            if path.exists():
                raise FileExistsError(path)
            with making(path):
                pass
        except FileExistsError:
            raise LogError("there is a file of this name already", value=str(path), allowed="a new name") from None
        return cls.open(path)

    def __enter__(self) -> Log:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        with in_words(self.path):
            self._connection.close()

    def shop(self) -> Shop:
        """
        Return every record of the log, as one moment left it.

        Returns
        -------
        shop : Shop
        """
        with in_words(self.path), self._moment():
            return read_shop(self._connection)

    def fingerprint(self) -> str:
        """Return the fingerprint of `shop`: a hash over all content that matters to a fit."""
        return self.shop().fingerprint()

    def stated_habits(self) -> Habits | None:
        """Return the habits that the shop has stated, or None."""
        with in_words(self.path):
            rows = read_rows(self._connection, "habits")
        return to_record("habits", rows[0]) if rows else None

    def history(self, cut: str | None = None, *, longest: int | None = 1000) -> tuple[Change, ...]:
        """
        Return what was changed, newest first.

        Parameters
        ----------
        cut : str, optional
            Only changes that touched this cut or its readings.
        longest : int or None
            How many changes at most.

        Returns
        -------
        changes : tuple of Change
        """
        with in_words(self.path), self._moment():
            changes = read_changes(self._connection)
        if cut is not None:
            changes = [change for change in changes if change.touches_cut(cut)]
        return tuple(changes[:longest])

    @contextmanager
    def _moment(self) -> Iterator[None]:
        """Read as one moment left it, whatever others write meanwhile."""
        if self._connection.in_transaction:
            yield
            return
        self._connection.execute("BEGIN")
        try:
            yield
        finally:
            self._connection.execute("ROLLBACK")

    def add(self, records: Record | Iterable[Record], *, by: str = "", what: str = "") -> None:
        """
        Add a record or several, all of them or none.

        Parameters
        ----------
        records : record or iterable of records
            Bits, grooves, pairs, coupons, cuts, readings or forecasts; what is pointed to first.
        by, what : str
            Who typed them; the change in words, by default what was added.

        Raises
        ------
        LogError, RecordError
            If a name is taken, or the log cannot be written; if a record points nowhere.
        """
        each = (records,) if isinstance(records, Record) else tuple(records)
        with self.change(what or added_words(each), by=by) as change:
            for record in each:
                change.add(record)

    def save_cut(
        self,
        cut: Cut,
        readings: Iterable[Reading] = (),
        *,
        by: str = "",
        based_on: Cut | None = None,
        readings_before: Sequence[Reading] | None = None,
        forecast: Forecast | None = None,
    ) -> None:
        """
        Save a cut with all its readings, new or corrected, all of it or nothing.

        Parameters
        ----------
        cut : Cut
            The cut.
        readings : iterable of Reading
            All its readings; of a corrected cut they take the place of those it had.
        by : str
            Who typed it.
        based_on : Cut, optional
            The cut as it was when the correction was begun; without it the cut must be new.
        readings_before : sequence of Reading, optional
            Its readings as they were then; given, a change of theirs by somebody else is noticed too.
        forecast : Forecast, optional
            What a fit that knows none of these readings expects; the cut must have had none before.

        Raises
        ------
        StaleError
            If somebody else has changed the cut, or its readings, since.
        LogError
            If the name is taken, or the log cannot be written.
        InputError
            If a name points nowhere.
        """
        readings = tuple(readings)
        stray = next((reading for reading in readings if reading.cut != cut.cut), None)
        if stray is not None:
            raise RecordError("a reading of another cut", field="cut", value=stray.cut, allowed=cut.cut)
        with self.change(saved_words(cut, len(readings), new=based_on is None), by=by) as change:
            if based_on is None:
                change.add(cut)
            else:
                change.correct(based_on, cut)
            if forecast is not None:
                change.keep_forecast(forecast)
            change.replace_readings(cut.cut, readings, before=readings_before)

    def correct(self, old: Record, new: Record, *, by: str = "") -> None:
        """
        Put one record in the place of another of its kind.

        Parameters
        ----------
        old, new : record
            The record as it was when the correction was begun, and what it should be.
        by : str
            Who typed it.

        Raises
        ------
        StaleError
            If the log no longer holds ``old``; carries what it holds now.
        """
        with self.change(f"corrected {name_of(old)}", by=by) as change:
            change.correct(old, new)

    def delete(self, record: Record, *, by: str = "") -> None:
        """
        Mark a record as deleted, a cut with its readings and forecast; `undo` takes the mark back.

        Parameters
        ----------
        record : record
            The record as it was last seen.
        by : str
            Who deletes it.

        Raises
        ------
        StaleError, RecordError
            If the log no longer holds it so; if other records need it.
        """
        with self.change(f"deleted {name_of(record)}", by=by) as change:
            change.delete(record)

    def set_habits(self, habits: Habits, *, by: str = "") -> None:
        """State the shop's habits; depths of cuts that are in the log stay as they are."""
        with self.change("stated the shop's habits", by=by) as change:
            change.set_habits(habits)

    def next_undo(self) -> Change | None:
        """Return what `undo` would take back, in words (``what``) and row by row; None: nothing."""
        return next_undo(self.history(longest=None), session=self.session)

    def next_redo(self) -> Change | None:
        """Return what `redo` would do again; None: nothing, or something new was done since."""
        changes = self.history(longest=None)
        taking = next_redo(changes, session=self.session)
        return next((change for change in changes if taking and change.number == taking.undoes), None)

    def undo(self, change: int | None = None, *, by: str = "") -> Change | None:
        """
        Take back a change; the taking back is a change itself, which `redo` takes back.

        Parameters
        ----------
        change : int, optional
            Number of the change; by default the last that stands and took nothing back itself, in an opening that has
            a session: the last of this session.
        by : str
            Who takes it back.

        Returns
        -------
        change : Change or None
            What was taken back; None where there was nothing.

        Raises
        ------
        StaleError
            If its rows were changed again since.
        LogError, RecordError
            If there is no such change or it is taken back already; if other records need what it added.
        """
        with self.change("", by=by) as work:
            return work.take_back(change)

    def redo(self, *, by: str = "") -> Change | None:
        """
        Do again what `undo` took back last, as long as nothing new was done since; faults are those of `undo`.

        Parameters
        ----------
        by : str
            Who does it again.

        Returns
        -------
        change : Change or None
            What was done again.
        """
        with self.change("", by=by) as work:
            return work.do_again()

    @contextmanager
    def change(self, what: str, *, by: str = "") -> Iterator[Work]:
        """
        Change the log: everything inside the block is saved when it ends, or nothing is.

        Parameters
        ----------
        what : str
            The change in words, for the history.
        by : str
            Who makes it.

        Yields
        ------
        work : Work
            Adds, corrects and deletes.

        Raises
        ------
        LogError
            If the log cannot be written, or what was done does not hold together.
        """
        if self.read_only:
            raise LogError(
                "this log is read-only", value=str(self.path), remedy="make its file writable, or work on a copy"
            )
        if not isinstance(by, str) or len(by) > 200 or "\0" in by:
            raise LogError("the name of who typed it", value=by, allowed="a text of up to 200 characters")
        with in_words(self.path):
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                self._connection.execute("PRAGMA defer_foreign_keys = ON")
                work = Work(self._connection, what=what, by=by.strip(), session=self.session)
                yield work
                if work.touched:
                    check_shop(read_shop(self._connection))
                    self._connection.execute("COMMIT")
                else:
                    self._connection.execute("ROLLBACK")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise
