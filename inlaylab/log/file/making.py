"""A new log's file: built under another name and given its own only when it is whole."""

from __future__ import annotations

import glob
import os
import re
import sqlite3
import time
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from inlaylab.errors import LogError
from inlaylab.log.file import migrations
from inlaylab.log.file.faults import in_words


@contextmanager
def making(path: Path, *, empty: bool = False) -> Iterator[Path]:
    """
    Make a log under another name, and give it its own only when it is whole.

    Parameters
    ----------
    path : Path
        Where the log shall be.
    empty : bool
        Whether to leave out the schema, for a file that is filled page by page.

    Yields
    ------
    temporary : Path
        An empty log of the newest schema, to be filled and closed.

    Raises
    ------
    FileExistsError
        If another program has made the log meanwhile; what was filled is dropped.
    LogError
        If the folder is missing or cannot be written.
    """
    if not path.parent.is_dir():
        raise LogError("there is no such folder", value=str(path.parent), allowed="a folder that is there")
    sweep(path)
    temporary = path.with_name(f".{path.name}.{os.getpid()}@{uuid.getnode():x}-{uuid.uuid4().hex[:8]}.new")
    try:
        with in_words(path):
            temporary.touch(exist_ok=False)
            with closing(sqlite3.connect(temporary, isolation_level=None)) as connection:
                connection.execute("PRAGMA synchronous = FULL")
                connection.execute("PRAGMA journal_mode = DELETE")
                if not empty:
                    migrations.migrate(connection)
        yield temporary
        with _passing_over_no_links():
            os.link(temporary, path)
            _sync(path.parent)
            return
        _rename(temporary, path)
        _sync(path.parent)
    finally:
        for leftover in (
            temporary,
            *(temporary.with_name(temporary.name + end) for end in ("-wal", "-shm", "-journal")),
        ):
            with suppress(OSError):
                leftover.unlink()


@contextmanager
def _passing_over_no_links() -> Iterator[None]:
    """Pass over drives that know no hard links, but not over a file that is there already."""
    try:
        yield
    except FileExistsError:
        raise
    except (OSError, NotImplementedError):
        pass


def _rename(temporary: Path, path: Path) -> None:
    if path.exists():
        raise FileExistsError(path)
    temporary.rename(path)


def _sync(folder: Path) -> None:
    """Have the folder itself written to the drive, where the system can."""
    with suppress(OSError):
        place = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(place)
        finally:
            os.close(place)


def sweep(path: Path) -> None:
    """
    Clear away what a killed program left of a log that it was making.

    Parameters
    ----------
    path : Path
        Where the log is or shall be. What a program of this computer left goes at once, anything else a day later.
    """
    for old in path.parent.glob(f".{glob.escape(path.name)}.*.new*"):
        with suppress(OSError):
            if _left_behind(old.name) or time.time() - old.stat().st_mtime > 86_400:
                old.unlink()


def _left_behind(name: str) -> bool:
    match = re.search(r"\.([0-9]+)@([0-9a-f]+)-[0-9a-f]+\.new", name)
    if match is None or match[2] != f"{uuid.getnode():x}" or os.name == "nt":
        return False
    try:
        os.kill(int(match[1]), 0)  # signal 0 only asks whether the program is there
    except ProcessLookupError:
        return True
    except OSError:
        return False
    return False
