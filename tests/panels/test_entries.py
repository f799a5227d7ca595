import pytest
import traitlets
from hypothesis import given
from hypothesis import strategies as st

from inlaylab import units
from inlaylab.bench.cuts import Cut
from inlaylab.panels.shared.entries import ADD_NEW, ChoiceEntry, DateEntry, Entry, Form, Held, NumberEntry
from inlaylab.panels.shared.length_entries import LengthEntry, LengthsEntry, change_unit, short_text


@pytest.mark.parametrize(
    ("typed", "mm"), [('3/32"', 2.38125), (".1in", 2.54), ("2,5 mm", 2.5), ("100 thou", 2.54), ("2.5", 2.5)]
)
def test_lengths_are_typed_as_makers_write_them(typed, mm):
    entry = LengthEntry("start depth", unit="mm", typed=typed)
    assert entry.mm == pytest.approx(mm) and entry.whole
    assert f"{mm:.2f} mm" in entry.shown and " in)" in entry.shown


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("1,500", "two ways"),
        ("oak", "not a length"),
        ("3 ells", "unknown unit"),
        ("-1", "too small"),
        ("200", "too large"),
    ],
)
def test_a_wrong_length_is_refused_in_words_and_never_clamped(typed, words):
    entry = LengthEntry.of(Cut, "start_depth", typed=typed)
    assert words in entry.said and entry.value is None and not entry.whole
    assert entry.typed == typed, "what was typed stays there to be mended"


def test_zero_is_refused_where_the_record_wants_more_than_zero():
    assert "above" in LengthEntry.of(Cut, "pocket_depth", typed="0").said
    assert LengthEntry.of(Cut, "relief_depth", typed="0").whole


def test_blank_is_not_recorded_and_only_wrong_where_needed():
    assert LengthEntry("floor gap").whole
    needed = LengthEntry("start depth", required=True)
    assert needed.missing and not needed.whole and not needed.said


def test_another_unit_reads_bare_numbers_anew():
    entry = LengthEntry("start depth", unit="mm")
    entry.typed = "0.1"
    entry.unit = "in"
    assert entry.mm == pytest.approx(2.54)


def test_what_the_kit_fills_in_follows_the_unit_in_few_digits_and_stays_exact():
    entry = LengthEntry("start depth", typed="3.4 mm")
    widths = LengthsEntry("stroke widths", typed="0.6 mm; 2.38125 mm; 0.6 mm")
    for unit, one, several in (
        ("in", "0.1339 in", "0.0236 in; 3/32 in; 0.0236 in"),
        ("thou", "133.9 thou", "23.6 thou; 93.8 thou; 23.6 thou"),
        ("mm", "3.4 mm", "0.6 mm; 2.381 mm; 0.6 mm"),
    ):
        entry.unit = widths.unit = unit
        assert (entry.typed, widths.typed) == (one, several)
        assert entry.mm == 3.4 and widths.mm == (0.6, 2.38125, 0.6)


def test_what_a_records_field_shows_is_what_is_kept():
    entry = LengthEntry.of(Cut, "sanded_off", unit="in")
    entry.set_mm(0.3)
    assert entry.typed == "0.0118 in" and entry.mm == pytest.approx(0.0118 * 25.4, rel=1e-12)
    entry.unit = "mm"
    assert entry.typed == "0.3 mm" and entry.mm == 0.3


def test_what_is_typed_keeps_its_meaning_where_a_panel_changes_its_unit():
    entry = LengthEntry("start depth")
    entry.typed = "3.175"
    change_unit([entry], "in")
    assert entry.typed == "1/8 in" and entry.mm == 3.175


@pytest.mark.parametrize("make", [LengthEntry, lambda label: LengthEntry.of(Cut, "start_depth", label), LengthsEntry])
def test_there_and_back_between_units_nothing_is_rounded_away(make):
    entry = make("start depth")
    entry.typed = "2.5"
    for unit in ("in", "thou", "mm"):
        change_unit([entry], unit)
    assert entry.typed == "2.5" and entry.mm in (2.5, (2.5,))
    entry.set_mm((0.3048,) if make is LengthsEntry else 0.3048)
    before = entry.typed, entry.mm
    for unit in ("in", "mm"):
        change_unit([entry], unit)
    assert (entry.typed, entry.mm) == before


@given(st.floats(1e-3, 1000), st.sampled_from(list(units.UNITS)))
def test_a_filled_length_has_few_digits_and_is_as_near_as_a_machine_is_set(length, unit):
    text = short_text(length, unit)
    assert abs(units.parse_length(text).mm - length) <= 0.0013 and len(text) <= 14


@given(st.just(0.0) | st.floats(1e-4, 100), st.sampled_from(list(units.UNITS)))
def test_a_stored_length_comes_back_from_the_field_unchanged(length, unit):
    entry = LengthEntry("pocket depth", unit=unit)
    entry.set_mm(length)
    assert entry.mm == length


@given(st.text())
def test_no_text_at_all_breaks_a_field(text):
    for entry in (LengthEntry("a"), LengthsEntry("b"), NumberEntry("c", lowest=0, highest=1), DateEntry("d")):
        entry.typed = text
        assert (entry.value is None) or not entry.said


def test_several_lengths_in_one_field():
    entry = LengthsEntry("stroke widths", unit="mm", typed="0,8; 1.2, 1/8 in")
    assert entry.mm == pytest.approx((0.8, 1.2, 3.175))
    entry.typed = "0.8; oak"
    assert "not a length" in entry.said


@pytest.mark.parametrize(("typed", "value"), [("90", 90.0), ("90 %", 90.0), ("87,5", 87.5)])
def test_numbers(typed, value):
    assert NumberEntry("chance", lowest=50, highest=99, unit="%", typed=typed).value == value


@pytest.mark.parametrize("typed", ["120", "nan", "inf", "many", "1,000"])
def test_numbers_out_of_bounds_say_what_is_allowed(typed):
    assert "50 to 99 %" in NumberEntry("chance", lowest=50, highest=99, unit="%", typed=typed).said


def test_dates():
    entry = DateEntry("date")
    entry.typed = "2026-03-12"
    assert entry.value.isoformat() == "2026-03-12"
    entry.typed = "12/3/2026"
    assert "year-month-day" in entry.said


def test_choices_and_adding_a_new_one():
    entry = ChoiceEntry("bit", options=["a", "b"], required=True, can_add=True)
    assert entry.missing
    entry.typed = ADD_NEW
    assert entry.adding and entry.missing and not entry.said
    entry.typed = "c"
    assert "one of the list" in entry.said
    entry.options = ("a", "b", "c")
    assert entry.value == "c" and entry.whole


def test_a_form_says_what_it_needs():
    form = Form(name=Entry("name", required=True), depth=LengthEntry("depth", unit="mm"))
    form["depth"].typed = "oak"
    assert form.needs == "Still needed: name. Please fix: depth."
    form["name"].typed, form["depth"].typed = "sign", "2"
    assert form.whole and form.needs == ""
    form.clear()
    assert form.values() == {"name": None, "depth": None}


def test_a_held_record_is_none_at_first_and_tells_who_listens_of_each_other_one():
    class Holder(traitlets.HasTraits):
        cut: Held[Cut | None] = Held()

    holder, seen = Holder(), []
    holder.observe(lambda change: seen.append((change.old, change.new)), "cut")
    cut = Cut(cut="k1", bit="b", pair="p", start_depth=3, pocket_depth=4, relief_depth=1)
    assert holder.cut is None
    holder.cut = cut
    holder.cut = cut
    holder.cut = None
    assert seen == [(None, cut), (cut, None)]
