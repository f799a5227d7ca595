"""Messages have one shape, and nothing that was typed can turn or break them."""

import pytest

from inlaylab import errors
from inlaylab.errors import InlaylabError, InputError, NotConverged, RecordError, StaleError, TableError, shown

FAMILY = [kind for kind in vars(errors).values() if isinstance(kind, type) and issubclass(kind, InlaylabError)]


def test_a_message_says_what_value_where_and_what_is_allowed():
    fault = InputError("the depth is too large", value="900 mm", where="cut k1", allowed="0 to 100 mm")
    assert str(fault) == 'the depth is too large: "900 mm" at cut k1; allowed: 0 to 100 mm.'
    assert (fault.what, fault.value, fault.where, fault.allowed) == (
        "the depth is too large",
        "900 mm",
        "cut k1",
        "0 to 100 mm",
    )


@pytest.mark.parametrize(
    ("parts", "message"),
    [
        ({}, "wrong."),
        ({"value": 3}, "wrong: 3."),
        ({"where": "here"}, "wrong at here."),
        ({"allowed": "1 to 3"}, "wrong; allowed: 1 to 3."),
        ({"value": 0}, "wrong: 0."),
        ({"value": ""}, 'wrong: "".'),
    ],
)
def test_parts_that_are_not_given_are_left_out(parts, message):
    assert str(InputError("wrong", **parts)) == message


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("two\nlines", '"two\\nlines"'),
        ("bell\x07", '"bell\\x07"'),
        ("right\u202eleft", '"rightleft"'),
        ("zero\u200bwidth", '"zerowidth"'),
        ("line\u2028end", '"line\\u2028end"'),
        ("x" * 30 + "y" * 31, '"' + "x" * 20 + "…" + "x" * 9 + "y" * 31 + '"'),
        (1.5, "1.5"),
        ("größer", '"größer"'),
    ],
)
def test_a_value_is_shown_on_one_short_line(value, text):
    assert shown(value) == text


def test_what_and_where_are_made_harmless_too():
    message = str(InputError("a\nb", where="c\u202ed", allowed="e\x1b[31m"))
    assert message == "a\\nb at cd; allowed: e\\x1b[31m."


def test_a_table_error_names_file_row_and_column():
    fault = TableError("this is not a number", value="x", file="cuts.csv", row=3, column="start_depth")
    assert str(fault) == 'this is not a number: "x" at cuts.csv, row 3, column start_depth.'
    assert (fault.file, fault.row, fault.column) == ("cuts.csv", 3, "start_depth")
    assert str(TableError("the folder is empty")) == "the folder is empty."


@pytest.mark.parametrize("kind", FAMILY, ids=lambda kind: kind.__name__)
def test_the_whole_family_can_be_caught_by_one_name(kind):
    assert issubclass(kind, InlaylabError)
    assert kind.__doc__


def test_input_at_fault_is_a_value_error():
    assert issubclass(InputError, ValueError)
    assert issubclass(errors.FitMissing, InputError)
    assert not issubclass(errors.NotConverged, InputError)


def test_errors_carry_what_is_needed_to_go_on():
    assert NotConverged("chains differ", diagnostics={"worst_r_hat": 1.3}).diagnostics == {"worst_r_hat": 1.3}
    stale = StaleError("changed since", mine=1, theirs=2)
    assert (stale.mine, stale.theirs) == (1, 2)
    assert RecordError("bad", field="depth", value=1).field == "depth"
