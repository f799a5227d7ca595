"""Every fault of SQLite and of the drive, told in words."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from inlaylab.errors import LogError

_WORDS = {
    "BUSY": ("another program has kept the log busy; nothing was saved", "trying again in a moment"),
    "LOCKED": ("another program has kept the log busy; nothing was saved", "trying again in a moment"),
    "FULL": ("the disk is full; nothing was saved", "a drive with room"),
    "READONLY": ("the log cannot be written; nothing was saved", "a file and folder that may be written"),
    "CANTOPEN": ("the log cannot be opened or written; nothing was saved", "a file and folder that may be written"),
    "PERM": ("the log cannot be written; nothing was saved", "a file and folder that may be written"),
    "IOERR": (
        "the drive did not do what was asked; nothing was saved",
        "a drive that works and knows locks (some network drives do not)",
    ),
    "PROTOCOL": ("the drive's locks do not work; nothing was saved", "a drive that knows locks, not every network's"),
    "NOLFS": ("the drive cannot hold so large a file; nothing was saved", "a drive with room"),
    "CORRUPT": ("the log's file is damaged", "a copy, or what `check --recover` can read of it"),
    "NOTADB": ("this file is not a log", "a log made by inlaylab"),
    "CONSTRAINT": ("the log does not take this", "records as the tables describe them"),
    "TOOBIG": ("a text is too long for the log", "shorter texts"),
}


@contextmanager
def in_words(path: Path) -> Iterator[None]:
    """
    Turn every fault of SQLite and of the drive into a `LogError` that says what to do.

    Parameters
    ----------
    path : Path
        The log.

    Raises
    ------
    LogError
        For any fault inside the block.
    """
    try:
        yield
    except sqlite3.Error as fault:
        code = getattr(fault, "sqlite_errorname", None) or "SQLITE_UNKNOWN"
        kind = code.split("_")[1]
        what, allowed = _WORDS.get(kind, ("the log cannot be used as asked; nothing was saved", None))
        raise LogError(f"{what} ({fault})", where=str(path), allowed=allowed) from fault
    except UnicodeDecodeError as fault:
        what, allowed = _WORDS["CORRUPT"]
        raise LogError(f"{what} ({fault.reason})", where=str(path), allowed=allowed) from fault
    except OSError as fault:
        raise LogError(f"the log cannot be reached ({fault.strerror})", where=str(path)) from fault
