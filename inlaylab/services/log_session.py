"""A log as one opening of a panel works on it: it reads with everybody, and takes back only what it did itself."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from inlaylab.services.open_log import OpenLog
from inlaylab.services.updates import Updates, updates_of

if TYPE_CHECKING:
    from inlaylab.bench.shop import Shop
    from inlaylab.log.store import Log


class LogSession:
    """
    One opening of a log.

    Parameters
    ----------
    log : path
        The log.

    Attributes
    ----------
    path : Path
        The log.
    updates : Updates
        What keeps it and its fit up to date.
    """

    def __init__(self, log: str | Path):
        self.path = Path(log)
        self.updates: Updates = updates_of(self.path)
        self._name = uuid.uuid4().hex

    @property
    def opened(self) -> OpenLog:
        """The log and its fit as they were last read."""
        return self.updates.opened

    @property
    def shop(self) -> Shop:
        """The records of the log."""
        return self.updates.opened.shop

    def listen(self, action: Callable[[], None]) -> None:
        """Have a bound method called whenever anybody has changed the log or its fit."""
        self.updates.listen(action)

    @contextmanager
    def write(self) -> Iterator[Log]:
        """
        Open the log for changes of this session; once they are saved the answers are worked out anew.

        Yields
        ------
        log : Log
            Closed when the block ends.
        """
        from inlaylab.log.store import Log

        try:
            with Log.open(self.path, session=self._name) as log:
                yield log
        finally:
            self.updates.changed()

    def next_undo(self) -> str:
        """Say what `undo` would take back; blank where there is nothing."""
        from inlaylab.log.store import Log

        with Log.open(self.path, session=self._name) as log:
            change = log.next_undo()
        return change.what if change else ""

    def next_redo(self) -> str:
        """Say what `redo` would do again; blank where there is nothing."""
        from inlaylab.log.store import Log

        with Log.open(self.path, session=self._name) as log:
            change = log.next_redo()
        return change.what if change else ""

    def undo(self, *, by: str = "") -> str:
        """
        Take back the last thing that this session did.

        Parameters
        ----------
        by : str
            Who takes it back.

        Returns
        -------
        what : str
            What was taken back; blank where there was nothing.

        Raises
        ------
        StaleError
            If somebody else has changed the same rows since.
        """
        with self.write() as log:
            change = log.undo(by=by)
        return change.what if change else ""

    def redo(self, *, by: str = "") -> str:
        """
        Do again what `undo` took back last; parameters and faults are those of `undo`.

        Returns
        -------
        what : str
            What was done again; blank where there was nothing.
        """
        with self.write() as log:
            change = log.redo(by=by)
        return change.what if change else ""
