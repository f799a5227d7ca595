"""
A program that is killed at any moment loses nothing that was acknowledged and leaves nothing half-written.

30 kills by default; ``INLAYLAB_LONG=1`` makes 240. Kills at a counted step of SQLite can be repeated exactly.
"""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import log_writer
import pytest

from inlaylab.errors import LogError
from inlaylab.log.health import check_file
from inlaylab.log.store import Log
from inlaylab.log.tables.import_export import import_folder, read_folder

KILLS = 80 if os.environ.get("INLAYLAB_LONG") else 10
PROGRAM = str(Path(log_writer.__file__))
posix = pytest.mark.skipif(os.name == "nt", reason="there a process is ended, not killed by a signal")


def start(*words):
    return subprocess.Popen([sys.executable, PROGRAM, *map(str, words)], stdout=subprocess.PIPE, text=True)


def whole(path, acknowledged):
    """See that a log is sound, holds what was acknowledged, and each cut with all three readings and its forecast."""
    assert check_file(path) == ()
    with Log.open(path) as log:
        shop = log.shop()
    names = [cut.cut for cut in shop.cuts]
    assert set(acknowledged) <= set(names)
    assert all(len(shop.readings_of(name)) == 3 for name in names)
    assert [forecast.cut for forecast in shop.forecasts] == names
    return names


def test_killed_while_saving(tmp_path):
    chance = random.Random(20260305)
    path = tmp_path / "shop.db"
    log_writer.ready(path)
    acknowledged = []
    for run in range(KILLS):
        program = start(path, "save", f"run{run}", 10_000)
        with program:
            assert program.stdout.readline() == "open\n"
            acknowledged += [program.stdout.readline().strip() for _ in range(chance.randrange(12))]
            time.sleep(chance.uniform(0.0, 0.01))
            program.kill()
            acknowledged += program.stdout.read().split()
        names = whole(path, acknowledged)
        assert len(names) <= len(acknowledged) + run + 1
        acknowledged = names
    assert len(acknowledged) >= KILLS


@pytest.mark.long
@posix
def test_killed_at_a_counted_step(tmp_path):
    chance = random.Random(7)
    path = tmp_path / "shop.db"
    log_writer.ready(path)
    acknowledged, killed = [], 0
    for run in range(KILLS):
        with start(path, "save", f"run{run}", 5, chance.randrange(1, 3000)) as program:
            acknowledged += program.stdout.read().split()
        names = whole(path, [name for name in acknowledged if name != "open"])
        assert len(names) <= len(acknowledged) + 1
        acknowledged = names
        killed += program.returncode == -signal.SIGKILL
    assert killed >= KILLS * 0.9


@pytest.mark.long
def test_killed_while_two_imports_run_at_once(tables, tmp_path):
    chance = random.Random(11)
    other = tmp_path / "other"
    other.mkdir()
    for path in tables.glob("*.csv"):
        text = (
            path.read_text().replace("k1", "m1").replace("k2", "m2")
            if path.stem in ("cuts", "readings")
            else path.read_text()
        )
        (other / path.name).write_text(text)
    readings = {"k": len(read_folder(tables).readings), "m": len(read_folder(other).readings)}
    seen = set()
    begun = time.monotonic()
    for run in range(KILLS + 1):
        path = tmp_path / f"log{run}.db"
        programs = [start(path, "import", folder) for folder in (tables, other)]
        if run == 0:  # let go to its end, to see how long it takes
            assert [program.wait() for program in programs] == [0, 0]
            whole_time = time.monotonic() - begun
        else:
            time.sleep(whole_time * chance.uniform(0.3, 1.0))
        done = []
        for program, name in zip(programs, "km", strict=True):
            with program:
                program.kill()
                if program.stdout.read().strip():
                    done.append(name)
        if not path.exists():
            assert not done
            continue
        assert check_file(path) == ()
        with Log.open(path) as log:
            shop = log.shop()
        there = {name: sum(reading.cut.startswith(name) for reading in shop.readings) for name in "km"}
        assert all(there[name] in (0, readings[name]) for name in "km")
        assert all(there[name] for name in done)
        import_folder(path, tables)
        assert not list(tmp_path.glob(f".log{run}.db.*"))
        seen.add(tuple(bool(there[name]) for name in "km"))
    assert (True, True) in seen


def test_two_programs_save_at_once_and_nothing_is_lost(tmp_path):
    path = tmp_path / "shop.db"
    log_writer.ready(path)
    programs = [start(path, "save", name, 25) for name in ("ada", "bo", "cy")]
    for program in programs:
        with program:
            said = program.stdout.read().split()
        assert program.returncode == 0
        assert len(said) == 26
    names = whole(path, [])
    assert sorted(names) == sorted(f"{who}-{n}" for who in ("ada", "bo", "cy") for n in range(1, 26))
    with Log.open(path) as log:
        history = log.history()
    assert len(history) == 77
    assert [change.number for change in history] == list(range(77, 0, -1))


def test_a_log_that_several_programs_make_at_once_is_made_once(tables, tmp_path):
    path = tmp_path / "shop.db"
    programs = [start(path, "import", tables) for _ in range(3)]
    for program in programs:
        with program:
            program.stdout.read()
        assert program.returncode == 0
    with Log.open(path) as log:
        assert log.shop() == read_folder(tables)
        assert [change.what for change in log.history()] == ["imported tables"]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["shop.db", "tables"]


def test_a_file_that_was_only_begun_is_no_log(tmp_path):
    (tmp_path / "shop.db").touch()
    with pytest.raises(LogError, match="this file is not a log"):
        Log.open(tmp_path / "shop.db")
    with pytest.raises(LogError, match="this file is not a log"):
        Log.open(tmp_path / "shop.db", make=True)
