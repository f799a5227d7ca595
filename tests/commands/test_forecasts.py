"""The kit's own score, as documented."""

import json
import shutil
from dataclasses import replace

import pytest

from inlaylab.command_line import main
from inlaylab.fitting.stored_fit import path_of
from inlaylab.log.store import Log
from inlaylab.services.forecasts import forecast_of


@pytest.fixture
def own_log(fitted_log, tmp_path):
    """The fitted log, to be written to."""
    for path in (fitted_log, path_of(fitted_log)):
        shutil.copyfile(path, tmp_path / path.name)
    return tmp_path / fitted_log.name


@pytest.fixture
def asked_own(own_log, capsys):
    """Ask a command about it: its record, or its text."""

    def ask(command, *words, json_too=True):
        assert main([command, str(own_log), *words, *(["--json"] if json_too else [])]) == 0
        out = capsys.readouterr().out
        return json.loads(out) if json_too else out

    return ask


def plan(path, name="k7"):
    """Add a cut that nobody has read."""
    with Log.open(path) as log:
        cut = replace(log.shop().cuts[-1], cut=name, outcome=None)
        log.save_cut(cut)
    return cut


def test_forecasts_as_documented(own_log, asked_own):
    said = asked_own("forecasts", json_too=False)
    assert "No cut was forecast before it was read yet" in said and "--replay" in said
    cut = plan(own_log)
    kept = forecast_of(own_log, cut)
    with Log.open(own_log) as log, log.change("forecast k7", by="Ada") as work:
        work.keep_forecast(kept)
    assert "1 cut forecast, and none of them read yet" in asked_own("forecasts", json_too=False)
    with Log.open(own_log) as log:
        assert log.shop().forecasts == (kept,)
        readings = [replace(reading, cut="k7") for reading in log.shop().readings_of("k1")]
        log.save_cut(cut, readings, based_on=cut)
    found = asked_own("forecasts")
    [told] = found["cuts"]
    assert (told["cut"], told["made"], told["good"] in (True, False)) == ("k7", kept.made, True)
    assert {"station", "q05", "q25", "q50", "q75", "q95", "read"} <= told["stations"][0].keys()
    assert 0 <= found["inside_90"] <= 1 and found["inside_50"] <= found["inside_90"]
    assert found["mean_miss"] >= 0 and set(found["rules"]) == {"last_cut", "fixed_gap"}
    assert "Typical miss" in asked_own("forecasts", "--last", "5", json_too=False)


def test_a_cut_that_was_read_or_that_the_fit_may_know_is_not_forecast(own_log):
    with Log.open(own_log) as log:
        shop = log.shop()
        cut = shop.cuts[0]
        assert forecast_of(own_log, cut) is None, "it has readings"
        log.save_cut(cut, (), based_on=cut)
    assert forecast_of(own_log, cut) is None, "its readings were taken out after the fit"
    assert forecast_of(own_log, replace(cut, cut="new")).cut == "new"
    assert forecast_of(own_log, replace(cut, cut="new", bit="no such bit")) is None


def test_a_forecast_is_drawn(own_log, tmp_path, capsys):
    picture = tmp_path / "forecasts.png"
    assert main(["forecasts", str(own_log), "--figure", str(picture)]) == 0
    assert picture.read_bytes().startswith(b"\x89PNG")
    assert main(["forecasts", str(tmp_path / "none.inlay")]) == 2
    assert "no such log" in capsys.readouterr().err
