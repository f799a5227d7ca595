"""The one worker of a log, with a stand-in for the sampler: what matters here is who works when, and who is told."""

import threading
import time
from dataclasses import replace

import pytest

from inlaylab.bench.bits import Bit
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.errors import InputError, Stopped
from inlaylab.log.store import Log
from inlaylab.services import updates as room
from inlaylab.services.claim import Claim
from inlaylab.services.jobs import Stage
from inlaylab.services.updates import Updates, updates_of

LONG = 60


class Fit:
    """As much of a fit as the worker looks at."""

    def __init__(self, shop):
        self.fingerprint, self.converged, self.cuts, self.seconds = shop.fingerprint(), True, len(shop.cuts), 3.0


@pytest.fixture
def log(tmp_path):
    path = tmp_path / "oak.inlay"
    with Log.make(path) as made:
        made.add([Bit(bit="b", nominal_angle_deg=60), Pair(pair="p", host="oak", insert="ash")])
    return path


@pytest.fixture
def fits(monkeypatch):
    """Replace the sampler, and how a fit is kept, by something quick."""
    kept, made = {}, []

    def fit(self, opened, *, progress, stop):
        progress(0.5, 2.0, "sampling")
        made.append(len(opened.shop.cuts))
        return Fit(opened.shop)

    def save(fit, path):
        kept[path.name] = fit
        path.with_name(path.name + ".fit.npz").write_text(fit.fingerprint)

    from inlaylab.errors import FitMissing
    from inlaylab.fitting import stored_fit

    def read_or_missing(path):
        if path.name not in kept:
            raise FitMissing("no fit")
        return kept[path.name]

    monkeypatch.setattr(Updates, "_fit", fit)
    monkeypatch.setattr(stored_fit, "save", save)
    monkeypatch.setattr(stored_fit, "read", read_or_missing)
    monkeypatch.setattr(room, "EVERY", 0.02)
    return made


class Listener:
    def __init__(self, updates):
        self.updates, self.states = updates, []
        updates.listen(self.heard)

    def heard(self):
        self.states.append((self.updates.opened.state, self.updates.stage.state))


def save_cut(path, name, start=3.6):
    with Log.open(path) as log:
        log.save_cut(Cut(cut=name, bit="b", pair="p", start_depth=start, pocket_depth=4.0, relief_depth=1.5))


def until(true):
    end = time.monotonic() + LONG
    while not true():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_what_another_program_saves_is_noticed_and_worked_out_without_a_word(log, fits):
    updates = updates_of(log)
    listener = Listener(updates)
    updates.follow()
    save_cut(log, "k1")
    until(lambda: updates.opened.state == "fresh" and not updates.stage.running)
    save_cut(log, "k2")
    until(lambda: updates.opened.state == "fresh" and len(updates.opened.shop.cuts) == 2)
    assert fits == [1, 2] and ("none", "running") in listener.states


def test_what_is_written_while_the_log_is_read_is_noticed_too(log, fits, monkeypatch):
    updates, real, once = Updates(log), room.open_log, []

    def read_and_be_overtaken(path, *, known=None):
        opened = real(path, known=known)
        if not once:
            once.append(save_cut(log, "T01"))
        return opened

    listener = Listener(updates)
    monkeypatch.setattr(room, "open_log", read_and_be_overtaken)
    updates.look()
    assert not updates.opened.shop.cuts
    updates.follow()
    until(lambda: updates.opened.state == "fresh")
    assert updates.opened.shop.cuts and listener.states


def test_one_worker_a_log_in_a_program(log):
    assert updates_of(log) is updates_of(log.parent / "." / log.name)


def test_a_log_without_cuts_is_not_worked_on(log, fits):
    updates = updates_of(log)
    updates.changed()
    with pytest.raises(InputError, match="no cuts"):
        updates.start()
    assert fits == []


def test_stopping_holds_until_the_records_change(log, fits, monkeypatch):
    began = threading.Event()

    def endless(self, opened, *, progress, stop):
        began.set()
        while not stop():
            time.sleep(0.01)
        raise Stopped("stopped")

    with monkeypatch.context() as patch:
        patch.setattr(Updates, "_fit", endless)
        updates = updates_of(log)
        listener = Listener(updates)
        updates.follow()
        save_cut(log, "k1")
        assert began.wait(LONG)
        updates.stop()
        until(lambda: updates.stage.state == "stopped")
    time.sleep(0.2)
    assert updates.stage.state == "stopped" and fits == [] and listener.states[-1] == ("none", "stopped")
    save_cut(log, "k2")
    until(lambda: updates.opened.state == "fresh")
    assert fits == [2]


def test_a_failure_is_told_once_and_not_tried_again_until_asked(log, fits, monkeypatch):
    tried = []

    def failing(self, opened, *, progress, stop):
        tried.append(1)
        raise InputError("nothing to learn from")

    with monkeypatch.context() as patch:
        patch.setattr(Updates, "_fit", failing)
        updates = updates_of(log)
        listener = Listener(updates)
        updates.follow()
        save_cut(log, "k1")
        until(lambda: updates.stage.state == "failed")
        time.sleep(0.2)
    assert tried == [1] and "nothing to learn from" in updates.stage.reason and listener.states
    updates.start()
    until(lambda: updates.opened.state == "fresh")


def test_of_two_programs_one_works_and_the_other_is_told(log, fits):
    save_cut(log, "k1")
    mine, theirs = Updates(log), Claim(log)
    assert theirs.take(mine.opened.fingerprint)
    theirs.tell(Stage(state="running", share=0.3, seconds_left=4.0, text="sampling"))
    mine._step()
    assert mine.stage == Stage(state="running", share=0.3, seconds_left=4.0, text="sampling")
    mine.start()
    assert fits == [] and not mine.job.running
    theirs.give_up()
    mine._step()
    mine.wait(LONG)
    assert fits == [1] and mine.opened.state == "fresh"


def test_a_stop_reaches_the_program_that_works(log, fits):
    save_cut(log, "k1")
    worker, other = Claim(log), Updates(log)
    worker.take(other.opened.fingerprint)
    other.stop()
    assert worker.held(other.opened.fingerprint).state == "stopped"
    assert worker.held("other records") is None


def test_a_claim_of_a_program_that_died_does_not_count(log, fits, monkeypatch):
    save_cut(log, "k1")
    dead, alive = Claim(log), Claim(log)
    assert dead.take("x") and alive.others() is not None
    monkeypatch.setattr("inlaylab.services.claim.DEAD_AFTER", -1.0)
    assert alive.others() is None and alive.take("x")


def test_a_folder_that_cannot_be_written_only_costs_the_others_the_news(log, monkeypatch):
    def refuse(*words, **options):
        raise PermissionError("read-only")

    monkeypatch.setattr("pathlib.Path.mkdir", refuse)
    claim = Claim(log)
    assert claim.take("x")
    claim.tell(replace(Stage(), state="running"))
    claim.give_up()


def test_a_listener_that_is_gone_is_forgotten(log):
    updates = Updates(log)
    listener = Listener(updates)
    updates._show(Stage(state="running"))
    assert listener.states == [("none", "running")]
    del listener
    updates._show(Stage())
    assert updates._listeners == []


def test_an_earlier_fit_is_brought_up_to_date_and_its_first_draws_are_shown(log, monkeypatch):
    asked, first = [], []

    def update(fit, shop, *, fingerprint, watch):
        asked.append((fit, fingerprint))
        first.append(Fit(shop))
        watch.preview(first[0])
        return "all draws"

    monkeypatch.setattr("inlaylab.fitting.update.update", update)
    save_cut(log, "k1")
    updates = Updates(log)
    listener, last = Listener(updates), Fit(updates.opened.shop)
    found = updates._fit(replace(updates.opened, last=last), progress=lambda *news: None, stop=lambda: False)
    assert found == "all draws" and updates.early is first[0] and listener.states
    assert asked == [(last, updates.opened.fingerprint)]


def test_first_draws_do_not_outlive_a_stop_nor_a_change_of_the_log(log, fits, monkeypatch):
    save_cut(log, "k1")
    updates = Updates(log)

    def stopped_after_its_first_draws(self, opened, *, progress, stop):
        self._take_early(Fit(opened.shop))
        assert self.early is not None
        raise Stopped("asked")

    monkeypatch.setattr(Updates, "_fit", stopped_after_its_first_draws)
    updates.start()
    updates.wait(LONG)
    assert updates.early is None and updates.stage.state == "stopped"
    old = updates.opened.shop
    save_cut(log, "k2")
    updates.look()
    updates._take_early(Fit(old))
    assert updates.early is None
