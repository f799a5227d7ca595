"""What two makers meet when they merge: names, choices, deletions, pictures, forecasts, habits, and a second merge."""

import os
import random
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from inlaylab.bench.bits import Bit
from inlaylab.bench.forecasts import Forecast
from inlaylab.bench.habits import Habits
from inlaylab.bench.readings import Reading
from inlaylab.errors import LogError
from inlaylab.log.file.rescue import copy_log
from inlaylab.log.health import check_file
from inlaylab.log.kept_pictures import keep_picture
from inlaylab.log.merging.join import MergeConflict, join, look
from inlaylab.log.store import Log

DEPTHS = {"pair": "p1", "coupon": "c1", "start_depth": 2.5, "pocket_depth": 3.9, "relief_depth": 1.4}
PROGRAM = str(Path(__file__).parents[2] / "reference" / "log_writer.py")
KILLS = 60 if os.environ.get("INLAYLAB_LONG") else 12


@pytest.fixture
def other_path(log_path, tmp_path):
    """A copy of the small log, in another maker's folder."""
    (tmp_path / "friend").mkdir()
    return copy_log(log_path, tmp_path / "friend" / "shop.db")


def shop_of(path):
    with Log.open(path) as log:
        return log.shop()


def cut_of(path, name, **changes):
    """Correct a cut."""
    with Log.open(path) as log:
        cut = log.shop().cut(name)
        log.correct(cut, replace(cut, **{"typed": {}, **changes}))


def test_a_new_name_of_a_bit_reaches_the_cuts_of_both(log_path, other_path):
    with Log.open(other_path) as log:
        log.correct(log.shop().bits[0], Bit(bit="sixty", nominal_angle_deg=60, tip_flat=0.1))
    cut_of(log_path, "k1", notes="mine")
    with Log.open(log_path) as log:
        log.save_cut(replace(log.shop().cut("k1"), cut="k3"))
    join(log_path, other_path)
    shop = shop_of(log_path)
    assert [bit.bit for bit in shop.bits] == ["sixty", "b2"]
    assert {cut.cut: cut.bit for cut in shop.cuts} == {"k1": "sixty", "k2": "b2", "k3": "sixty"}
    assert shop.cut("k1").notes == "mine" and shop.grooves[0].bit == "sixty"


def test_what_both_added_under_one_name_is_kept_twice(log_path, other_path):
    for path, value in ((log_path, 1.0), (other_path, 2.0)):
        with Log.open(path) as log:
            cut = replace(log.shop().cut("k1"), cut="k3", start_depth=value, typed={})
            log.save_cut(cut, [Reading(cut="k3", kind="backer_gap", value=value, unit="mm")])
    done = join(log_path, other_path, prefix="Ola")
    shop = shop_of(log_path)
    assert {cut.cut for cut in shop.cuts} == {"k1", "k2", "k3", "Ola k3"}
    assert [r.value for r in shop.readings_of("Ola k3")] == [2.0] and [r.value for r in shop.readings_of("k3")] == [1.0]
    assert done.notes == ("cut k3 of the other log is Ola k3 here",)
    cut_of(other_path, "k3", notes="sanded twice")
    assert join(log_path, other_path, prefix="Ola").corrected["cuts"] == 1
    assert shop_of(log_path).cut("Ola k3").notes == "sanded twice", "the next merge knows its name"
    assert {cut.cut for cut in shop_of(log_path).cuts} == {"k1", "k2", "k3", "Ola k3"}


def test_a_second_merge_begins_from_the_first(log_path, other_path):
    added = Reading(cut="k1", kind="floor_gap", value=0.4, unit="mm")
    with Log.open(other_path) as log:
        log.add(added)
    assert join(log_path, other_path).added["readings"] == 1
    with Log.open(other_path) as log:
        log.correct(added, replace(added, value=0.6))
    done = join(log_path, other_path)
    assert (done.added["readings"], done.corrected["readings"]) == (0, 1)
    assert [r.value for r in shop_of(log_path).readings_of("k1") if r.kind == "floor_gap"] == [0.6]
    with Log.open(log_path) as log:
        assert [change.what for change in log.history()[:2]] == ["merged shop.db"] * 2
        before = len(log.history())
    assert not any(join(log_path, other_path).added.values())
    with Log.open(log_path) as log:
        assert len(log.history()) == before, "nothing new is no change"


@pytest.mark.parametrize("side", ["mine", "theirs"])
def test_a_bit_that_one_deleted_and_the_other_cut_with_is_asked(log_path, other_path, side):
    with Log.open(log_path) as log:
        log.delete(log.shop().cut("k2"))
        log.delete(log.shop().bits[1])
    with Log.open(other_path) as log:
        log.save_cut(
            replace(log.shop().cut("k2"), cut="k3"), [Reading(cut="k3", kind="floor_gap", value=1.0, unit="mm")]
        )
    asked = look(log_path, other_path).conflicts
    assert [conflict.name for conflict in asked] == ["bit b2"] and asked[0].needed_by == {"cuts": 1}
    join(log_path, other_path, choices={"bit b2": side})
    names = {cut.cut for cut in shop_of(log_path).cuts}
    assert names == ({"k1"} if side == "mine" else {"k1", "k3"})
    assert len(shop_of(log_path).readings_of("k3")) == (side == "theirs")
    assert check_file(log_path) == ()


@pytest.mark.parametrize("side", ["mine", "theirs"])
def test_a_cut_that_one_deleted_and_the_other_read_is_asked_whole(log_path, other_path, side):
    before = shop_of(log_path)
    with Log.open(other_path) as log:
        log.delete(log.shop().cut("k1"))
    with Log.open(log_path) as log:
        log.correct(before.readings[0], replace(before.readings[0], value=1.3))
        log.add(Reading(cut="k1", kind="floor_gap", value=1.0, unit="mm"))
    (asked,) = look(log_path, other_path).conflicts
    assert (asked.name, asked.theirs, asked.needed_by) == ("cut k1", None, {"readings": 2})
    mine = shop_of(log_path)
    join(log_path, other_path, choices={"cut k1": side})
    assert shop_of(log_path) == (
        mine if side == "mine" else replace(mine, cuts=mine.cuts[1:], readings=before.readings[5:])
    )


def test_choices_that_cannot_both_be_are_refused_and_nothing_is_written(log_path, other_path):
    with Log.open(log_path) as log:
        log.add(Bit(bit="b3", nominal_angle_deg=30))
    other = copy_log(log_path, other_path.with_name("third.db"))
    cut_of(log_path, "k2", bit="b3")
    with Log.open(log_path) as log:
        log.delete(log.shop().bits[1])
    cut_of(other, "k2", notes="theirs")
    with Log.open(other) as log:
        log.correct(log.shop().bits[1], Bit(bit="b2", nominal_angle_deg=30, tip_flat=0.2))
    names = [conflict.name for conflict in look(log_path, other).conflicts]
    assert names == ["bit b2", "cut k2"]
    before = shop_of(log_path)
    with pytest.raises(LogError, match=r"takes away what cut k2 needs.*bit b2"):
        join(log_path, other, choices={"bit b2": "mine", "cut k2": "theirs"})
    assert shop_of(log_path) == before
    join(log_path, other, choices={"bit b2": "theirs", "cut k2": "theirs"})
    assert shop_of(log_path).cut("k2").bit == "b2" and shop_of(log_path).bits[1].tip_flat == 0.2


def test_the_same_change_on_both_sides_is_no_conflict(log_path, other_path):
    for path in (log_path, other_path):
        cut_of(path, "k1", notes="the same")
        with Log.open(path) as log:
            log.add(Reading(cut="k2", kind="floor_gap", value=1.0, unit="mm"))
            log.set_habits(Habits(sanded_off=0.5))
    mine = shop_of(log_path)
    assert not any(join(log_path, other_path).added.values())
    assert shop_of(log_path) == mine


def test_habits_that_both_stated_are_asked_and_cuts_keep_what_theirs_meant(log_path, other_path):
    for path, sanded in ((log_path, 0.2), (other_path, 0.6)):
        with Log.open(path) as log:
            log.set_habits(Habits(sanded_off=sanded))
    with Log.open(other_path) as log:
        log.save_cut(replace(log.shop().cut("k1"), cut="k3"))
    with pytest.raises(MergeConflict, match="the habits"):
        join(log_path, other_path)
    join(log_path, other_path, choices={"the habits": "mine"})
    shop = shop_of(log_path)
    assert shop.habits.sanded_off == 0.2 and shop.cut("k3").sanded_off == 0.6


def test_pictures_layouts_and_forecasts_come_along(log_path, other_path):
    picture = keep_picture(other_path, b"\x89PNG\r\n\x1a\n invented")
    cut_of(other_path, "k1", picture=picture)
    expected = Forecast(cut="k3", made="2026-03-05T10:00:00+00:00", within=0.1, chance=0.5, known=2)
    layout = '{"stations": [{"station": "B1"}]}'
    with Log.open(other_path) as log:
        coupon = log.shop().coupons[0]
        log.correct(coupon, replace(coupon, layout=layout))
        log.save_cut(replace(log.shop().cut("k2"), cut="k3"), forecast=expected)
    join(log_path, other_path)
    shop = shop_of(log_path)
    assert (log_path.parent / shop.cut("k1").picture).read_bytes() == (other_path.parent / picture).read_bytes()
    assert '"B1"' in shop.coupons[0].layout and shop.forecasts == (expected,)


def test_a_forecast_of_a_cut_as_it_no_longer_is_is_left_out(log_path, other_path):
    for path in (log_path, other_path):
        with Log.open(path) as log:
            for reading in log.shop().readings_of("k1"):
                log.delete(reading)
    other = copy_log(log_path, other_path.with_name("third.db"))
    with Log.open(other) as log, log.change("forecast") as work:
        work.keep_forecast(Forecast(cut="k1", made="2026-03-05", within=0.1, known=2))
    cut_of(log_path, "k1", start_depth=2.7)
    done = join(log_path, other)
    assert shop_of(log_path).forecasts == () and "forecast of k1 is left out" in done.notes[0]


def test_a_log_that_changed_since_it_was_looked_at_is_refused(log_path, other_path):
    cut_of(other_path, "k1", notes="theirs")
    seen = look(log_path, other_path).seen
    cut_of(log_path, "k2", notes="mine, later")
    with pytest.raises(LogError, match="has changed since"):
        join(log_path, other_path, seen=seen)


def test_logs_that_never_were_one_and_a_log_with_itself(log_path, tmp_path):
    Log.make(tmp_path / "new.db").close()
    assert look(log_path, tmp_path / "new.db") is None and join(log_path, tmp_path / "new.db") is None
    with pytest.raises(LogError, match="both are the same log"):
        look(log_path, log_path)


@pytest.mark.parametrize(
    "merged", ["[", '{"mark": 1}', '{"mark": "", "rows": {"cuts": {"1": 1, "2": 1}}, "names": {}}']
)
def test_what_a_strange_log_remembers_of_a_merge_is_passed_over(log_path, other_path, merged):
    cut_of(other_path, "k1", notes="theirs")
    with Log.open(other_path) as log:
        log._connection.execute("UPDATE changes SET merged = ?", (merged,))
    join(log_path, other_path)
    assert shop_of(log_path).cut("k1").notes == "theirs"


@pytest.mark.long
@pytest.mark.skipif(os.name == "nt", reason="there a process is ended, not killed by a signal")
def test_killed_while_merging(log_path, other_path, tmp_path):
    with Log.open(other_path) as log:
        for number in range(5):
            cut = replace(log.shop().cut("k1"), cut=f"n{number}")
            log.save_cut(cut, [Reading(cut=cut.cut, kind="floor_gap", value=1.0, unit="mm")])
        log.delete(log.shop().cut("k2"))
    before = shop_of(log_path)
    whole = copy_log(log_path, tmp_path / "whole.db")
    join(whole, other_path)
    after = shop_of(whole)
    chance, killed = random.Random(5), 0
    for run in range(KILLS):
        path = copy_log(log_path, tmp_path / f"run{run}.db")
        words = [sys.executable, PROGRAM, path, "merge", other_path, str(chance.randrange(1, 8_000))]
        done = subprocess.run([str(word) for word in words], check=False, capture_output=True)
        killed += done.returncode != 0
        assert check_file(path) == ()
        assert shop_of(path) == (before if done.returncode else after)
        if done.returncode:
            join(path, other_path)
            assert shop_of(path) == after
    assert killed > KILLS / 3


def without_station(path, station):
    """Take a station off the coupon of a log, with what was read there."""
    with Log.open(path) as log, log.change("redrawn") as work:
        shop = log.shop()
        for reading in shop.readings:
            if reading.station == station:
                work.delete(reading)
        coupon = shop.coupons[0]
        stations = tuple(each for each in coupon.stations if each.station != station)
        work.correct(coupon, replace(coupon, stations=stations, layout=""))


@pytest.mark.parametrize("side", ["mine", "theirs"])
def test_a_station_that_one_removed_and_the_other_read_is_asked(log_path, other_path, side):
    before = shop_of(log_path)
    station = before.coupons[0].stations[0].station
    without_station(other_path, station)
    with Log.open(log_path) as log:
        log.add(Reading(cut="k2", kind="fill", station=station, state="filled"))
    mine, theirs = shop_of(log_path), shop_of(other_path)
    (asked,) = look(log_path, other_path).conflicts
    assert asked.name == "coupon c1" and asked.needed_by == {"readings": 1}
    with pytest.raises(MergeConflict, match="coupon c1"):
        join(log_path, other_path)
    assert shop_of(log_path) == mine
    join(log_path, other_path, choices={"coupon c1": side})
    merged = shop_of(log_path)
    assert merged.coupons == (mine if side == "mine" else theirs).coupons
    read = [each for each in merged.readings_of("k2") if each.station == station and each.kind == "fill"]
    assert len(read) == (side == "mine") and check_file(log_path) == ()
    done = join(other_path, log_path)  # the way back brings the same, and asks nothing again
    assert done.conflicts == () and sorted(map(repr, shop_of(other_path).readings)) == sorted(
        map(repr, shop_of(log_path).readings)
    )


@pytest.mark.parametrize("side", ["mine", "theirs"])
def test_a_corrected_reading_brings_its_station_along(log_path, other_path, side):
    read = next(each for each in shop_of(log_path).readings if each.station and each.kind == "glue_line")
    without_station(other_path, read.station)
    with Log.open(log_path) as log:
        log.correct(read, replace(read, value=0.31, state=None, typed={}))
    (asked,) = look(log_path, other_path).conflicts
    assert asked.theirs is None and asked.mine.value == 0.31
    join(log_path, other_path, choices={asked.name: side})
    merged, kept = shop_of(log_path), side == "mine"
    assert any(each.value == 0.31 for each in merged.readings) == kept and check_file(log_path) == ()
    assert (read.station in {each.station for each in merged.coupons[0].stations}) == kept


def test_a_reading_and_a_coupon_without_its_station_cannot_both_be_kept(log_path, other_path):
    read = next(each for each in shop_of(log_path).readings if each.station and each.kind == "glue_line")
    without_station(other_path, read.station)
    with Log.open(log_path) as log:
        log.correct(read, replace(read, value=0.31, state=None, typed={}))
        coupon = log.shop().coupons[0]
        log.correct(coupon, replace(coupon, stations=(*coupon.stations, replace(coupon.stations[-1], station="Z"))))
    names = {conflict.name for conflict in look(log_path, other_path).conflicts}
    assert "coupon c1" in names and len(names) == 2
    (reading,) = names - {"coupon c1"}
    mine = shop_of(log_path)
    with pytest.raises(LogError, match="takes away what"):
        join(log_path, other_path, choices={"coupon c1": "theirs", reading: "mine"})
    assert shop_of(log_path) == mine
    join(log_path, other_path, choices={"coupon c1": "mine", reading: "mine"})
    assert any(each.value == 0.31 for each in shop_of(log_path).readings)


@pytest.mark.parametrize("side", ["mine", "theirs"])
def test_a_cut_that_got_another_coupon_and_was_read_on_the_old_one_is_asked(log_path, other_path, side):
    with Log.open(other_path) as log, log.change("another coupon") as work:
        shop = log.shop()
        stations = (replace(shop.coupons[0].stations[0], coupon="c9", station="X1"),)
        work.add(replace(shop.coupons[0], coupon="c9", stations=stations, layout=""))
        for reading in shop.readings_of("k2"):
            if reading.station:
                work.delete(reading)
        work.correct(shop.cut("k2"), replace(shop.cut("k2"), coupon="c9", typed={}))
    station = shop_of(log_path).coupons[0].stations[0].station
    with Log.open(log_path) as log:
        log.add(Reading(cut="k2", kind="fill", station=station, state="partly"))
    names = [conflict.name for conflict in look(log_path, other_path).conflicts]
    assert "cut k2" in names
    join(log_path, other_path, choices=dict.fromkeys(names, side))
    merged = shop_of(log_path)
    assert merged.cut("k2").coupon == ("c1" if side == "mine" else "c9") and check_file(log_path) == ()


PHOTO = b"\xff\xd8\xff\xe0 invented "


def test_the_other_makers_own_photos_come_along_and_nothing_is_written_over(log_path, other_path, tmp_path):
    for folder, word in ((log_path.parent, b"mine"), (other_path.parent, b"theirs")):
        (folder / "photos").mkdir()
        (folder / "photos" / "one.jpg").write_bytes(PHOTO + word)
    (other_path.parent / "two.jpg").write_bytes(PHOTO + b"two")
    (other_path.parent / "secret.txt").write_bytes(b"no photo")
    with Log.open(other_path) as log:
        for name, photo in (("k3", "photos/one.jpg"), ("k4", "two.jpg"), ("k5", "secret.txt"), ("k6", "gone.jpg")):
            log.save_cut(replace(log.shop().cut("k1"), cut=name, photo=photo))
    done = join(log_path, other_path)
    photos = {cut.cut: cut.photo for cut in shop_of(log_path).cuts if cut.photo}
    assert photos == {"k3": "photos/one 2.jpg", "k4": "two.jpg", "k5": "secret.txt", "k6": "gone.jpg"}
    home = log_path.parent
    assert (home / "photos" / "one.jpg").read_bytes() == PHOTO + b"mine"
    assert (home / "photos" / "one 2.jpg").read_bytes() == PHOTO + b"theirs"
    assert (home / "two.jpg").read_bytes() == PHOTO + b"two" and not (home / "secret.txt").exists()
    assert "photo photos/one.jpg of the other log is photos/one 2.jpg here" in done.notes
    assert not any(join(log_path, other_path).corrected.values())


def test_photos_that_point_out_of_the_folder_are_not_copied(log_path, other_path, tmp_path):
    outside = tmp_path / "outside.jpg"
    outside.write_bytes(PHOTO)
    (other_path.parent / "link.jpg").symlink_to(outside)
    with Log.open(other_path) as log:
        log.save_cut(replace(log.shop().cut("k1"), cut="k3", photo="link.jpg"))
    join(log_path, other_path)
    assert not (log_path.parent / "link.jpg").exists()
