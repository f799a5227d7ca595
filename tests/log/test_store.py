"""The log: what is saved is there, what was there before is kept, and nothing is overwritten in silence."""

import sqlite3
from contextlib import closing
from dataclasses import replace

import pytest

from inlaylab.bench.bits import Bit, Groove
from inlaylab.bench.coupons import Coupon, Station
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.bench.forecasts import Forecast
from inlaylab.bench.habits import Habits
from inlaylab.bench.readings import Reading
from inlaylab.errors import InputError, LogError, RecordError, StaleError
from inlaylab.log.store import Log

MINIMAL = {"cut": "k9", "bit": "b1", "pair": "p1", "start_depth": 3.0, "pocket_depth": 4.2, "relief_depth": 1.6}


def test_what_was_added_is_there_when_opened_again(log_path, small_shop):
    with Log.open(log_path) as log:
        assert log.shop() == small_shop
        assert log.fingerprint() == small_shop.fingerprint()


def test_a_new_log_is_empty_and_has_the_usual_habits(tmp_path):
    with Log.make(tmp_path / "new.db") as log:
        assert log.shop().cuts == ()
        assert log.shop().habits == Habits()
        assert log.stated_habits() is None
        assert log.history() == ()
        assert log.undo() is None
        assert not log.read_only


def test_making_a_log_does_not_take_the_place_of_a_file(tmp_path, log_path):
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(LogError, match="a file of this name already"):
        Log.make(tmp_path / "notes.txt")
    assert (tmp_path / "notes.txt").read_text() == "mine"
    with pytest.raises(LogError, match="no such log"):
        Log.open(tmp_path / "none.db")
    with pytest.raises(LogError, match="no such folder"):
        Log.make(tmp_path / "none" / "a.db")
    with Log.open(tmp_path / "made.db", make=True) as made, Log.open(log_path, make=True) as old:
        assert (len(made.shop().cuts), len(old.shop().cuts)) == (0, 2)


def test_a_minimal_cut_is_enough(log):
    log.save_cut(Cut(**MINIMAL, outcome="open"), by="Ada")
    assert log.shop().cut("k9").outcome == "open"


def test_each_kind_of_record_can_be_added(log):
    log.add(Bit(bit="b3", nominal_angle_deg=90), by="Ada")
    log.add(Pair(pair="p2", host="oak", insert="maple"))
    spot = Station(coupon="c2", station="B1", kind="bar", stroke_width=1, land_width=2, grain="across")
    log.add(Coupon(coupon="c2", stations=(spot,)))
    log.add(Groove(bit="b3", depth=1, width=2.1))
    log.add([Reading(cut="k1", kind="floor_gap", value=1.0, unit="mm")])
    shop = log.shop()
    assert (shop.bits[-1].bit, shop.pairs[-1].pair, shop.coupons[-1].coupon) == ("b3", "p2", "c2")
    assert (shop.grooves[-1].bit, shop.readings[-1].kind) == ("b3", "floor_gap")
    assert [change.what for change in log.history()[:2]] == ["added 1 reading of k1", "added a groove of b3"]


def test_two_readings_of_one_kind_at_one_station_are_both_kept(log):
    reading = Reading(cut="k1", kind="glue_line", station="B2", value=0.08, limit=0.05, unit="mm")
    log.add([reading, reading])
    assert log.shop().readings_of("k1").count(reading) == 3


def _gap(cut):
    return Reading(cut=cut, kind="floor_gap", value=1, unit="mm")


def _at(station, **more):
    return Reading(cut="k1", station=station, **more)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda log: log.add(Bit(bit="b1", nominal_angle_deg=90)), "a bit of this name in the log already"),
        (lambda log: log.save_cut(Cut(**{**MINIMAL, "cut": "k1"})), "a cut of this name in the log already"),
        (
            lambda log: log.save_cut(Cut(**{**MINIMAL, "bit": "b9"})),
            'this bit is needed.*"b9" at cut k9; allowed: b1',
        ),
        (lambda log: log.save_cut(Cut(**MINIMAL), [_gap("k1")]), "a reading of another cut"),
        (lambda log: log.add([_gap("k9")]), "this cut is needed"),
        (lambda log: log.add([_at("B9", kind="fill", state="filled")]), "no such station"),
        (lambda log: log.add([_at("B1", kind="wedge_stop", value=1, unit="mm")]), "read on a wedge"),
        (lambda log: log.delete(log.shop().bit("b1")), "this bit is needed and would not be there"),
        (lambda log: log.delete(log.shop().pair("p1")), "this pair is needed"),
        (lambda log: log.delete(log.shop().coupons[0]), "this coupon is needed"),
        (lambda log: log.add([object()]), "the log keeps no such thing"),
        (lambda log: log.correct(log.shop().bit("b1"), log.shop().pair("p1")), "a record of another kind"),
        (lambda log: log.add(Bit(bit="b5", nominal_angle_deg=90), by="x" * 201), "who typed it"),
        (lambda log: log.undo(99), "no such change"),
    ],
)
def test_refused_in_words_and_nothing_is_changed(log, small_shop, change, words):
    with pytest.raises(InputError, match=words):
        change(log)
    assert log.shop() == small_shop
    assert len(log.history()) == 1


def test_a_change_is_saved_whole_or_not_at_all(log, small_shop):
    with pytest.raises(RuntimeError, match="half way"), log.change("half", by="Ada") as work:
        work.add(Bit(bit="b7", nominal_angle_deg=60))
        raise RuntimeError("half way")
    assert log.shop() == small_shop
    with log.change("nothing at all"):
        pass
    assert len(log.history()) == 1


def test_history_keeps_what_was_there_before_by_whom_and_when(log):
    old = log.shop().cut("k1")
    log.correct(old, replace(old, notes="better light"), by="Bo")
    change = log.history("k1")[0]
    assert (change.by, change.what, change.taken_back) == ("Bo", "corrected cut k1", False)
    assert (change.rows[0].before, change.rows[0].after.notes) == (old, "better light")
    assert change.at[:2] == "20" and change.at.endswith("+00:00")
    assert log.history("no such cut") == ()
    assert log.history("k2")[0].number == 1
    assert len(log.history(longest=1)) == 1


def test_a_cut_is_corrected_with_its_readings(log):
    shop = log.shop()
    old, before = shop.cut("k1"), shop.readings_of("k1")
    new = [before[0], replace(before[2], value=0.09), *before[3:]]
    log.save_cut(replace(old, outcome="open"), new, by="Bo", based_on=old, readings_before=before)
    assert log.shop().cut("k1").outcome == "open"
    assert log.shop().readings_of("k1") == tuple(new)
    assert [row.table for row in log.history()[0].rows] == ["cuts", "readings", "readings"]
    log.undo()
    assert log.shop() == shop


def test_saving_the_same_again_changes_nothing(log):
    shop = log.shop()
    log.save_cut(shop.cut("k1"), shop.readings_of("k1"), based_on=shop.cut("k1"))
    log.correct(shop.bit("b1"), shop.bit("b1"))
    assert len(log.history()) == 1


def test_renaming_a_cut_takes_its_readings_along(log):
    shop = log.shop()
    old, before = shop.cut("k1"), shop.readings_of("k1")
    log.save_cut(replace(old, cut="k1a"), [replace(r, cut="k1a") for r in before], based_on=old, readings_before=before)
    assert len(log.shop().readings_of("k1a")) == 5
    assert log.shop().readings_of("k1") == ()
    log.correct(log.shop().bit("b2"), replace(log.shop().bit("b2"), bit="thirty"))
    assert log.shop().cut("k2").bit == "thirty"
    log.undo()
    log.undo()
    assert log.shop() == shop


def test_an_edit_on_stale_rows_is_refused_with_both_versions(log_path):
    with Log.open(log_path) as mine, Log.open(log_path) as theirs:
        seen = mine.shop().cut("k1")
        theirs.correct(seen, replace(seen, notes="theirs"), by="Bo")
        wanted = replace(seen, notes="mine")
        with pytest.raises(StaleError, match="cut k1 was changed or deleted by somebody else since") as caught:
            mine.correct(seen, wanted, by="Ada")
        assert (caught.value.mine.notes, caught.value.theirs.notes) == ("mine", "theirs")
        assert mine.shop().cut("k1").notes == "theirs"
        with pytest.raises(StaleError, match="cut k1"):
            mine.save_cut(wanted, (), based_on=seen)
        with pytest.raises(StaleError, match="cut k1"):
            mine.delete(seen)


def test_stale_readings_are_noticed_too(log_path):
    with Log.open(log_path) as mine, Log.open(log_path) as theirs:
        shop = mine.shop()
        cut, before = shop.cut("k1"), shop.readings_of("k1")
        theirs.correct(before[0], replace(before[0], value=1.3))
        with pytest.raises(StaleError, match="changed the readings of cut k1") as caught:
            mine.save_cut(cut, before[1:], based_on=cut, readings_before=before)
        assert caught.value.theirs[0].value == 1.3
        with pytest.raises(StaleError, match="the backer gap of k1 was changed"):
            mine.correct(before[0], replace(before[0], value=1.4))


def test_somebody_elses_new_cut_of_the_same_name_is_not_overwritten(log_path):
    with Log.open(log_path) as mine, Log.open(log_path) as theirs:
        theirs.save_cut(Cut(**MINIMAL, notes="theirs"))
        with pytest.raises(StaleError, match="a cut of this name") as caught:
            mine.save_cut(Cut(**MINIMAL, notes="mine"))
        assert (caught.value.mine.notes, caught.value.theirs.notes) == ("mine", "theirs")


def test_deleting_is_a_mark_that_can_be_taken_back(log):
    shop = log.shop()
    log.delete(shop.cut("k1"), by="Ada")
    assert [cut.cut for cut in log.shop().cuts] == ["k2"]
    assert log.shop().readings_of("k1") == ()
    assert str(log.undo(by="Ada")) == "deleted cut k1"
    assert log.shop() == shop
    log.delete(shop.readings[1])
    log.delete(shop.grooves[0])
    assert (len(log.shop().readings), log.shop().grooves) == (9, ())
    log.undo()
    log.undo()
    assert log.shop() == shop


def test_the_name_of_a_deleted_cut_can_be_used_again(log):
    shop = log.shop()
    log.delete(shop.cut("k2"))
    log.save_cut(Cut(**{**MINIMAL, "cut": "k2"}), [Reading(cut="k2", kind="floor_gap", value=1, unit="mm")])
    assert log.shop().cut("k2").start_depth == 3.0
    assert len(log.shop().readings_of("k2")) == 1
    log.undo()
    log.undo()
    assert log.shop() == shop


def test_undo_goes_back_step_by_step_and_can_itself_be_taken_back(log):
    states = [log.shop()]
    for notes in ("one", "two", "three"):
        cut = log.shop().cut("k1")
        log.correct(cut, replace(cut, notes=notes))
        states.append(log.shop())
    for state in reversed(states[:-1]):
        assert log.undo()
        assert log.shop() == state
    assert log.undo().what == "filled"
    assert log.shop().cuts == ()
    assert log.undo() is None
    last = log.history()[0]
    assert last.undoes == 1
    log.undo(last.number)
    assert log.shop() == states[0]
    assert log.history()[0].what == "did again: took back: filled"


def test_an_older_change_is_taken_back_only_if_nothing_stands_on_it(log):
    cut = log.shop().cut("k1")
    log.correct(cut, replace(cut, notes="one"))
    number = log.history()[0].number
    log.correct(replace(cut, notes="one"), replace(cut, notes="two"))
    with pytest.raises(StaleError, match="was changed again since"):
        log.undo(number)
    log.add(Bit(bit="b5", nominal_angle_deg=60))
    added = log.history()[0].number
    log.save_cut(Cut(**{**MINIMAL, "bit": "b5"}))
    with pytest.raises(RecordError, match="this bit is needed"):
        log.undo(added)
    log.undo()
    log.undo(added)
    with pytest.raises(LogError, match="taken back already"):
        log.undo(added)
    assert [bit.bit for bit in log.shop().bits] == ["b1", "b2"]


def test_habits_are_stated_corrected_and_taken_back(log):
    log.set_habits(Habits(pocket_depth=4.2, maker="Ada's bench"), by="Ada")
    log.set_habits(Habits(pocket_depth=4.0, unit="in"), by="Ada")
    log.set_habits(Habits(pocket_depth=4.0, unit="in"), by="Ada")
    assert len(log.history()) == 3
    assert (log.shop().habits.pocket_depth, log.shop().habits.unit) == (4.0, "in")
    log.undo()
    assert log.shop().habits.maker == "Ada's bench"
    log.undo()
    assert log.stated_habits() is None


def test_a_row_that_no_record_could_be_is_told_in_words(log_path):
    with closing(sqlite3.connect(log_path)) as spoiled:
        spoiled.execute("UPDATE readings SET kind = 'guess' WHERE id = 2")
        spoiled.commit()
    with Log.open(log_path) as log, pytest.raises(LogError, match="row 2 of readings cannot be read"):
        log.shop()


def forecast(cut, **more):
    return Forecast(cut=cut, made="2026-03-05T10:00:00+00:00", within=0.1, chance=0.5, known=2, **more)


def test_a_forecast_is_kept_with_a_new_cut_and_goes_with_it(log):
    before = log.shop()
    gap = Reading(cut="k9", kind="floor_gap", value=1, unit="mm")
    log.save_cut(Cut(**MINIMAL), [gap], forecast=forecast("k9"))
    assert log.shop().forecasts == (forecast("k9"),)
    log.undo()
    assert log.shop() == before
    log.redo()
    assert log.shop().forecasts == (forecast("k9"),)
    log.delete(log.shop().cut("k9"))
    assert log.shop().forecasts == ()
    log.undo()
    assert log.fingerprint() != before.fingerprint() and len(log.shop().forecasts) == 1


def test_nothing_is_forecast_of_a_cut_that_was_read(log):
    with pytest.raises(LogError, match="this cut has been read"), log.change("late") as work:
        work.keep_forecast(forecast("k1"))
    assert log.shop().forecasts == ()


def test_a_forecast_is_of_the_cut_as_it_was_programmed(log):
    planned = Cut(**MINIMAL)
    log.save_cut(planned, forecast=forecast("k9"))
    log.save_cut(replace(planned, sanded_off=0.4), based_on=planned)
    assert len(log.shop().forecasts) == 1, "what is known later is no other cut"
    deeper = replace(planned, sanded_off=0.4, start_depth=3.2)
    log.correct(replace(planned, sanded_off=0.4), deeper)
    assert log.shop().forecasts == ()
    log.save_cut(deeper, based_on=deeper, forecast=forecast("k9"))
    with log.change("planned again") as work:
        work.keep_forecast(replace(forecast("k9"), chance=0.7))
    assert [each.chance for each in log.shop().forecasts] == [0.7]
    renamed = replace(deeper, cut="k10")
    log.correct(deeper, renamed)
    assert [each.cut for each in log.shop().forecasts] == ["k10"]


def test_undo_and_redo_keep_to_their_own_session(log_path):
    with Log.open(log_path, session="notebook 3") as mine, Log.open(log_path, session="notebook 2") as theirs:
        start = mine.shop()
        assert (mine.next_undo(), mine.undo(), mine.redo()) == (None, None, None), "what was there before stays"
        mine.add(Bit(bit="m1", nominal_angle_deg=60))
        theirs.add(Bit(bit="t1", nominal_angle_deg=60))
        mine.add(Bit(bit="m2", nominal_angle_deg=60))
        assert mine.next_undo().what == "added bit m2"
        assert mine.next_undo().rows[0].after == Bit(bit="m2", nominal_angle_deg=60)
        assert theirs.next_undo().what == "added bit t1"
        assert [mine.undo().what, mine.undo().what, mine.undo()] == ["added bit m2", "added bit m1", None]
        assert [bit.bit for bit in mine.shop().bits] == ["b1", "b2", "t1"]
        assert theirs.next_redo() is None
        assert mine.next_redo().what == "added bit m1"
        assert [mine.redo().what, mine.redo().what, mine.redo()] == ["added bit m1", "added bit m2", None]
        assert len(mine.shop().bits) == 5
        assert mine.undo().what == "added bit m2"
        mine.add(Bit(bit="m3", nominal_angle_deg=60))
        assert mine.next_redo() is None, "something new was done since"
        assert [mine.undo().what, mine.undo().what, mine.undo()] == ["added bit m3", "added bit m1", None]
        theirs.undo()
        assert theirs.shop() == start
    with Log.open(log_path, session="notebook 3, opened again") as mine:
        assert mine.next_undo() is None


def test_undo_says_so_where_somebody_else_has_changed_the_same_row_since(log_path):
    with Log.open(log_path, session="mine") as mine, Log.open(log_path, session="theirs") as theirs:
        cut = mine.shop().cut("k1")
        mine.correct(cut, replace(cut, notes="mine"))
        theirs.correct(replace(cut, notes="mine"), replace(cut, notes="theirs"))
        with pytest.raises(StaleError, match="was changed again since"):
            mine.undo()
        assert mine.shop().cut("k1").notes == "theirs"
