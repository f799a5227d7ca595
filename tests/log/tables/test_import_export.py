"""Tables from strangers: taken with the same meaning, or refused with file, row, column, value and what is allowed."""

import codecs
import csv
import os
import re
from dataclasses import replace

import pytest

from inlaylab.bench.habits import Habits
from inlaylab.command_line import main
from inlaylab.errors import LogError, TableError
from inlaylab.log.store import Log
from inlaylab.log.tables import csv_rows
from inlaylab.log.tables.import_export import (
    TABLES,
    export_folder,
    import_folder,
    read_folder,
    write_folder,
)


def edit(tables, file, old, new, *, count=1):
    """Replace a text in a table, and see that it was there."""
    path = tables / f"{file}.csv"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, count), encoding="utf-8")


def column_of(tables, file, row, column, value):
    """Set one cell; row as in a spreadsheet."""
    path = tables / f"{file}.csv"
    with path.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))
    rows[row - 1][rows[0].index(column)] = value
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(rows)


NEUTRAL = {
    "byte order mark": lambda text: "\ufeff" + text,
    "windows line ends": lambda text: text.replace("\n", "\r\n"),
    "blank lines": lambda text: text.replace("\n", "\n\n") + "\n,\n".replace(",\n", "\n"),
    "no last line end": lambda text: text.rstrip("\n"),
    "blank line of commas": lambda text: text + "," * text.split("\n")[0].count(",") + "\n",
    "rows upside down": lambda text: "\n".join([text.split("\n")[0], *reversed(text.strip().split("\n")[1:])]),
}


@pytest.mark.parametrize("change", NEUTRAL.values(), ids=NEUTRAL)
def test_what_means_the_same_is_taken(change, tables, small_shop):
    for path in tables.glob("*.csv"):
        path.write_bytes(change(path.read_text(encoding="utf-8")).encode())
    assert read_folder(tables).fingerprint() == small_shop.fingerprint()


@pytest.mark.parametrize("text", ["2.50", "+2.5", "02.5", " 2.5 ", "25e-1", "2.5000000000000000000000000001"])
def test_numbers_that_mean_the_same_are_taken(text, tables, small_shop):
    column_of(tables, "cuts", 2, "start_depth", text)
    assert read_folder(tables).fingerprint() == small_shop.fingerprint()


def test_columns_in_any_order_and_optional_ones_left_out(tables, small_shop):
    (tables / "bits.csv").write_text("unit,tip_flat,nominal_angle_deg,bit\nmm,0.1,60,b1\nmm,,30,b2\n")
    assert read_folder(tables).bits == small_shop.bits


def test_only_seven_columns_are_needed_in_cuts(tmp_path):
    (tmp_path / "bits.csv").write_text("bit,nominal_angle_deg\nb1,60\n")
    (tmp_path / "pairs.csv").write_text("pair,host,insert\np1,maple,walnut\n")
    (tmp_path / "cuts.csv").write_text(
        "cut,bit,pair,start_depth,pocket_depth,relief_depth,unit\nk1,b1,p1,0.13,0.17,0.065,in\n"
    )
    cut = read_folder(tmp_path).cuts[0]
    assert (cut.start_depth, cut.pocket_depth, cut.relief_depth) == (3.302, 4.318, 1.651)
    assert (cut.coupon, cut.date, cut.notes) == (None, None, "")


def test_blank_depths_are_filled_from_the_stated_habit(tables, small_shop):
    for row in (2, 3):
        column_of(tables, "cuts", row, "pocket_depth", "")
    with pytest.raises(TableError, match=r"pocket_depth is blank at cuts\.csv, row 2.*allowed: .*habit"):
        read_folder(tables)
    (tables / "habits.csv").write_text("pocket_depth,unit\n0.17,in\n")
    shop = read_folder(tables)
    assert [cut.pocket_depth for cut in shop.cuts] == [4.318, 4.318]
    (tables / "habits.csv").unlink()
    known = small_shop.with_cuts(())
    habits = Habits(pocket_depth=4.0)
    assert read_folder(tables, known=replace(known, habits=habits)).cuts[0].pocket_depth == 4.0


def test_extra_columns_are_kept_and_written_again(tables, tmp_path):
    edit(tables, "pairs", "pair,host,insert\np1,maple,walnut", "pair,host,insert,glue\np1,maple,walnut,hide")
    (tables / "remarks.csv").write_text("a,b\n1,2\n")
    assert read_folder(tables).pairs[0].extra == {"glue": "hide"}
    imported = import_folder(tmp_path / "a.db", tables)
    assert "pairs.csv: kept without a use: glue." in imported.words()
    assert "remarks.csv is not a table of a log and was left alone." in imported.words()
    export_folder(tmp_path / "a.db", tmp_path / "out")
    assert "pair,host,insert,glue\np1,maple,walnut,hide" in (tmp_path / "out" / "pairs.csv").read_text()


# file, row, column, cell, what must be said
CELLS = [
    ("cuts", 2, "start_depth", "2,5", r'not a number: "2,5" at cuts\.csv, row 2, column start_depth.*decimal comma'),
    ("cuts", 2, "start_depth", "nan", "not a number"),
    ("cuts", 2, "start_depth", "inf", "not a number"),
    ("cuts", 2, "start_depth", "-2.5", "start_depth is too small.*0 to 100 mm"),
    ("cuts", 2, "start_depth", "101", "start_depth is too large"),
    ("cuts", 2, "start_depth", "1e9", "too large"),
    ("cuts", 2, "start_depth", "1e999", "not a length"),
    ("cuts", 2, "start_depth", "2.5 mm", "not a number.*no unit"),
    ("cuts", 2, "start_depth", "1/8", "not a number"),
    ("cuts", 2, "start_depth", "2_5", "not a number"),
    ("cuts", 2, "start_depth", "0x10", "not a number"),
    ("cuts", 2, "start_depth", "٢", "not a number"),
    ("cuts", 2, "start_depth", "−2", "not a number"),
    ("cuts", 2, "start_depth", "deep", "not a number"),
    ("cuts", 2, "start_depth", "=1+1", "not a number"),
    ("cuts", 2, "start_depth", "1" * 61, "not a number"),
    ("cuts", 2, "start_depth", "", "start_depth is missing at cuts.csv, row 2, column start_depth"),
    ("cuts", 2, "pocket_depth", "0", "pocket_depth is too small.*above 0"),
    ("cuts", 2, "unit", "", "unit is missing at cuts.csv, row 2, column unit; allowed: mm, in, thou"),
    ("cuts", 2, "unit", "cm", "unit is unknown"),
    ("cuts", 2, "unit", "MM", "unit is unknown"),
    ("cuts", 2, "date", "5.3.2026", "date is not a date.*ISO 8601"),
    ("cuts", 2, "date", "2026-02-30", "date is not a date"),
    ("cuts", 2, "outcome", "perfect", "outcome is not one of the choices.*tight, hairline"),
    ("cuts", 2, "path_angle_deg", "0", "path_angle_deg is too small"),
    ("cuts", 2, "path_angle_deg", "360", "path_angle_deg is too large"),
    ("cuts", 2, "path_length_m", "-1", "path_length_m is too small"),
    ("cuts", 2, "outline_offset", "11", "outline_offset is too large"),
    ("cuts", 2, "photo", "../secret.jpg", "leads out of the log's folder"),
    ("cuts", 2, "photo", "/etc/passwd", "leads out of the log's folder"),
    ("cuts", 2, "bit", "b9", r'no such bit: "b9" at cuts\.csv, row 2, column bit; allowed: b1, b2'),
    ("cuts", 2, "pair", "p9", "no such pair"),
    ("cuts", 2, "coupon", "c9", "no such coupon"),
    ("cuts", 2, "coupon", "", "cut k1 has no coupon, so no station"),
    ("cuts", 2, "cut", "", "cut is missing"),
    ("cuts", 3, "cut", "k1", "this cut stands twice, in row 2 too.*row 3, column cut"),
    ("cuts", 2, "cut", "x" * 201, "201 characters"),
    ("cuts", 2, "notes", "x" * 20_001, "cell is too long: 20001"),
    ("bits", 2, "nominal_angle_deg", "", "nominal_angle_deg is missing"),
    ("bits", 2, "nominal_angle_deg", "180", "too large"),
    ("bits", 2, "tip_flat", "-0.1", "tip_flat is too small"),
    ("bits", 2, "unit", "furlong", "unit is unknown"),
    ("bits", 3, "bit", "b1", "this bit stands twice"),
    ("grooves", 2, "bit", "b7", "no such bit"),
    ("grooves", 2, "depth", "0", "depth is too small"),
    ("pairs", 2, "host", "", "host is missing"),
    ("coupons", 2, "kind", "disc", "kind is not one of the choices"),
    ("coupons", 2, "grain", "", "grain is missing"),
    ("coupons", 2, "stroke_width", "0", "stroke_width is too small"),
    ("coupons", 3, "station", "B1", "a station stands twice"),
    ("readings", 2, "cut", "k7", "no such cut"),
    ("readings", 2, "kind", "guess", "kind is not one of the choices.*backer_gap"),
    ("readings", 2, "value", "", "a backer_gap needs its value"),
    ("readings", 2, "station", "B1", "read at no station"),
    ("readings", 2, "unit", "", "unit is missing"),
    ("readings", 2, "value", "501", "value is too large"),
    ("readings", 2, "limit", "0.1", "a backer_gap has no limit"),
    ("readings", 3, "state", "full", "state is not one of the choices"),
    ("readings", 3, "state", "", "a fill needs its state"),
    ("readings", 3, "state", "closed", "no state of a fill"),
    ("readings", 3, "station", "", "a fill needs its station"),
    ("readings", 3, "station", "B9", r"coupon c1 has no such station.*row 3, column station; allowed: B1, B2, B3, W1"),
    ("readings", 4, "state", "closed", "a value or is closed, not both"),
    ("readings", 4, "limit", "-0.05", "limit is too small"),
    ("readings", 5, "limit", "", "that is closed needs its limit"),
    ("readings", 6, "station", "B1", "read on a wedge, not on a bar"),
]


@pytest.mark.parametrize(
    ("file", "row", "column", "cell", "words"), CELLS, ids=[f"{c[0]}-{c[2]}-{c[3][:12]}" for c in CELLS]
)
def test_a_cell_that_cannot_be_is_refused_and_nothing_is_taken(file, row, column, cell, words, tables, tmp_path):
    column_of(tables, file, row, column, cell)
    with pytest.raises(TableError, match=words) as caught:
        import_folder(tmp_path / "new.db", tables)
    assert "\n" not in str(caught.value)
    assert re.search(r"[a-z]+\.csv, row \d+, column \w+", str(caught.value))
    assert sorted(p.name for p in tmp_path.iterdir()) == ["tables"]


WHOLE_FILES = [
    ("cuts", b"", "the header row is missing"),
    ("cuts", b"\n\n", "the header row is missing"),
    ("cuts", b"cut;bit;pair\nk1;b1;p1\n", "not separated by commas"),
    ("cuts", b"cut\tbit\n", "not separated by commas"),
    ("cuts", b"cut,bit,pair,start_depth,pocket_depth,relief_depth\nk1,b1,p1,1,2,3\n", "unit is missing"),
    ("cuts", b"cut,bit,start_depth,unit\n", "a column is missing at cuts.csv, row 1, column pair"),
    ("cuts", b"cut,cut,bit,pair,start_depth,unit\n", "a column stands twice"),
    ("cuts", b"cut,bit,pair,Start depth,unit\n", "a column is missing"),
    ("bits", b"bit,nominal_angle_deg,unit,tip_flt\nb1,60,mm,0.1\n", 'looks like one with a meaning: "tip_flt"'),
    ("bits", b"bit,nominal_angle_deg,unit\nb1,60\n", "the number of cells: 2 at bits.csv, row 2; allowed: 3"),
    ("bits", b"bit,nominal_angle_deg,unit\nb1,60,mm,4\n", "the number of cells: 4"),
    ("bits", b"bit,nominal_angle_deg,,unit\nb1,60,x,mm\n", "a cell under no header"),
    ("bits", b'bit,nominal_angle_deg,unit\n"b1,60,mm\n', "a quoted cell does not end"),
    ("bits", b'bit,nominal_angle_deg,unit\n"b"1,60,mm\n', "the quoting is wrong"),
    ("bits", b"bit,nominal_angle_deg,unit\nb1,60,m\0m\n", "holds a NUL at bits.csv, row 2"),
    ("bits", b"bit,nominal_angle_deg,unit\nb1,60,mm\nGr\xf6\xdfe,60,mm\n", "not UTF-8, byte.*row 3"),
    ("bits", codecs.BOM_UTF16_LE + "bit,unit\n".encode("utf-16-le"), "the file is UTF-16"),
    ("bits", b"\xff\xd8\xff\xe0", "not UTF-8"),
    ("bits", b"a" * 200_000, "a cell is too long|column is missing"),
    ("bits", b"bit" + b"," * 200 + b"\n", "the number of columns"),
    ("bits", b"bit,nominal_angle_deg,unit,as_typed\nb1,60,mm,tip_flat=3\n", "typed for no length of this row"),
    ("bits", b"bit,nominal_angle_deg,tip_flat,unit,as_typed\nb1,60,1,mm,tip_flat=3 mm\n", "not its value"),
    ("habits", b"pocket_depth,unit\n3,mm\n4,mm\n", "habits are stated twice"),
    ("habits", b"tight_below,unit\n0.5,mm\n", "narrower than tight"),
]  # fmt: skip


@pytest.mark.parametrize(("file", "data", "words"), WHOLE_FILES, ids=[str(f[1][:30]) for f in WHOLE_FILES])
def test_a_file_that_is_no_table_is_refused(file, data, words, tables, tmp_path):
    (tables / f"{file}.csv").write_bytes(data)
    with pytest.raises(TableError, match=words) as caught:
        import_folder(tmp_path / "new.db", tables)
    assert caught.value.file == f"{file}.csv"
    assert not (tmp_path / "new.db").exists()


def test_folders_that_are_none(tmp_path, tables):
    with pytest.raises(TableError, match="no such folder"):
        read_folder(tmp_path / "none")
    with pytest.raises(TableError, match="no such folder"):
        read_folder(tables / "cuts.csv")
    (tmp_path / "empty").mkdir()
    with pytest.raises(TableError, match="holds no table of a log"):
        read_folder(tmp_path / "empty")
    (tables / "readings.csv").rename(tables / "reading.csv")
    with pytest.raises(TableError, match=r"nearly a known name.*allowed: readings\.csv"):
        read_folder(tables)
    (tables / "reading.csv").unlink()
    (tables / "readings.csv").mkdir()
    with pytest.raises(TableError, match="no ordinary file"):
        read_folder(tables)


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_links_and_pipes_are_not_followed(tables, tmp_path):
    (tmp_path / "elsewhere.csv").write_text("bit,nominal_angle_deg\nb1,60\n")
    (tables / "bits.csv").unlink()
    (tables / "bits.csv").symlink_to(tmp_path / "elsewhere.csv")
    with pytest.raises(TableError, match="a link that leads out of its folder"):
        read_folder(tables)
    (tables / "bits.csv").unlink()
    os.mkfifo(tables / "bits.csv")
    with pytest.raises(TableError, match="no ordinary file"):
        read_folder(tables)


def test_sizes_are_bounded_before_work_starts(tables, monkeypatch):
    monkeypatch.setattr(csv_rows, "LARGEST_FILE", 100)
    with pytest.raises(TableError, match="the file is too large"):
        read_folder(tables)
    monkeypatch.undo()
    monkeypatch.setattr(csv_rows, "MOST_ROWS", 5)
    with pytest.raises(TableError, match=r"the table is too long.*allowed: up to 5 rows"):
        read_folder(tables)


def test_two_readings_of_one_kind_at_one_station_are_both_taken_in_order(tables):
    with (tables / "readings.csv").open("a") as stream:
        stream.write("k1,glue_line,B2,0.11,,,mm\nk1,glue_line,B2,0.08,0.05,,mm\n")
    values = [r.value for r in read_folder(tables).readings_of("k1") if r.kind == "glue_line" and r.station == "B2"]
    assert values == [0.08, 0.11, 0.08]


def test_rows_may_point_to_what_the_log_holds(small_shop, tmp_path, log_path):
    (tmp_path / "more").mkdir()
    header = "cut,bit,pair,coupon,start_depth,pocket_depth,relief_depth,unit"
    (tmp_path / "more" / "cuts.csv").write_text(f"{header}\nk3,b2,p1,c1,3.4,4.2,1.6,mm\n")
    shop = read_folder(tmp_path / "more", known=small_shop)
    assert ([cut.cut for cut in shop.cuts], shop.coupon("c1"), shop.readings) == (["k3"], small_shop.coupons[0], ())
    (tmp_path / "more" / "readings.csv").write_text("cut,kind,station,state\nk3,fill,B1,partly\nk1,fill,B3,filled\n")
    import_folder(log_path, tmp_path / "more")
    with Log.open(log_path) as log:
        assert len(log.shop().readings) == 12
        assert len(log.history()) == 2


def test_importing_again_takes_nothing_twice(tables, log_path, small_shop):
    said = import_folder(log_path, tables)
    assert not any(said.added.values())
    assert said.already == {
        "bits": 2,
        "pairs": 1,
        "coupons": 1,
        "cuts": 2,
        "grooves": 1,
        "readings": 10,
        "forecasts": 0,
    }
    assert said.words().startswith("Nothing was new.\nIn the log already: 2 bits")
    with (tables / "readings.csv").open("a") as stream:
        stream.write("k1,backer_gap,,1.2,,,mm\n")
    assert import_folder(log_path, tables).added["readings"] == 1
    with Log.open(log_path) as log:
        assert len(log.shop().readings) == 11
        assert [change.what for change in log.history()] == ["imported tables", "filled"]
        log.undo()
        assert log.shop() == small_shop


@pytest.mark.parametrize(
    ("file", "row", "column", "cell", "words"),
    [
        (
            "cuts",
            2,
            "start_depth",
            "2.6",
            r"cut k1 is in the log already.*: 2\.6.*allowed: the log's",
        ),
        ("bits", 2, "nominal_angle_deg", "90", "bit b1 is in the log already"),
        ("pairs", 2, "insert", "holly", "pair p1 is in the log already"),
        ("coupons", 2, "stroke_width", "1.1", "coupon c1 is in the log already"),
    ],
)
def test_a_name_that_says_something_else_in_the_log_is_refused(file, row, column, cell, words, tables, log_path):
    column_of(tables, file, row, column, cell)
    with Log.open(log_path) as log:
        before = (log.shop(), log.history())
    with pytest.raises(TableError, match=words):
        import_folder(log_path, tables)
    with Log.open(log_path) as log:
        assert (log.shop(), log.history()) == before


def test_the_same_length_in_another_unit_is_no_contradiction(tables, log_path):
    (tables / "bits.csv").write_text("bit,nominal_angle_deg,tip_flat,unit\nb1,60,0.1,mm\nb2,30,,in\n")
    assert import_folder(log_path, tables).already["bits"] == 2


def test_habits_travel_and_another_shops_habits_are_refused(tables, tmp_path, log_path):
    (tables / "habits.csv").write_text("pocket_depth,loupe_limit,unit,maker\n0.17,0.002,in,Ada\n")
    import_folder(log_path, tables)
    with Log.open(log_path) as log:
        assert (log.shop().habits.pocket_depth, log.shop().habits.unit, log.shop().habits.maker) == (4.318, "in", "Ada")
    export_folder(log_path, tmp_path / "out")
    assert read_folder(tmp_path / "out").habits.loupe_limit == 0.0508
    import_folder(log_path, tmp_path / "out")
    (tables / "habits.csv").write_text("pocket_depth,loupe_limit,unit,maker\n0.16,0.002,in,Ada\n")
    with pytest.raises(TableError, match=r"the log states another habit.*habits\.csv, row 2, column pocket_depth"):
        import_folder(log_path, tables)


def test_an_export_says_what_it_does_not_carry_and_takes_no_place(log_path, tmp_path, small_shop):
    said = export_folder(log_path, tmp_path / "out")
    assert "history of changes and deleted rows stay in the log" in said
    assert "do not carry them" in (tmp_path / "out" / "README.txt").read_text()
    assert {p.stem for p in (tmp_path / "out").glob("*.csv")} == set(TABLES) - {"habits"}
    with pytest.raises(LogError, match="this folder is not empty"):
        export_folder(log_path, tmp_path / "out")
    (tmp_path / "empty").mkdir()
    export_folder(log_path, tmp_path / "empty")
    assert read_folder(tmp_path / "empty") == small_shop
    with pytest.raises(LogError, match="not empty"):
        write_folder(small_shop, log_path)
    assert not list(tmp_path.glob(".*.new"))


def test_an_export_that_cannot_be_written_leaves_nothing(log_path, tmp_path, monkeypatch):
    def full(_fd):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(LogError, match=r"cannot be written \(No space left on device\); nothing was"):
        export_folder(log_path, tmp_path / "out")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["shop.db"]


def test_an_empty_log_goes_out_and_comes_back(tmp_path):
    Log.make(tmp_path / "a.db").close()
    export_folder(tmp_path / "a.db", tmp_path / "out")
    said = import_folder(tmp_path / "b.db", tmp_path / "out")
    assert said.words() == "Nothing was new."
    with Log.open(tmp_path / "b.db") as log:
        assert log.shop().cuts == ()


def _spoil(tables, spoiled):
    if len(spoiled) == 5:
        column_of(tables, *spoiled[:4])
    else:
        (tables / f"{spoiled[0]}.csv").write_bytes(spoiled[1])


@pytest.mark.parametrize("spoiled", [*CELLS, *WHOLE_FILES], ids=range(len(CELLS) + len(WHOLE_FILES)))
def test_the_command_refuses_with_status_2_and_one_sentence(spoiled, tables, tmp_path, log_path, capsys):
    _spoil(tables, spoiled)
    before = log_path.read_bytes()
    for log in (tmp_path / "new.db", log_path):
        assert main(["import", str(log), str(tables), "--json"]) == 2
        said = capsys.readouterr()
        assert said.out == ""
        assert said.err.count("\n") == 1 and said.err.strip().isprintable()
        assert ".csv" in said.err
    assert log_path.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["shop.db", "tables"]
