"""``merge`` through the command line: both sides' changes, what has to be chosen, and new logs."""

import json
from dataclasses import replace

import pytest

from inlaylab.command_line import main
from inlaylab.log.file.rescue import copy_log
from inlaylab.log.store import Log


@pytest.fixture
def run(capsys):
    def ask(*words):
        status = main([str(word) for word in words])
        shown = capsys.readouterr()
        return status, shown.out, shown.err

    return ask


@pytest.fixture
def friend(sample_log, tmp_path):
    """A copy of the sample's log in which one cut's depth was corrected; in the sample, too, to something else."""
    path = copy_log(sample_log, tmp_path / "friend.inlay")
    for log_path, depth in ((sample_log, 2.5), (path, 2.75)):
        with Log.open(log_path) as log:
            cut = log.shop().cut("T06")
            log.correct(cut, replace(cut, start_depth=depth, typed={}))
    with Log.open(path) as log:
        log.delete(log.shop().cut("T09"))
    return path


def test_what_both_changed_is_shown_side_by_side_and_nothing_is_written(run, sample_log, friend):
    before = sample_log.read_bytes()
    status, out, err = run("merge", sample_log, friend, "--unit", "in")
    assert status == 2 and out == ""
    assert "cut T06:" in err and "0.0984 in" in err and "0.1083 in" in err, "1/25.4 of 2.5 and 2.75 mm"
    assert "it was not chosen whose to keep" in err.splitlines()[-1]
    assert sample_log.read_bytes() == before
    status, out, _ = run("merge", sample_log, friend, "--look", "--json")
    record = json.loads(out)
    assert status == 0 and record["deleted"]["cuts"] == 1 and record["log"] is None
    (conflict,) = record["conflicts"]
    assert (conflict["record"], conflict["mine"]["start_depth"], conflict["theirs"]["start_depth"]) == (
        "cut T06",
        2.5,
        2.75,
    )
    assert sample_log.read_bytes() == before


@pytest.mark.parametrize("words", [("--theirs", "cut T06"), ("--rest", "theirs")])
def test_what_is_chosen_is_taken_and_undone_in_one_step(run, sample_log, friend, words):
    with Log.open(sample_log) as log:
        before = log.shop()
    status, out, err = run("merge", sample_log, friend, *words)
    assert status == 0, err
    assert "1 cut and 13 readings deleted" in out or "deleted" in out
    with Log.open(sample_log) as log:
        after = log.shop()
        assert after.cut("T06").start_depth == 2.75 and "T09" not in {cut.cut for cut in after.cuts}
        assert log.history()[0].what == "merged friend.inlay"
        log.undo()
        assert log.shop() == before


def test_a_new_log_leaves_both_alone(run, sample_log, friend, tmp_path):
    before = sample_log.read_bytes(), friend.read_bytes()
    (tmp_path / "both.inlay.txt").write_text("mine")
    status, _, err = run("merge", sample_log, friend, "--out", tmp_path / "both.inlay")
    assert status == 2 and not (tmp_path / "both.inlay").exists(), err
    assert run("merge", sample_log, friend, "--rest", "mine", "--out", tmp_path / "both.inlay")[0] == 0
    assert (sample_log.read_bytes(), friend.read_bytes()) == before
    with Log.open(tmp_path / "both.inlay") as log:
        assert len(log.shop().cuts) == 25 and log.shop().cut("T06").start_depth == 2.5
    assert (tmp_path / "both.inlay.txt").read_text() == "mine"


def test_logs_that_never_were_one_need_a_new_log(run, sample_log, tmp_path):
    other = tmp_path / "other.inlay"
    with Log.open(sample_log) as log:
        shop = log.shop()
    with Log.make(other) as log:
        log.add([*shop.bits, *shop.pairs, *shop.coupons])
    status, _, err = run("merge", sample_log, other)
    assert status == 2 and "never were one" in err and "--out NEW --prefix WORD" in err
    status, out, _ = run("merge", sample_log, other, "--out", tmp_path / "both.inlay", "--prefix", "Ola", "--json")
    assert status == 0 and json.loads(out)["added"]["bits"] == 3


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--theirs", "cut T05"), "this was not changed by both"),
        (("--mine", "cut T06", "--theirs", "cut T06"), "named twice"),
        (("--rest", "mine", "--prefix", "x" * 41), "prefix"),
    ],
)
def test_what_cannot_be_chosen_is_refused(run, sample_log, friend, words, said):
    before = sample_log.read_bytes()
    status, out, err = run("merge", sample_log, friend, *words)
    assert status == 2 and out == "" and said in err
    assert sample_log.read_bytes() == before
