"""Forecasts, layouts and origins of a folder: taken whole or refused in one sentence."""

import json
from dataclasses import replace

import any_shop
import pytest

from inlaylab.bench.forecasts import Expected, Forecast
from inlaylab.errors import TableError
from inlaylab.log.store import Log
from inlaylab.log.tables.import_export import export_folder, import_folder, read_folder

FORECAST = {
    "cut": "k1",
    "made": "2026-03-05T10:00:00+00:00",
    "within": 0.1,
    "chance": 0.8,
    "known": 3,
    "stations": [{"station": "B2", "q05": 0, "q25": 0.01, "q50": 0.02, "q75": 0.03, "q95": 0.05, "filled": 1}],
}


def put(tables, name, content):
    (tables / name).write_text(content if isinstance(content, str) else json.dumps(content), encoding="utf-8")


def test_forecasts_are_taken_and_written_again(tables, tmp_path):
    put(tables, "forecasts.json", {"cuts": [{**FORECAST, "good": None}]})
    said = import_folder(tmp_path / "a.db", tables)
    assert said.added["forecasts"] == 1
    assert import_folder(tmp_path / "a.db", tables).added["forecasts"] == 0
    with Log.open(tmp_path / "a.db") as log:
        [forecast] = log.shop().forecasts
    level = {"q05": 0, "q25": 0.01, "q50": 0.02, "q75": 0.03, "q95": 0.05}
    kept = {key: value for key, value in FORECAST.items() if key != "stations"}
    assert forecast == Forecast(**kept, stations=(Expected(station="B2", filled=1, **level),))
    export_folder(tmp_path / "a.db", tmp_path / "out")
    assert read_folder(tmp_path / "out").forecasts == (forecast,)


def test_a_layout_comes_with_its_coupon_or_to_one_that_is_there(tables, log_path, small_shop, tmp_path):
    drawn = json.loads(any_shop.layout("c1", small_shop.coupons[0].stations))
    put(tables, "LAYOUT.json", drawn)
    import_folder(tmp_path / "a.db", tables)
    import_folder(log_path, tables)
    for path in (tmp_path / "a.db", log_path):
        with Log.open(path) as log:
            [coupon] = log.shop().coupons
            assert json.loads(coupon.layout) == drawn
            assert log.fingerprint() == small_shop.fingerprint()
    with Log.open(log_path) as log:
        assert log.undo().what == "imported tables"
        assert log.shop() == small_shop
        log.redo()
    export_folder(log_path, tmp_path / "out")
    assert json.loads((tmp_path / "out" / "layouts.json").read_text()) == [drawn]
    put(tables, "LAYOUT.json", {**drawn, "length": 7})
    with pytest.raises(TableError, match="coupon c1 is in the log already and says something else"):
        import_folder(log_path, tables)


def test_origins_stand_beside_the_tables(log_path, small_shop, tmp_path):
    page = "Mara's page, 3f2a"
    with Log.open(log_path) as log:
        shop = log.shop()
        log.correct(shop.cut("k1"), replace(shop.cut("k1"), origin=page))
        for reading in shop.readings_of("k1")[:4]:
            log.correct(reading, replace(reading, origin=page))
        marked = log.shop()
        assert log.fingerprint() == small_shop.fingerprint()
    export_folder(log_path, tmp_path / "out")
    assert "origin" not in (tmp_path / "out" / "cuts.csv").read_text()
    assert json.loads((tmp_path / "out" / "origins.json").read_text()) == {
        "cuts": {"k1": page},
        "readings": {"6": None},
    }
    assert read_folder(tmp_path / "out").cuts == marked.cuts
    assert read_folder(tmp_path / "out").readings == marked.readings


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("forecasts.json", "{", "this file is not JSON"),
        ("forecasts.json", "[" * 100_000, "this file is not JSON"),
        ("forecasts.json", [], "no list of cuts"),
        ("forecasts.json", {"cuts": [7]}, "no object"),
        ("forecasts.json", {"cuts": [{**FORECAST, "cut": "k9"}]}, "there is no such cut"),
        ("forecasts.json", {"cuts": [{**FORECAST, "chance": 2}]}, "chance is too large"),
        ("forecasts.json", {"cuts": [{**FORECAST, "sure": 2}]}, "no meaning here"),
        ("forecasts.json", {"cuts": [{**FORECAST, "stations": 7}]}, "stations is no list"),
        ("forecasts.json", {"cuts": [{**FORECAST, "stations": [{"q05": 1}]}]}, "station"),
        ("layout.json", "7", "a layout of no such coupon"),
        ("layout.json", {"coupon": "c1", "stations": [{"station": "B9"}]}, "a station that the coupon does not have"),
        ("layout.json", {"coupon": "c1"}, "lists no stations"),
        ("layouts.json", [{"coupon": "c9", "stations": []}], "a layout of no such coupon"),
        ("origins.json", [], "states no origins"),
        ("origins.json", {"cuts": {"k1": 7}}, "states no origins"),
        ("origins.json", {"cuts": {"k1": "two\nlines"}}, "control characters"),
    ],
)
def test_what_cannot_be_taken_is_refused_in_a_sentence(name, content, words, tables, tmp_path):
    put(tables, name, content)
    with pytest.raises(TableError, match=words) as caught:
        import_folder(tmp_path / "a.db", tables)
    assert name in str(caught.value) and "\n" not in str(caught.value)
    assert not (tmp_path / "a.db").exists()
