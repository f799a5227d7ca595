"""Faults of drive and file are told in words before anything is at risk; waits are long enough to go unseen."""

import functools
import os
import sqlite3
import subprocess
import sys
import threading
import time
from contextlib import closing
from pathlib import Path

import pytest

from inlaylab.bench.bits import Bit
from inlaylab.errors import LogError
from inlaylab.log.file import faults, migrations, opening
from inlaylab.log.file.rescue import copy_log
from inlaylab.log.health import check_file
from inlaylab.log.store import Log
from inlaylab.log.tables.import_export import import_folder

NEW = Bit(bit="b9", nominal_angle_deg=60)


def test_a_save_is_guarded_by_wal_and_full_synchronisation(log):
    asked = {name: log._connection.execute(f"PRAGMA {name}").fetchone()[0] for name in ("journal_mode", "synchronous")}
    assert asked == {"journal_mode": "wal", "synchronous": 2}
    assert log._connection.execute("PRAGMA foreign_keys").fetchone()[0] == 1
    assert opening.PATIENCE >= 10
    assert log.note == ""


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "this file is not a log"),
        (b"bit,nominal_angle_deg\n", "this file is not a log"),
        (b"SQLite format 3\0", "this file is not a log"),
        (b"SQLite format 3\0" + bytes(84), "another program's database"),
        (os.urandom(5000), "this file is not a log"),
    ],
)
def test_what_is_no_log_is_refused_and_left_as_it_is(content, words, tmp_path, tables):
    path = tmp_path / "shop.db"
    path.write_bytes(content)
    for use in (Log.open, check_file, lambda path: import_folder(path, tables)):
        with pytest.raises(LogError, match=words):
            use(path)
    assert path.read_bytes() == content
    assert sorted(p.name for p in tmp_path.iterdir()) == ["shop.db", "tables"]


def test_another_programs_database_is_refused(tmp_path):
    with closing(sqlite3.connect(tmp_path / "other.db")) as other:
        other.execute("CREATE TABLE bits (bit)")
    with pytest.raises(LogError, match="another program's database"):
        Log.open(tmp_path / "other.db")
    with pytest.raises(LogError, match="no such log"):
        Log.open(tmp_path / "none.db")
    with pytest.raises(LogError, match="this is not a file"):
        Log.open(tmp_path)


@pytest.mark.parametrize(
    "statement",
    [
        "CREATE TRIGGER t AFTER INSERT ON bits BEGIN DELETE FROM cuts; END",
        "CREATE VIEW v AS SELECT * FROM bits",
    ],
)
def test_a_log_with_a_strangers_statements_is_refused(statement, log_path):
    with closing(sqlite3.connect(log_path)) as spoiled:
        spoiled.execute(statement)
    with pytest.raises(LogError, match="holds a trigger or view"):
        Log.open(log_path)
    assert "which no log does" in check_file(log_path)[0].what


def test_sizes_are_bounded(log_path, monkeypatch):
    monkeypatch.setattr(opening, "LARGEST_LOG", 1000)
    with pytest.raises(LogError, match="this log is too large"):
        Log.open(log_path)


def test_a_full_disk_loses_nothing(log, small_shop):
    pages = log._connection.execute("PRAGMA page_count").fetchone()[0]
    log._connection.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(LogError, match="the disk is full; nothing was saved"), log.change("much") as work:
        for number in range(500):
            work.add(Bit(bit=f"n{number}", nominal_angle_deg=60, notes="x" * 500))
    assert log.shop() == small_shop
    log._connection.execute("PRAGMA max_page_count = 1000000")
    log.add(NEW)
    assert log.shop().bit("b9") == NEW


@pytest.mark.skipif(os.name == "nt", reason="that system has no such limit")
def test_a_drive_that_takes_no_more_bytes_is_told_in_words(log_path, small_shop):
    program = (
        "import resource, signal, sys\n"
        "from inlaylab.bench.bits import Bit\nfrom inlaylab.errors import LogError\n"
        "from inlaylab.log.store import Log\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "with Log.open(sys.argv[1]) as log:\n"
        "    resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))\n"
        "    try:\n        log.add([Bit(bit=f'n{i}', nominal_angle_deg=60, notes='x' * 900) for i in range(300)])\n"
        "    except LogError as fault:\n        print(fault)\n"
    )
    said = subprocess.run([sys.executable, "-c", program, log_path], capture_output=True, text=True, check=True)
    assert "nothing was saved" in said.stdout
    assert check_file(log_path) == ()
    with Log.open(log_path) as log:
        assert log.shop() == small_shop


def test_a_read_only_folder_can_be_read_and_says_so(log_path, small_shop, monkeypatch):
    before = log_path.read_bytes()
    real = os.access
    monkeypatch.setattr(os, "access", lambda place, mode: mode != os.W_OK and real(place, mode))
    with Log.open(log_path) as log:
        assert log.read_only
        assert "read-only" in log.note
        assert log.shop() == small_shop
        with pytest.raises(LogError, match="this log is read-only"):
            log.add(NEW)
        with pytest.raises(LogError, match="this log is read-only"):
            log.undo()
    assert log_path.read_bytes() == before
    assert [p.name for p in log_path.parent.iterdir()] == ["shop.db"]


def test_a_drive_without_shared_memory_falls_back_in_words(log_path, small_shop, monkeypatch):
    with closing(sqlite3.connect(log_path)) as plain:
        plain.execute("PRAGMA journal_mode = DELETE")
    monkeypatch.setattr(opening, "connect", functools.partial(opening.connect, vfs="unix-dotfile"))
    with Log.open(log_path) as log:
        assert "older journal" in log.note
        log.add(NEW)
        log.undo()
        assert log.shop() == small_shop


def test_a_network_drive_is_noticed_and_not_given_wal(log_path, small_shop, monkeypatch, tmp_path):
    mounts = tmp_path / "mounts"
    mounts.write_text(
        f"/dev/sda1 / ext4 rw 0 0\nserver:/shop {tmp_path} nfs4 rw 0 0\nx {tmp_path}/a\\040b cifs rw 0 0\n"
    )
    assert opening.on_network(log_path, mounts)
    assert opening.on_network(tmp_path / "a b" / "shop.db", mounts)
    assert not opening.on_network(Path("/elsewhere/shop.db"), mounts)
    assert not opening.on_network(log_path, tmp_path / "none")
    monkeypatch.setattr(opening, "on_network", lambda path: True)
    with Log.open(log_path) as log:
        assert "network drive" in log.note
        assert log._connection.execute("PRAGMA journal_mode").fetchone()[0] == "delete"
        log.add(NEW)
        log.undo()
        assert log.shop() == small_shop


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("SQLITE_PROTOCOL", "locks do not work; nothing was saved"),
        ("SQLITE_IOERR_LOCK", "the drive did not do what was asked; nothing was saved"),
        ("SQLITE_IOERR_FSYNC", "the drive did not do"),
        ("SQLITE_READONLY_DBMOVED", "cannot be written; nothing was saved"),
        ("SQLITE_CANTOPEN", "cannot be opened or written"),
        ("SQLITE_FULL", "the disk is full"),
        ("SQLITE_BUSY_SNAPSHOT", "another program has kept the log busy"),
        ("SQLITE_CORRUPT_VTAB", "the log's file is damaged"),
        ("SQLITE_NOTADB", "this file is not a log"),
        ("SQLITE_NEW_KIND", "cannot be used as asked"),
        (None, "cannot be used as asked"),
    ],
)
def test_every_fault_has_its_words(code, words):
    fault = sqlite3.OperationalError("what SQLite says")
    if code:
        fault.sqlite_errorname = code
    with pytest.raises(LogError, match=words + r".*\(what SQLite says\) at shop\.db"), faults.in_words(Path("shop.db")):
        raise fault
    with pytest.raises(LogError, match=r"cannot be reached \(No route"), faults.in_words(Path("shop.db")):
        raise OSError(113, "No route to host")


def hold(path, seconds, held):
    """Keep the log's one place for a writer."""
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        held.set()
        time.sleep(seconds)
        other.execute("COMMIT")


@pytest.mark.parametrize("use", ["open", "save"])
def test_waiting_for_another_writer_goes_unseen(use, log_path):
    held = threading.Event()
    writer = threading.Thread(target=hold, args=(log_path, 1.5, held))
    writer.start()
    held.wait()
    start = time.monotonic()
    with Log.open(log_path) as log:
        assert log.shop().bits
        if use == "save":
            log.add(NEW)
            assert time.monotonic() - start > 1.0
    writer.join()


def test_a_wait_that_is_too_long_is_told_and_nothing_is_saved(log_path, small_shop, monkeypatch):
    monkeypatch.setattr(opening, "PATIENCE", 0.2)
    held = threading.Event()
    writer = threading.Thread(target=hold, args=(log_path, 1.0, held))
    with Log.open(log_path) as log:
        writer.start()
        held.wait()
        with pytest.raises(LogError, match="another program has kept the log busy; nothing was saved"):
            log.add(NEW)
        writer.join()
        assert log.shop() == small_shop


def test_a_log_that_is_being_made_appears_whole_or_not_at_all(tmp_path, monkeypatch):
    def broken(connection, **_more):
        raise sqlite3.OperationalError("half way")

    with monkeypatch.context() as patch:
        patch.setattr(migrations, "migrate", broken)
        with pytest.raises(LogError, match="half way"):
            Log.make(tmp_path / "shop.db")
    assert list(tmp_path.iterdir()) == []
    old = tmp_path / ".shop.db.0123456789ab.new"
    old.touch()
    os.utime(old, (0, 0))
    monkeypatch.setattr(os, "link", lambda *_: (_ for _ in ()).throw(OSError("no links on this drive")))
    with Log.make(tmp_path / "shop.db") as log:
        assert log.shop().bits == ()
    assert [p.name for p in tmp_path.iterdir()] == ["shop.db"]


def test_closing_leaves_one_file(log_path):
    with Log.open(log_path) as log:
        log.add(NEW)
    assert [p.name for p in log_path.parent.iterdir()] == ["shop.db"]


def test_looking_at_a_log_leaves_nothing_behind(log_path, tmp_path):
    before = log_path.read_bytes()
    assert check_file(log_path) == ()
    copy_log(log_path, tmp_path / "copy.db")
    assert log_path.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["copy.db", "shop.db"]
    with closing(opening.look(log_path)) as looking, pytest.raises(sqlite3.OperationalError, match="readonly"):
        looking.execute("DELETE FROM readings")
