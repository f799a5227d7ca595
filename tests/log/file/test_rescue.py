"""Copies of a log in use are whole; of a damaged log everything that can be read comes back, and the rest is named."""

import random
import sqlite3
import threading
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from inlaylab.bench.bits import Bit
from inlaylab.bench.forecasts import Forecast
from inlaylab.bench.habits import Habits
from inlaylab.bench.readings import Reading
from inlaylab.errors import LogError
from inlaylab.log.file import migrations
from inlaylab.log.file.rescue import copy_log, recover_log
from inlaylab.log.health import check_file
from inlaylab.log.store import Log

PAGE = 4096


def shop_of(path):
    with Log.open(path) as log:
        return log.shop()


def test_a_copy_while_others_write_is_one_moments_state(log_path, tmp_path):
    stop = threading.Event()

    def write():
        number = 0
        with Log.open(log_path) as log:
            while not stop.is_set():
                number += 1
                log.add([Bit(bit=f"x{number}a", nominal_angle_deg=60), Bit(bit=f"x{number}b", nominal_angle_deg=60)])

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(5):
            copy = copy_log(log_path, tmp_path / f"copy{number}.db")
            assert check_file(copy) == ()
            names = [bit.bit for bit in shop_of(copy).bits if bit.bit.startswith("x")]
            assert len(names) % 2 == 0
    finally:
        stop.set()
        writer.join()


def test_a_copy_carries_the_history_and_takes_no_place(log_path, tmp_path):
    before = log_path.read_bytes()
    copy = copy_log(log_path, tmp_path / "copy.db")
    with Log.open(log_path) as log, Log.open(copy) as copied:
        assert copied.history() == log.history()
    assert log_path.read_bytes() == before
    with pytest.raises(LogError, match="a file of this name already"):
        copy_log(log_path, copy)
    with pytest.raises(LogError, match="no such log"):
        copy_log(tmp_path / "none.db", tmp_path / "b.db")
    with pytest.raises(LogError, match="no such folder"):
        copy_log(log_path, tmp_path / "none" / "b.db")
    assert not list(tmp_path.glob(".*"))


def test_of_a_sound_log_everything_is_recovered(log_path, tmp_path, small_shop):
    with Log.open(log_path) as log:
        log.delete(log.shop().cut("k2"))
        kept = log.shop()
    found = recover_log(log_path, tmp_path / "new.db")
    assert found.missing == ()
    assert found.kept == {
        "bits": 2,
        "grooves": 1,
        "pairs": 1,
        "coupons": 1,
        "cuts": 2,
        "readings": 10,
        "forecasts": 0,
        "habits": 0,
    }
    assert shop_of(tmp_path / "new.db") == kept
    with Log.open(tmp_path / "new.db") as log:
        log.undo()
        assert log.shop() == small_shop


def test_a_log_that_was_not_closed_is_recovered_with_its_last_save(log_path, tmp_path):
    with Log.open(log_path) as log:
        log.add(Bit(bit="b9", nominal_angle_deg=60))
        found = recover_log(log_path, tmp_path / "new.db")
    assert found.kept["bits"] == 3


def test_any_one_page_may_be_lost(log_path, tmp_path, small_shop):
    """Every row stands in its table and in the history: one lost page never loses a record."""
    chance = random.Random(3)
    sound = log_path.read_bytes()
    damaged = tmp_path / "damaged.db"
    said = set()
    for page in range(len(sound) // PAGE):
        content = bytearray(sound)
        content[page * PAGE : (page + 1) * PAGE] = chance.randbytes(PAGE)
        damaged.write_bytes(content)
        target = tmp_path / f"recovered {page}.db"
        found = recover_log(damaged, target)
        assert shop_of(target) == small_shop
        assert check_file(target) == ()
        assert damaged.read_bytes() == bytes(content)
        said |= {text.split(":")[0] for text in found.missing}
    assert {"bits", "cuts", "readings", "history", "changes"} <= said


def test_what_is_lost_twice_is_named(log_path, tmp_path):
    with closing(sqlite3.connect(log_path)) as log:
        log.execute("DELETE FROM history WHERE of_table IN ('readings', 'cuts')")
        log.execute("DELETE FROM readings WHERE id IN (2, 3)")
        log.commit()
    found = recover_log(log_path, tmp_path / "new.db")
    assert found.missing == ("readings: rows 2, 3 cannot be read",)
    assert found.kept["readings"] == 8
    assert check_file(tmp_path / "new.db") == ()


def test_rows_whose_cut_is_lost_are_left_out_and_named(log_path, tmp_path):
    with closing(sqlite3.connect(log_path)) as log:
        log.execute("DELETE FROM history WHERE of_table = 'cuts'")
        log.execute("DELETE FROM cuts WHERE cut = 'k1'")
        log.commit()
    found = recover_log(log_path, tmp_path / "new.db")
    assert "cuts: row 1 cannot be read" in found.missing
    assert any(
        text.startswith("readings: rows 1, 2, 3, 4, 5 left out, for their cut is lost") for text in found.missing
    )
    assert shop_of(tmp_path / "new.db").readings_of("k2")


@pytest.mark.parametrize("share", [0.25, 0.5, 0.75])
def test_a_file_cut_short_gives_what_it_has_and_says_so(share, log_path, tmp_path):
    content = log_path.read_bytes()
    log_path.write_bytes(content[: int(len(content) * share)])
    try:
        found = recover_log(log_path, tmp_path / "new.db")
    except LogError as fault:
        assert "nothing of a log can be read" in str(fault)
        assert not (tmp_path / "new.db").exists()
    else:
        assert found.missing
        assert check_file(tmp_path / "new.db") == ()


def test_bytes_flipped_anywhere_never_stop_the_recovery(log_path, tmp_path):
    chance = random.Random(5)
    sound = log_path.read_bytes()
    whole = 0
    for run in range(40):
        content = bytearray(sound)
        for _ in range(chance.randrange(1, 60)):
            content[chance.randrange(len(content))] = chance.randrange(256)
        (tmp_path / "damaged.db").write_bytes(content)
        target = tmp_path / f"recovered {run}.db"
        try:
            recover_log(tmp_path / "damaged.db", target)
        except LogError:
            assert not target.exists()
            continue
        whole += 1
        shop_of(target)
    assert whole >= 30


@pytest.mark.parametrize("page", [0, 1, 5, 9])
def test_a_log_that_an_older_version_made_is_recovered_too(page, tmp_path, small_shop):
    """Its later tables begin at other pages than those of a new log."""
    script = Path(__file__).parents[2] / "data" / "old_logs" / "version_2.sql"
    path = tmp_path / "shop.db"
    with closing(sqlite3.connect(path, isolation_level=None)) as made:
        migrations.migrate(made, upto=2)
        made.execute("PRAGMA foreign_keys = OFF")
        for line in script.read_text(encoding="utf-8").splitlines():
            if line.startswith("INSERT"):
                made.execute(line)
    with Log.open(path) as log:
        log.set_habits(Habits(pocket_depth=4.2))
        cut = replace(small_shop.cuts[0], cut="k3")
        expected = Forecast(cut="k3", made="2026-03-05", within=0.1, chance=0.5, known=2)
        log.save_cut(cut, [Reading(cut="k3", kind="floor_gap", value=1, unit="mm", method="gauge")], forecast=expected)
        kept = log.shop()
    content = bytearray(path.read_bytes())
    content[page * PAGE : (page + 1) * PAGE] = random.Random(1).randbytes(PAGE)
    path.write_bytes(content)
    recover_log(path, tmp_path / "new.db")
    assert shop_of(tmp_path / "new.db") == kept
    assert check_file(tmp_path / "new.db") == ()


def test_what_never_was_a_log_is_refused(tmp_path):
    (tmp_path / "photo.jpg").write_bytes(random.Random(1).randbytes(50_000))
    with pytest.raises(LogError, match="nothing of a log can be read"):
        recover_log(tmp_path / "photo.jpg", tmp_path / "new.db")
    with pytest.raises(LogError, match="no such log"):
        recover_log(tmp_path / "none.db", tmp_path / "new.db")
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(LogError, match="a file of this name already"):
        recover_log(tmp_path / "photo.jpg", tmp_path / "mine.txt")
    assert not (tmp_path / "new.db").exists()


def test_a_newer_log_is_not_recovered_by_an_older_inlaylab(log_path, tmp_path):
    with closing(sqlite3.connect(log_path)) as log:
        log.execute("PRAGMA user_version = 99")
    with pytest.raises(LogError, match="newer inlaylab"):
        recover_log(log_path, tmp_path / "new.db")


def test_a_log_whose_first_page_is_lost_is_recovered_by_the_command(log_path, tmp_path, inlaylab, small_shop):
    content = log_path.read_bytes()
    log_path.write_bytes(bytes(PAGE) + content[PAGE:])
    refused = inlaylab("check", log_path)
    assert refused.returncode == 2
    assert "this file is not a log" in refused.stderr
    done = inlaylab("check", log_path, "--recover", tmp_path / "new.db")
    assert done.returncode == 0, done.stderr
    assert shop_of(tmp_path / "new.db") == small_shop
