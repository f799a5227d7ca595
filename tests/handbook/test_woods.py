"""Published values of woods: every row of the table comes out as it went in, and memory is never shown as a source."""

import csv
from pathlib import Path

import pytest

from inlaylab.errors import InputError
from inlaylab.handbook import woods

DATA = Path(__file__).parents[1] / "data"
with (DATA / "species.csv").open(encoding="utf-8") as file:
    SPECIES = list(csv.DictReader(file))


@pytest.mark.parametrize("row", SPECIES, ids=lambda row: row["common_name"])
def test_species_table(row):
    # Wood Handbook Tables 4-3, 4-4, 5-3, 5-5 and 13-5 as read; each value's own table and address stand in its row.
    wood = woods.find(row["common_name"])
    assert wood.botanical_name == row["botanical_name"]
    assert wood.group == row["group"]
    for each in woods.QUANTITIES.values():
        if not row[each.column]:
            assert each.quantity not in wood.values
            assert each.label in wood.missing
            continue
        value = wood.values[each.quantity]
        assert value.value == float(row[each.column])
        assert value.unit == each.unit
        if row[f"basis_{each.group}"] == "found":
            assert value.sourced
            assert value.source == row[f"source_{each.group}"] != ""
            assert value.source in str(value)
        else:  # from memory, not looked up: marked so, and without a source
            assert not value.sourced
            assert value.source == ""
            assert "from memory, not looked up" in str(value)


def test_species_table_counts():
    # 66 woods, 33 of each group; 303 values found, 67 from memory, 92 empty.
    values = [value for wood in woods.all_woods() for value in wood.values.values()]
    assert [sum(wood.group == group for wood in woods.all_woods()) for group in ("domestic", "imported")] == [33, 33]
    assert [sum(value.sourced is sourced for value in values) for sourced in (True, False)] == [303, 67]
    assert sum(len(wood.missing) for wood in woods.all_woods()) == 92


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("maple", ["Maple, sugar (hard)", "Maple, red (soft)", "Maple, silver (soft)", "Maple, black (hard)"]),
        ("JUGLANS", ["Walnut, black", "Butternut"]),
        ("rosewood indian", ["Rosewood, Indian"]),
        ("", []),
        ("7", []),
        ("garden plum", []),
    ],
)
def test_search_takes_words_of_either_name(text, names):
    assert [wood.common_name for wood in woods.search(text)] == names


@pytest.mark.parametrize(
    ("name", "common"),
    [
        ("black walnut", "Walnut, black"),
        ("Walnut, black", "Walnut, black"),
        ("acer saccharum", "Maple, sugar (hard)"),
        ("hard maple", "Maple, sugar (hard)"),
        ("padauk", "Padauk, African"),
        ("ebony", "Ebony"),
    ],
)
def test_find_takes_the_names_that_pairs_are_typed_with(name, common):
    assert woods.find(name).common_name == common


def test_a_name_of_several_woods_is_asked_about():
    with pytest.raises(InputError, match=r"fits several woods: \"oak\"; allowed: Oak, white; Oak, northern red"):
        woods.find("oak")


def test_an_unknown_wood_is_allowed_and_says_what_is_missing():
    plum = woods.find(" Garden plum ")
    assert (plum.common_name, plum.known, plum.group) == ("Garden plum", False, "unknown")
    assert len(plum.missing) == len(woods.QUANTITIES)
    assert woods.find("").known is False
