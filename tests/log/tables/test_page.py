"""A page carries its tables: equal on the other side, all or nothing, and nothing hostile gets in."""

import csv
import io
import json
from dataclasses import replace

import pytest

from inlaylab.bench.habits import Habits
from inlaylab.command_line import main
from inlaylab.errors import TableError
from inlaylab.log.store import Log
from inlaylab.log.tables import page
from inlaylab.log.tables.csv_rows import write_sheet
from inlaylab.log.tables.import_export import export_folder, import_folder
from inlaylab.log.tables.page_import import import_page


@pytest.fixture
def carried(sample_log):
    """What a page of the sample shop carries."""
    with Log.open(sample_log) as log:
        return page.tables_of(log.shop(), log.stated_habits())


@pytest.fixture
def paged(tmp_path):
    """Write a page that carries these tables; its data may be spoiled before or after it is sealed."""

    def write(files, *, whose="Mara & Theo", name="page.html", before=lambda text: text, after=lambda text: text):
        block = page.data_block(files, whose=whose, written="2026-03", said={"left_out": []})
        whole = after(page.seal(f"<!DOCTYPE html>\n<main>shown</main>\n{before(block)}\n"))
        (tmp_path / name).write_bytes(whole.encode("utf-8"))
        return tmp_path / name

    return write


def tables(log, folder):
    export_folder(log, folder)
    return {path.name: path.read_text(encoding="utf-8") for path in folder.iterdir()}


def test_a_page_into_an_empty_log_exports_as_the_shop_does(sample_log, carried, paged, tmp_path):
    made = import_page(tmp_path / "new.inlay", paged(carried))
    assert made.added["cuts"] == 26 and made.added["readings"] == 314
    ours, theirs = tables(sample_log, tmp_path / "ours"), tables(tmp_path / "new.inlay", tmp_path / "theirs")
    assert ours == {name: text for name, text in theirs.items() if name != "origins.json"}
    with Log.open(tmp_path / "new.inlay") as log:
        shop = log.shop()
    origins = {record.origin for group in (shop.bits, shop.pairs, shop.cuts, shop.readings) for record in group}
    assert len(origins) == 1 and origins.pop().startswith("Mara & Theo, ")


def test_origins_go_with_an_export_and_come_back(carried, paged, tmp_path):
    import_page(tmp_path / "new.inlay", paged(carried))
    export_folder(tmp_path / "new.inlay", tmp_path / "tables")
    import_folder(tmp_path / "again.inlay", tmp_path / "tables")
    with Log.open(tmp_path / "new.inlay") as one, Log.open(tmp_path / "again.inlay") as other:
        assert one.shop() == other.shop() and one.shop().readings[-1].origin


def test_the_same_page_twice_adds_nothing(carried, paged, tmp_path):
    import_page(tmp_path / "new.inlay", paged(carried))
    again = import_page(tmp_path / "new.inlay", paged(carried))
    assert not any(again.added.values()) and "taken before" in again.words()


def test_ones_own_page_adds_nothing_to_ones_own_log(sample_log, carried, paged):
    done = import_page(sample_log, paged(carried))
    assert not done.added["cuts"] and not done.added["readings"] and not done.added["grooves"]
    with Log.open(sample_log) as log:
        assert len(log.shop().cuts) == 26 and len(log.shop().readings) == 314


def test_another_makers_names_get_a_prefix_where_they_clash(sample_log, paged, tmp_path):
    with Log.open(sample_log) as log:
        shop = log.shop()
    cut = replace(shop.cuts[0], start_depth=1.234, typed={}, sanded_off=None)
    other = replace(shop, cuts=(cut,), readings=shop.readings_of(shop.cuts[0]), grooves=(), forecasts=())
    files = page.tables_of(other, Habits(sanded_off=0.7, tight_below=0.04, maker="Theo"))
    done = import_page(sample_log, paged(files, whose="Theo of the yard"))
    with Log.open(sample_log) as log:
        now = log.shop()
    new = now.cuts[-1]
    assert (new.cut, new.bit, new.pair) == (f"Theo {cut.cut}", f"Theo {cut.bit}", cut.pair), "the same woods, one pair"
    assert new.coupon == cut.coupon, "the very same drawing is the same coupon"
    assert new.sanded_off == 0.7 and "tight below" in done.words() and f"Theo {cut.bit}" in done.words()
    assert len(now.readings) == 314 + len(other.readings) and now.readings[-1].cut == new.cut
    assert len(now.pairs) == 4 and len(now.coupons) == 2


def test_nothing_is_taken_where_one_row_is_refused(sample_log, carried, paged):
    carried["readings.csv"] = carried["readings.csv"].replace("glue_line", "glu_line", 1)
    with Log.open(sample_log) as log:
        before = log.shop()
    with pytest.raises(TableError, match=r"readings\.csv, row 4"):
        import_page(sample_log, paged(carried))
    with Log.open(sample_log) as log:
        assert log.shop() == before


DEEP = "[" * 10_000 + "]" * 10_000


def _with_photo(files, path):
    rows = list(csv.DictReader(io.StringIO(files["cuts.csv"])))
    rows[0]["photo"] = path
    return {**files, "cuts.csv": write_sheet(list(rows[0]), rows)}


SPOILED = {
    "edited by hand": ({"after": lambda text: text.replace("shown", "Start depth 9")}, "changed after it was written"),
    "edited tables": ({"after": lambda text: text.replace("walnut", "oak")}, "changed after it was written"),
    "another fingerprint": (
        {"after": lambda text: text.replace(page._OPENED.search(text)[2], "0" * 64)},
        "changed after it was written",
    ),
    "a later version": (
        {"before": lambda text: text.replace('data-format="1"', 'data-format="2"')},
        "later inlaylab",
    ),
    "deep": ({"before": lambda text: text.replace('"left_out":[]', f'"left_out":{DEEP}')}, "not JSON of its kind"),
    "large": (
        {"before": lambda text: text.replace('"left_out":[]', '"left_out":["' + "x" * 10_000_000 + '"]')},
        "carries too much",
    ),
    "twice": ({"before": lambda text: text + text}, "twice"),
    "none": ({"before": lambda text: ""}, "no findings page"),
    "not a number": ({"before": lambda text: text.replace('"left_out":[]', '"left_out":NaN')}, "not JSON"),
    "a format before the first": (
        {"before": lambda text: text.replace('data-format="1"', 'data-format="0"')},
        "no inlaylab writes",
    ),
    "a key twice": (
        {"before": lambda text: text.replace('"tables":{', '"tables":{},"tables":{')},
        "not JSON of its kind",
    ),
    "half a letter": ({"before": lambda text: text.replace("walnut", "wal\\ud800nut")}, "half a letter"),
    "half a letter in the name": ({"before": lambda text: text.replace('"whose":"', '"whose":"\\udfff')}, "half a"),
    "no tables": ({"before": lambda text: text.replace('"tables":{', '"tables":[{').replace("}</", "}]</")}, "no"),
    "a file elsewhere": (
        {"before": lambda text: text.replace('"cuts.csv"', '"../cuts.csv"')},
        "a file with an odd name",
    ),
}


@pytest.mark.parametrize("name", SPOILED)
def test_hostile_pages_are_refused_in_one_sentence(carried, paged, tmp_path, capsys, name):
    options, words = SPOILED[name]
    bad = paged(carried, **options)
    there = sorted(path.name for path in tmp_path.iterdir())
    assert main(["import", str(tmp_path / "new.inlay"), str(bad)]) == 2
    said = capsys.readouterr().err
    assert words in said and said.count("\n") == 1 and len(said) < 600
    assert sorted(path.name for path in tmp_path.iterdir()) == there


@pytest.mark.parametrize("name", ["forecasts.json", "layouts.json", "origins.json"])
def test_nested_files_that_are_too_deep_or_of_another_kind_are_refused(carried, paged, tmp_path, capsys, name):
    for content in (DEEP, "{" * 10_000, "null", '{"cuts": 1}', "NaN"):
        bad = paged({**carried, name: content})
        assert main(["import", str(tmp_path / "new.inlay"), str(bad)]) == 2
        said = capsys.readouterr().err
        assert name in said and said.count("\n") == 1 and len(said) < 600
        assert not (tmp_path / "new.inlay").exists()


@pytest.mark.parametrize("path", ["../../secret.png", "/etc/passwd", "C:\\secret.png"])
def test_a_photo_that_leads_elsewhere_is_refused(carried, paged, tmp_path, capsys, path):
    bad = paged(_with_photo(carried, path))
    assert main(["import", str(tmp_path / "new.inlay"), str(bad)]) == 2
    said = capsys.readouterr().err
    assert "photo" in said and said.count("\n") == 1
    assert not (tmp_path / "new.inlay").exists()


def test_scripts_in_notes_stay_text(sample_log, paged, tmp_path):
    hostile = '</script><script>alert(1)</script><!-- <img src=x onerror="alert(1)">'
    with Log.open(sample_log) as log:
        cut = log.shop().cuts[0]
        log.correct(cut, replace(cut, notes=hostile))
        files = page.tables_of(log.shop(), None)
    written = paged(files)
    text = written.read_text(encoding="utf-8")
    assert text.count("<script") == 1 and "alert" in json.dumps(text) and "<img" not in text
    import_page(tmp_path / "new.inlay", written)
    with Log.open(tmp_path / "new.inlay") as log:
        assert log.shop().cuts[0].notes == hostile


def test_line_ends_may_change_on_the_way(carried, paged, tmp_path):
    sent = paged(carried, after=lambda text: text.replace("\n", "\r\n"))
    assert import_page(tmp_path / "new.inlay", sent).added["cuts"] == 26
