"""Lengths and angles: every form that makers type, and what is refused.

Outside checks: one inch is 25.4 mm exactly (ISO 80000-3; the international inch of 1959). Decimal equivalents of
fractions of an inch are those of any drill table: 3/32 in = 0.09375 in = 2.38125 mm, 1 1/4 in = 31.75 mm.
"""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inlaylab import units
from inlaylab.errors import LengthError
from inlaylab.units import UNITS, format_length, format_number, number_text, parse_angle, parse_length, parse_number

FORMS = [
    ("2.5 mm", 2.5, "mm"),
    ("2.5mm", 2.5, "mm"),
    ("2,5 mm", 2.5, "mm"),
    ("0,500 mm", 0.5, "mm"),
    ("  7 mm  ", 7.0, "mm"),
    ("2. mm", 2.0, "mm"),
    ("+2 MM", 2.0, "mm"),
    ("-0.1 mm", -0.1, "mm"),
    ("1e-3 mm", 0.001, "mm"),
    ("2 millimetres", 2.0, "mm"),
    ("0.1in", 2.54, "in"),
    (".1in", 2.54, "in"),
    ("0.1 inch", 2.54, "in"),
    ("2 inches", 50.8, "in"),
    ("2 in.", 50.8, "in"),
    ('0.1"', 2.54, "in"),
    ("0.1″", 2.54, "in"),
    ("0.1”", 2.54, "in"),
    ("3/32 in", 2.38125, "in"),
    ("3/32in", 2.38125, "in"),
    ("3 / 32 in", 2.38125, "in"),
    ('1 1/4"', 31.75, "in"),
    ('1-1/4"', 31.75, "in"),
    ("1 ¼ in", 31.75, "in"),
    ("1¼ in", 31.75, "in"),
    ("½ in", 12.7, "in"),
    ("1/64 in", 0.396875, "in"),
    ("-1/2 in", -12.7, "in"),
    ("100 thou", 2.54, "thou"),
    ("4thou", 0.1016, "thou"),
]


@pytest.mark.parametrize(("text", "mm", "unit"), FORMS, ids=[form[0] for form in FORMS])
def test_lengths_as_makers_type_them(text, mm, unit):
    length = parse_length(text)
    assert (length.mm, length.unit, length.typed) == (mm, unit, text.strip())
    assert math.isclose(length.value * UNITS[unit], mm, rel_tol=1e-15)


@pytest.mark.parametrize(("unit", "mm"), [("mm", 3.0), ("in", 76.2), ("thou", 0.0762)])
def test_a_bare_number_takes_the_unit_that_is_given(unit, mm):
    assert parse_length("3", unit).mm == mm
    assert parse_length("3 mm", unit).unit == "mm"


REFUSED = [
    ("3", "no unit"),
    ("", "not a length"),
    ("   ", "not a length"),
    ("mm", "not a length"),
    ("two mm", "not a length"),
    ("nan mm", "not a length"),
    ("inf mm", "not a length"),
    ("-inf", "not a length"),
    ("1_000 mm", "not a length"),
    ("1..2 mm", "not a length"),
    ("1.2.3 mm", "not a length"),
    ("1,2,3 mm", "not a length"),
    ("1.500,5 mm", "not a length"),
    ("--2 mm", "not a length"),
    ("2 3 mm", "not a length"),
    ("٣ mm", "not a length"),
    ("2 mm mm", "unknown unit"),
    ("0x10 mm", "not a length"),
    ("2 cm", "unknown unit"),
    ("2 m", "unknown unit"),
    ("2 mil", "unknown unit"),
    ("2 '", "unknown unit"),
    ("1/0 in", "divides by zero"),
    ("1,500 mm", "two ways"),
    ("12,345 in", "two ways"),
    ("1e9 mm", "too large"),
    ("-10001 mm", "too large"),
    ("9" * 61 + " mm", "not a length"),
    ("1e999 mm", "not a length|unknown unit"),
    ("2\x00mm", "unknown unit|not a length"),
]


@pytest.mark.parametrize(("text", "words"), REFUSED, ids=[repr(text)[:20] for text, _ in REFUSED])
def test_refused_with_the_value_and_what_is_allowed(text, words):
    with pytest.raises(LengthError, match=words) as caught:
        parse_length(text)
    assert caught.value.value == text
    assert caught.value.allowed


def test_a_length_that_can_be_read_two_ways_asks_which():
    with pytest.raises(LengthError, match=r"two ways.*allowed: 1\.500 or 1500"):
        parse_length("1,500 mm")


@pytest.mark.parametrize("unit", ["cm", "", "MM", None])
def test_unknown_units_are_refused(unit):
    with pytest.raises(LengthError, match="no such unit"):
        units.check_unit(unit)
    assert all(units.check_unit(known) == known for known in UNITS)


@pytest.mark.parametrize(
    ("mm", "unit", "style", "text"),
    [
        (3.81, "in", "decimal", "0.150 in"),
        (3.81, "thou", "decimal", "150 thou"),
        (3.806, "mm", "decimal", "3.81 mm"),
        (-0.001, "mm", "decimal", "0.00 mm"),
        (31.75, "in", "fraction", "1 1/4 in"),
        (2.38125, "in", "fraction", "3/32 in"),
        (25.4, "in", "fraction", "1 in"),
        (0.0, "in", "fraction", "0 in"),
        (-12.7, "in", "fraction", "-1/2 in"),
        (3.0, "mm", "fraction", "3.00 mm"),
        (None, "mm", "decimal", ""),
    ],
)
def test_lengths_are_written_with_the_usual_rounding(mm, unit, style, text):
    assert format_length(mm, unit, style) == text


def test_writing_takes_other_digits_and_refuses_other_styles():
    assert format_length(0.05, "thou", style="fine") == "2.0 thou"
    assert format_number(None, "mm") == ""
    with pytest.raises(LengthError, match="no such style"):
        format_length(1.0, "mm", "roman")


lengths_mm = st.floats(min_value=1e-9, max_value=9_999.0)


@given(lengths_mm, st.sampled_from(sorted(UNITS)))
def test_number_text_loses_nothing(mm, unit):
    text = number_text(mm, unit)
    assert parse_length(text, unit).mm == mm
    assert len(text) <= 60


@given(st.decimals(min_value=0, max_value=300, places=4), st.sampled_from(sorted(UNITS)))
def test_number_text_is_the_short_text_that_was_typed(typed, unit):
    plain = f"{typed:f}".rstrip("0").rstrip(".")
    assert number_text(parse_length(plain, unit).mm, unit) == plain


@given(st.integers(0, 12), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_fractions_are_exact_and_come_back(whole, over, under):
    exact = Fraction(whole) + Fraction(over % under, under)
    text = f"{whole} {over % under}/{under} in"
    assert parse_length(text).mm == float(exact * Fraction(254, 10))
    assert parse_length(format_length(parse_length(text).mm, "in", "fraction")).mm == parse_length(text).mm


@given(st.text(max_size=80))
def test_any_text_is_a_finite_length_or_refused(text):
    try:
        length = parse_length(text, "mm")
    except LengthError as fault:
        assert "\n" not in str(fault)
    else:
        assert math.isfinite(length.mm)
        assert abs(length.mm) <= units.LONGEST_MM


@pytest.mark.parametrize(
    ("text", "angle"), [("60", 60.0), (60, 60.0), (59.5, 59.5), ("60 deg", 60.0), ("60°", 60.0), ("22,5 degrees", 22.5)]
)
def test_angles(text, angle):
    assert parse_angle(text) == angle


@pytest.mark.parametrize("text", ["", "0", "180", "-60", "nan", "sixty", "60 rad", "1e2", "181"])
def test_angles_that_are_none_are_refused(text):
    with pytest.raises(LengthError, match="not an included angle"):
        parse_angle(text)


@pytest.mark.parametrize(("text", "number"), [("12,5", 12.5), ("-3", -3.0), (" 1e2 ", 100.0)])
def test_plain_numbers(text, number):
    assert parse_number(text) == number


@pytest.mark.parametrize("text", ["", "3 mm", "1/2", "nan", "x", "9" * 61])
def test_what_is_no_plain_number_is_refused(text):
    with pytest.raises(LengthError, match="not a number"):
        parse_number(text)
    with pytest.raises(LengthError, match="two ways"):
        parse_number("1,500")
