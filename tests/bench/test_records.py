"""Records of the bench check themselves: each field refuses what it cannot be, in words, and takes what it can."""

import datetime

import pytest

from inlaylab.bench import fields
from inlaylab.bench.bits import Bit, Groove
from inlaylab.bench.coupons import Coupon, Point, Station, Stroke
from inlaylab.bench.cuts import OUTCOMES, Cut, Pair
from inlaylab.bench.habits import Habits
from inlaylab.bench.readings import KINDS, Reading
from inlaylab.errors import RecordError

WHOLE = {
    Bit: {"bit": "b1", "nominal_angle_deg": 60},
    Groove: {"bit": "b1", "depth": 2, "width": 2.4},
    Pair: {"pair": "p1", "host": "maple", "insert": "walnut"},
    Station: {"coupon": "c1", "station": "B1", "kind": "bar", "stroke_width": 2, "land_width": 4, "grain": "along"},
    Cut: {"cut": "k1", "bit": "b1", "pair": "p1", "start_depth": 3.4, "pocket_depth": 4.2, "relief_depth": 1.6},
    Reading: {"cut": "k1", "kind": "backer_gap", "value": 1.2, "unit": "mm"},
    Habits: {},
    Stroke: {"stroke_width": 2, "land_width": 4},
    Point: {"x": 1, "y": -2},
}
FIELDS = [(record, name) for record in WHOLE for name in fields.specs(record)]
BAD = {
    "name": ["", "  ", "two\nlines", "bell\x07", "x" * 201, 7, "\ud800"],
    "origin": ["", "  ", "two\nlines", "bell\x07", "x" * 201, 7],
    "text": ["nul\0", "x" * 20_001, 7, "\udfff"],
    "choice": ["none of them", 7],
    "date": ["2026-13-01", "yesterday", "1.2.2026", "2026-02-30", "1899-12-31", "2200-01-01", 7, "٢٠٢٦-٠١-٠١"],
    "photo": [
        "/etc/passwd",
        "../k.jpg",
        "a/../../k.jpg",
        "C:\\k.jpg",
        "https://x/k.jpg",
        "\\\\host\\k.jpg",
        "k\n.jpg",
        7,
    ],
    "unit": ["cm", "MM", "inch", 7],
    "length": [float("nan"), float("inf"), "2", True, object(), 10**400],
    "number": [float("nan"), float("-inf"), "2", False, object()],
    "typed": [{"bit": "1 mm"}, {"no_such": "1 mm"}],
    "extra": [{"": "x"}, {"Cut ": 7}, {f"c{i}": "x" for i in range(51)}, {"a\nb": "x"}],
}


def make(record_class, **changes):
    return record_class(**{**WHOLE[record_class], **changes})


@pytest.mark.parametrize(("record_class", "name"), FIELDS, ids=lambda part: getattr(part, "__name__", part))
def test_every_field_refuses_what_it_cannot_be(record_class, name):
    spec = fields.specs(record_class)[name]
    bad = list(BAD[spec.kind])
    if spec.kind in ("length", "number"):
        bad += [spec.low - 0.001, spec.high + 0.001] + ([spec.low] if spec.above else [])
    if record_class is Habits and spec.kind == "name":
        bad.remove("")
    for value in bad:
        if value in ("", "  ") and not spec.needed:
            assert getattr(make(record_class, **{name: value}), name) in (None, "")
            continue
        with pytest.raises(RecordError, match=r".+; allowed: .+\.$") as caught:
            make(record_class, **{name: value})
        assert caught.value.field == name
        assert "\n" not in str(caught.value)


@pytest.mark.parametrize(("record_class", "name"), FIELDS, ids=lambda part: getattr(part, "__name__", part))
def test_only_needed_fields_are_needed(record_class, name):
    values = {key: value for key, value in WHOLE[record_class].items() if key != name}
    if not fields.specs(record_class)[name].needed and name not in WHOLE[record_class]:
        assert record_class(**values)
        values[name] = None
        assert record_class(**values) == make(record_class)
    elif fields.specs(record_class)[name].needed:
        with pytest.raises((RecordError, TypeError), match=name):
            record_class(**values)
        with pytest.raises(RecordError, match=f"{name} is (missing|not one of the choices)"):
            make(record_class, **{name: None})


@pytest.mark.parametrize("record_class", WHOLE, ids=lambda record: record.__name__)
def test_limits_themselves_are_allowed(record_class):
    for name, spec in fields.specs(record_class).items():
        if spec.kind in ("length", "number") and name not in ("value", "limit", "tight_below", "hairline_below"):
            assert getattr(make(record_class, **{name: spec.high}), name) == spec.high
            if not spec.above:
                assert getattr(make(record_class, **{name: spec.low}), name) == spec.low


@pytest.mark.parametrize("record_class", WHOLE, ids=lambda record: record.__name__)
def test_records_are_frozen_and_hashable(record_class):
    record = make(record_class)
    assert hash(record) == hash(make(record_class))
    with pytest.raises(AttributeError):
        record.unit = "in"


def test_texts_are_tidied_and_names_are_normalised():
    cut = make(Cut, cut="  k1 ", notes=" a\r\nb\rc ", photo="photos\\k1.jpg", date=datetime.date(2026, 3, 5))
    assert (cut.cut, cut.notes, cut.photo, cut.date) == ("k1", "a\nb\nc", "photos/k1.jpg", "2026-03-05")
    assert make(Bit, bit="Gro\u0308sse").bit == "Gr\u00f6sse"
    assert make(Cut, date="20260305").date == "2026-03-05"


def test_numbers_of_other_kinds_become_plain_floats():
    import numpy as np

    depth = make(Cut, start_depth=np.float64(2.5)).start_depth
    assert (type(depth), depth) == (float, 2.5)
    assert str(make(Cut, outline_offset=-0.0).outline_offset) == "0.0"
    assert make(Cut, outline_offset=-1e-12).outline_offset == 0.0


def test_what_was_typed_is_kept_only_where_it_says_more():
    depths = {"start_depth": 2.54, "unit": "in"}
    assert make(Cut, **depths, typed={"start_depth": "0.1"}).typed == {}
    assert make(Cut, **depths, typed={"start_depth": "0.100"}).typed == {"start_depth": "0.100"}
    assert make(Cut, **depths, typed={"start_depth": "100 thou"}).typed == {"start_depth": "100 thou"}
    with pytest.raises(RecordError, match="not its value"):
        make(Cut, **depths, typed={"start_depth": "0.2"})
    with pytest.raises(RecordError, match="not its value"):
        make(Cut, **depths, typed={"sanded_off": "0.2"})


@pytest.mark.parametrize("field", ["typed", "extra"])
@pytest.mark.parametrize("value", ["start_depth", ["start_depth"], 7])
def test_typed_and_extra_are_dictionaries_or_refused_in_words(field, value):
    with pytest.raises(RecordError, match=f"{field} is no dictionary"):
        make(Cut, **{field: value})


@pytest.mark.parametrize("name", ["Start_Depth", "start depth", "sanded_of", "As_Typed", "unit "])
def test_extra_columns_may_not_look_like_known_ones(name):
    with pytest.raises(RecordError, match="looks like one with a meaning"):
        make(Cut, extra={name: "x"})
    assert make(Cut, extra={"humidity": "45 %", "blank": " "}).extra == {"humidity": "45 %"}


def test_path_angle_is_the_nominal_one_unless_recorded():
    bit = make(Bit)
    assert make(Cut).path_angle(bit) == 60.0
    assert make(Cut, path_angle_deg=61.5).path_angle(bit) == 61.5


def test_outcomes_and_kinds_have_words():
    assert list(OUTCOMES) == ["tight", "hairline", "open", "proud", "broken"]
    assert all(OUTCOMES.values()) and all(kind.label for kind in KINDS.values())


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_each_kind_takes_what_it_is_and_refuses_what_it_is_not(kind):
    station = {"station": "B1"} if kind.at_station else {}
    plain = {"cut": "k1", "kind": kind.name, "unit": "mm", **station}
    if kind.measured:
        assert Reading(**plain, value=0.0).value == 0.0
        with pytest.raises(RecordError, match=f"a {kind.name} needs its value"):
            Reading(**plain)
        with pytest.raises(RecordError, match="needs its unit"):
            Reading(**{**plain, "unit": ""}, value=1.0)
        if not kind.limit:
            with pytest.raises(RecordError, match="has no limit"):
                Reading(**plain, value=1.0, limit=0.05)
    else:
        with pytest.raises(RecordError, match="has no value"):
            Reading(**plain, value=1.0, state=kind.states[0])
        with pytest.raises(RecordError, match="needs its state"):
            Reading(**plain)
    other = "filled" if "filled" not in kind.states else "closed"
    with pytest.raises(RecordError, match=f"no state of a {kind.name}"):
        Reading(**plain, state=other)
    wrong = {**plain, "station": None if kind.at_station else "B1"}
    with pytest.raises(RecordError, match=r"needs its station|read at no station"):
        Reading(**wrong, value=1.0 if kind.measured else None, state=None if kind.measured else kind.states[0])


def test_a_closed_glue_line_needs_its_limit_and_has_no_value():
    plain = {"cut": "k1", "kind": "glue_line", "station": "B1", "unit": "mm"}
    assert Reading(**plain, state="closed", limit=0.05).state == "closed"
    assert Reading(**plain, value=0.08, limit=0.05).limit == 0.05
    with pytest.raises(RecordError, match="that is closed needs its limit"):
        Reading(**plain, state="closed")
    with pytest.raises(RecordError, match="a value or is closed, not both"):
        Reading(**plain, state="closed", limit=0.05, value=0.1)


def station(name, coupon="c1"):
    return make(Station, coupon=coupon, station=name)


def test_a_coupon_has_each_station_once():
    coupon = Coupon(coupon="c1", stations=[station("B1"), station("B2")])
    assert coupon.station("B2").station == "B2"
    with pytest.raises(RecordError, match='no such station: "B3" at coupon c1; allowed: B1, B2'):
        coupon.station("B3")
    with pytest.raises(RecordError, match="a station stands twice"):
        Coupon(coupon="c1", stations=[station("B1"), station("B1")])
    with pytest.raises(RecordError, match="a station of another coupon"):
        Coupon(coupon="c2", stations=[station("B1")])
    with pytest.raises(RecordError, match="the number of stations: 0"):
        Coupon(coupon="c1", stations=())


def test_habits_stand_in_the_right_order():
    assert Habits(tight_below=None) == Habits()
    with pytest.raises(RecordError, match="narrower than tight"):
        Habits(tight_below=0.2, hairline_below=0.1)
