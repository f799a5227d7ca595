"""What contradicts what, each rule shown by a shop that breaks it and one that does not."""

import datetime
import sqlite3
from contextlib import closing
from dataclasses import replace

import pytest

from inlaylab.bench.bits import Groove
from inlaylab.bench.cuts import Pair
from inlaylab.bench.readings import Reading
from inlaylab.log.health import check_file, problems
from inlaylab.log.store import Log

TODAY = datetime.date(2026, 6, 1)


def said(shop, today=TODAY):
    return [(problem.where, problem.what) for problem in problems(shop, today=today)]


def with_cut(shop, **changes):
    return replace(shop, cuts=(replace(shop.cuts[0], **changes), *shop.cuts[1:]))


def with_readings(shop, *readings):
    more = tuple(Reading(cut="k1", unit="mm" if {"value", "limit"} & r.keys() else "", **r) for r in readings)
    return replace(shop, readings=(*shop.readings, *more))


def with_bit(shop, **changes):
    return replace(shop, bits=(replace(shop.bits[0], **changes), *shop.bits[1:]))


def test_a_shop_that_agrees_has_no_problem(small_shop):
    assert said(small_shop) == []


FOUR = ({"kind": "floor_gap", "value": 0.85}, {"kind": "pocket_depth", "value": 3.9})
RULES = {
    "read twice": (
        lambda s: with_readings(s, {"kind": "glue_line", "station": "B2", "value": 0.2}),
        "cut k1, station B2",
        "its glue line is read 2 times: 0.08 mm and 0.20 mm",
    ),
    "read twice without a station": (
        lambda s: with_readings(s, {"kind": "backer_gap", "value": 1.2}),
        "cut k1",
        "its backer gap is read 2 times: 1.20 mm and 1.20 mm",
    ),
    "closed and open": (
        lambda s: with_readings(s, {"kind": "glue_line", "station": "B3", "value": 0.11}),
        "cut k1, station B3",
        "its glue line is read 2 times: closed below 0.05 mm and 0.11 mm",
    ),
    "tight with an open line": (
        lambda s: with_cut(s, outcome="tight"),
        "cut k1, station B2",
        "its outcome is tight (up to 0.05 mm), but the glue line is 0.08 mm",
    ),
    "hairline with an open line": (
        lambda s: with_readings(s, {"kind": "glue_line", "station": "B1", "value": 0.4}),
        "cut k1, station B1",
        "its outcome is hairline (up to 0.15 mm), but the glue line is 0.40 mm",
    ),
    "start deeper than pocket": (
        lambda s: with_cut(s, start_depth=4.0),
        "cut k1",
        "its start depth 4.00 mm is deeper than its pocket 3.90 mm: the plug stands on the floor",
    ),
    "no relief": (
        lambda s: with_cut(s, relief_depth=0.0),
        "cut k1",
        "its relief depth is 0: the backer lies on the host",
    ),
    "sanded through": (
        lambda s: with_cut(s, sanded_off=3.9),
        "cut k1",
        "3.90 mm was sanded off a pocket 3.90 mm deep",
    ),
    "deeper than the bit": (
        lambda s: with_bit(s, cutting_diameter=3.0),
        "cut k1",
        "it is cut 3.90 mm deep, but the edges of bit b1 reach 2.51 mm",
    ),
    "flat as wide as the bit": (
        lambda s: with_bit(s, tip_flat=3.0, cutting_diameter=3.0),
        "bit b1",
        "its tip flat is as wide as its cutting diameter",
    ),
    "groove of another bit": (
        lambda s: replace(s, grooves=(Groove(bit="b1", depth=2.0, width=4.1),)),
        "bit b1",
        "a groove 2.00 mm deep and 4.10 mm wide does not suit 60 degrees: about 2.41 mm is expected",
    ),
    "backer gap against depth": (
        lambda s: replace(s, readings=(replace(s.readings[0], value=30.48, unit="in", typed={}), *s.readings[1:])),
        "cut k1",
        "its backer gap is 30.48 mm, but 1.40 mm was programmed",
    ),
    "pocket by gauge": (
        lambda s: with_readings(s, {"kind": "pocket_depth", "value": 4.5}),
        "cut k1",
        "its pocket depth is 4.50 mm, but 3.90 mm was programmed",
    ),
    "two stand-offs": (
        lambda s: with_readings(s, *FOUR, {"kind": "plug_depth", "value": 3.9}),
        "cut k1",
        "its stand-off is -0.20 mm by the backer gap and -0.55 mm by the floor gap",
    ),
    "missing with a line": (
        lambda s: with_readings(s, {"kind": "fill", "station": "B3", "state": "missing"}),
        "cut k1, station B3",
        "it is marked as missing, but a glue line is read there",
    ),
    "line wider than its stroke": (
        lambda s: with_readings(s, {"kind": "glue_line", "station": "B1", "value": 0.6}),
        "cut k1, station B1",
        "its glue line is 0.60 mm, wider than half the stroke of 1.00 mm",
    ),
    "line on a wedge": (
        lambda s: with_readings(s, {"kind": "glue_line", "station": "W1", "value": 0.1}),
        "cut k1, station W1",
        "a glue line is read on a wedge; it is taken at the wide end",
    ),
    "wedge stop off the wedge": (
        lambda s: with_readings(s, {"kind": "wedge_stop", "station": "W1", "value": 6.0}),
        "cut k1, station W1",
        "its wedge stop is 6.00 mm, wider than the wedge of 5.00 mm",
    ),
    "filled though sanded away": (
        lambda s: with_cut(s, sanded_off=1.0),
        "cut k1, station B1",
        "it is marked as filled, but sanding takes 1.15 mm off a stroke of 1.00 mm",
    ),
    "dates out of order": (
        lambda s: with_cut(s, date="2026-03-09"),
        "cut k2",
        "it is dated 2026-03-06, before cut k1 of 2026-03-09",
    ),
    "names nearly the same": (
        lambda s: replace(s, pairs=(*s.pairs, Pair(pair="p2", host="Maple", insert="walnut"))),
        "species maple",
        "its name is nearly that of species Maple",
    ),
}


@pytest.mark.parametrize(("spoil", "where", "what"), RULES.values(), ids=RULES)
def test_each_contradiction_is_named(spoil, where, what, small_shop):
    assert (where, what) in said(spoil(small_shop))


@pytest.mark.parametrize(
    ("line", "words"), [(0.159, None), (0.164, "(up to 0.0059 in), but the glue line is 0.0065 in")]
)
def test_an_outcome_is_only_contradicted_by_what_can_be_seen(line, words, small_shop):
    shop = with_cut(
        with_readings(small_shop, {"kind": "glue_line", "station": "B1", "value": line}), outcome="hairline"
    )
    found = [what for _, what in ((p.where, p.what) for p in problems(shop, today=TODAY, unit="in"))]
    assert [what for what in found if "outcome" in what] == (
        [] if words is None else [f"its outcome is hairline {words}"]
    )


def test_open_though_every_line_is_closed(small_shop):
    closed = [
        Reading(cut="k1", kind="glue_line", station=station, state="closed", limit=0.05, unit="mm")
        for station in ("B1", "B2", "B3")
    ]
    shop = replace(with_cut(small_shop, outcome="open"), readings=tuple(closed))
    assert said(shop) == [("cut k1", "its outcome is open, but no glue line is above 0.05 mm")]
    assert said(replace(shop, readings=tuple(closed[:2]))) == []


def test_a_date_after_today_is_named(small_shop):
    found = said(small_shop, today=datetime.date(2026, 3, 5))
    assert found == [("cut k2", "it is dated 2026-03-06, after today")]
    assert problems(small_shop, today=None) is not None


def test_a_stand_off_that_agrees_is_no_problem(small_shop):
    shop = with_readings(small_shop, *FOUR, {"kind": "plug_depth", "value": 4.1})
    assert not any("stand-off" in what for _, what in said(shop))


def test_a_sound_file_has_no_problem(log_path):
    before = log_path.read_bytes()
    assert check_file(log_path) == ()
    with Log.open(log_path) as log:
        log.set_habits(replace(log.shop().habits, maker="Ada"))
        assert check_file(log_path) == ()
    assert check_file(log_path) == ()
    assert before


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        ("UPDATE readings SET kind = 'guess' WHERE id = 3", "row 3 of readings cannot be read"),
        ("UPDATE readings SET station = 'B9' WHERE id = 3", "coupon c1 has no such station"),
        ("UPDATE cuts SET bit = 'b9' WHERE id = 1", "row 1 of cuts points to a row of bits that is not there"),
        ("UPDATE bits SET deleted = 1 WHERE id = 1", "this bit is needed and would not be there"),
        ("UPDATE history SET after = 'no json' WHERE id = 1", "an entry of the history cannot be read"),
        (
            "UPDATE cuts SET photo = 'photos/none.jpg' WHERE id = 2",
            "its photo photos/none.jpg is not in the log's",
        ),
    ],
)
def test_rows_that_cannot_be_are_named(statement, words, log_path):
    with closing(sqlite3.connect(log_path)) as spoiled:
        spoiled.execute(statement)
        spoiled.commit()
    found = check_file(log_path)
    assert any(words in problem.what for problem in found), found


def test_a_damaged_page_is_noticed(log_path):
    content = bytearray(log_path.read_bytes())
    content[4096 * 8 + 10 : 4096 * 9] = bytes(4086)
    log_path.write_bytes(content)
    assert check_file(log_path)
    assert log_path.read_bytes() == bytes(content)
