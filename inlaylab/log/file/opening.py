"""
How a log's file is opened: what must hold before anything is at risk, and what the drive can do.

WAL where the drive allows it, full synchronisation, and a wait of 15 s for whoever else is writing.
"""

from __future__ import annotations

import os
import sqlite3
import struct
import time
from contextlib import closing
from pathlib import Path

from inlaylab.errors import LogError
from inlaylab.log.file import migrations
from inlaylab.log.file.faults import in_words

PATIENCE = 15.0
"""How long a save waits for another program. [s]"""

LARGEST_LOG = 1_000_000_000
"""Size of the largest log that is opened. [bytes]"""

_NETWORK = ("nfs", "nfs4", "cifs", "smb3", "smbfs", "ncpfs", "afs", "9p", "fuse.sshfs", "davfs", "fuse.davfs2")


def open_log(path: Path) -> tuple[sqlite3.Connection, bool, str]:
    """
    Open a log of any version; an older one is brought up after a copy was put beside it.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    connection, read_only, note : sqlite3.Connection, bool, str
        The log, whether nothing can be written, and what the maker should know about the drive.

    Raises
    ------
    LogError
        If there is no such log, or it is none, damaged, or newer than this inlaylab.
    """
    with in_words(path):
        check_header(path)
        read_only = not may_be_written(path)
        connection = connect(path, read_only=read_only)
        try:
            refuse_programs(connection, path)
            version = migrations.version_of(connection)
            migrations.refuse_newer(version, str(path))
            if version < migrations.VERSION and read_only:
                connection = migrated_copy(connection)
            elif version < migrations.VERSION:
                back_up(connection, path)
                migrations.migrate(connection)
            note = _READ_ONLY if read_only else set_journal(connection, path)
        except BaseException:
            connection.close()
            raise
    return connection, read_only, note


_READ_ONLY = "The log or its folder is read-only: it can be read, and nothing can be saved."


def connect(path: Path, *, read_only: bool = False, vfs: str | None = None) -> sqlite3.Connection:
    """
    Open a log's file.

    Parameters
    ----------
    path : Path
        The file; it must exist.
    read_only : bool
        Whether nothing is to be written.
    vfs : str, optional
        SQLite's way to the drive; for trying out drives that lack something.

    Returns
    -------
    connection : sqlite3.Connection
        In autocommit.
    """
    mode = "ro" if read_only else "rw"
    if read_only and not _has_wal(path) and not os.access(path.parent, os.W_OK):
        mode += "&immutable=1"  # SQLite cannot make its shared memory there, and nobody can be writing
    uri = f"{path.resolve().as_uri()}?mode={mode}" + (f"&vfs={vfs}" if vfs else "")
    connection = sqlite3.connect(uri, uri=True, timeout=PATIENCE, isolation_level=None)
    try:
        connection.execute("PRAGMA trusted_schema = OFF")
        connection.execute("PRAGMA cell_size_check = ON")
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA synchronous = FULL")
    except BaseException:
        connection.close()
        raise
    return connection


def look(path: Path) -> sqlite3.Connection:
    """
    Open a log's file only to look at it, leaving nothing behind where that can be.

    Parameters
    ----------
    path : Path
        The file; it must exist.

    Returns
    -------
    connection : sqlite3.Connection
        It refuses to write. A file opened for reading alone would keep its shared memory after closing.
    """
    connection = connect(path, read_only=_has_wal(path) or not may_be_written(path))
    connection.execute("PRAGMA query_only = ON")
    return connection


def _has_wal(path: Path) -> bool:
    wal = path.with_name(path.name + "-wal")
    return wal.exists() and wal.stat().st_size > 0


def may_be_written(path: Path) -> bool:
    """
    Tell whether a log and its folder may be written.

    Parameters
    ----------
    path : Path
        The log.

    Returns
    -------
    answer : bool
        False for a file or folder that is read-only.
    """
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def check_header(path: Path) -> None:
    """
    Refuse what is no log, by the first bytes of the file and without opening it as one.

    Parameters
    ----------
    path : Path
        The file.

    Raises
    ------
    LogError
        If there is none, or it is no log, too large, or newer than this inlaylab.
    """
    if not path.exists():
        raise LogError("there is no such log", value=str(path), allowed="a log's file; `import` makes one")
    if not path.is_file():
        raise LogError("this is not a file", value=str(path), allowed="a log's file")
    with path.open("rb") as stream:
        head = stream.read(100)
    if len(head) < 100 or not head.startswith(b"SQLite format 3\0"):
        raise LogError("this file is not a log", value=str(path), allowed="a log made by inlaylab")
    if path.stat().st_size > LARGEST_LOG:
        raise LogError("this log is too large", value=str(path), allowed=f"up to {LARGEST_LOG // 1_000_000} MB")
    version, application = struct.unpack(">i", head[60:64])[0], struct.unpack(">i", head[68:72])[0]
    if application != migrations.APPLICATION_ID:
        raise LogError("this is another program's database, no log", value=str(path), allowed="a log made by inlaylab")
    migrations.refuse_newer(version, str(path))


def set_journal(connection: sqlite3.Connection, path: Path) -> str:
    """
    Choose how SQLite guards a save: WAL where the drive can, its older journal elsewhere.

    Parameters
    ----------
    connection : sqlite3.Connection
        An open log.
    path : Path
        Its file.

    Returns
    -------
    note : str
        Empty for WAL; else what the maker should know.
    """
    wanted = "delete" if on_network(path) else "wal"
    until = time.monotonic() + PATIENCE
    while True:
        try:
            mode = connection.execute("PRAGMA journal_mode").fetchone()[0]
            if mode != wanted:
                mode = connection.execute(f"PRAGMA journal_mode = {wanted}").fetchone()[0]
            break
        except sqlite3.OperationalError as fault:
            busy = getattr(fault, "sqlite_errorname", "").startswith("SQLITE_BUSY")
            if not busy or time.monotonic() > until:
                raise
            time.sleep(0.02)
    if mode == "wal":
        return ""
    if wanted == "delete":
        return "The log lies on a network drive: write to it from one computer at a time, and keep copies."
    return "The drive has no shared memory: the log is guarded by SQLite's older journal, and readers wait for writers."


def on_network(path: Path, mounts: Path = Path("/proc/self/mounts")) -> bool:
    """
    Tell whether a file lies on a network drive, as far as the system says.

    Parameters
    ----------
    path : Path
        The file.
    mounts : Path
        The system's list of drives (Linux).

    Returns
    -------
    answer : bool
        False where it cannot be told.
    """
    place = path.resolve()
    if str(place).startswith(("\\\\", "//")):
        return True
    try:
        lines = [line.split() for line in mounts.read_text(errors="replace").splitlines()]
    except OSError:
        return False
    drives = {Path(words[1].encode().decode("unicode_escape")): words[2] for words in lines if len(words) > 2}
    nearest = next((drives[folder] for folder in (place, *place.parents) if folder in drives), "")
    return nearest in _NETWORK


def refuse_programs(connection: sqlite3.Connection, path: Path) -> None:
    """
    Refuse a file with triggers or views, which would run a stranger's statements: a log is data.

    Parameters
    ----------
    connection : sqlite3.Connection
        An open log.
    path : Path
        Its file.

    Raises
    ------
    LogError
        Naming the first trigger or view.
    """
    found = connection.execute("SELECT name FROM sqlite_master WHERE type IN ('trigger', 'view') LIMIT 1").fetchone()
    if found:
        raise LogError("this log holds a trigger or view", value=found[0], where=str(path), allowed="tables only")


def back_up(connection: sqlite3.Connection, path: Path) -> Path:
    """
    Put a copy of an older log beside it before its schema is changed.

    Parameters
    ----------
    connection : sqlite3.Connection
        An open log.
    path : Path
        Its file.

    Returns
    -------
    copy : Path
        The copy, named after the version.
    """
    version = migrations.version_of(connection)
    target = path.with_name(f"{path.stem}.version-{version}{path.suffix}")
    number = 1
    while target.exists():
        number += 1
        target = path.with_name(f"{path.stem}.version-{version}-{number}{path.suffix}")
    with closing(sqlite3.connect(target)) as copy:
        connection.backup(copy)
    return target


def migrated_copy(connection: sqlite3.Connection) -> sqlite3.Connection:
    """
    Bring up the schema of an older log in memory, where its file cannot be written.

    Parameters
    ----------
    connection : sqlite3.Connection
        An open log; closed here.

    Returns
    -------
    copy : sqlite3.Connection
        In memory.
    """
    with closing(connection):
        copy = sqlite3.connect(":memory:", isolation_level=None)
        connection.backup(copy)
    migrations.migrate(copy)
    return copy
