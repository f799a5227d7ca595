"""Published values of woods against a second printing, against each other, and as they are looked up."""

import csv
from pathlib import Path

import pytest

from inlaylab.errors import InputError
from inlaylab.handbook import sources, woods

with (Path(__file__).parents[1] / "data" / "wood_handbook_inch_pound.csv").open(encoding="utf-8") as file:
    INCH_POUND = list(csv.DictReader(file))
POUND_FORCE = 0.45359237 * 9.80665  # [N], exact


@pytest.mark.parametrize("row", INCH_POUND, ids=lambda row: row["common_name"])
def test_the_handbooks_other_printing_says_the_same(row):
    # Wood Handbook, FPL-GTR-282 (2021), Tables 5-3b and 5-5b: the inch-pound printing, from a typed copy of its own.
    values = woods.find(row["common_name"]).values
    assert values["basic_specific_gravity"].value == float(row["sg_green"])
    if row["sg_12pct_mc"]:
        assert values["specific_gravity_at_12"].value == float(row["sg_12pct_mc"])
    if row["side_hardness_lbf_12pct_mc"]:
        newtons = float(row["side_hardness_lbf_12pct_mc"]) * POUND_FORCE
        assert abs(values["side_hardness"].value - newtons) <= 50.1  # rounded to 100 N, as the metric printing does


@pytest.mark.parametrize("wood", woods.all_woods(), ids=lambda wood: wood.common_name)
def test_values_of_one_wood_fit_each_other(wood):
    values = {name: value.value for name, value in wood.values.items()}
    for what in ("shrinkage", "coefficient"):
        if f"tangential_{what}" in values:  # wood moves more along its rings than across them
            assert 1.0 < values[f"tangential_{what}"] / values[f"radial_{what}"] < 3.0
    if "specific_gravity_at_12" in values:  # the same weight in a smaller volume
        assert 1.02 < values["specific_gravity_at_12"] / values["basic_specific_gravity"] < 1.2


def test_hard_woods_are_heavy_woods():
    # Wood Handbook, Table 5-11: side hardness of hardwoods at 12 % goes with specific gravity to the power 2.09; the
    # factor 15 300 N is from memory. Single species lie within a factor of two of it.
    for wood in woods.all_woods():
        values = {name: value.value for name, value in wood.values.items()}
        if {"basic_specific_gravity", "side_hardness"} <= set(values) and wood.note[:10] != "a softwood":
            gravity = values.get("specific_gravity_at_12", 1.07 * values["basic_specific_gravity"])
            assert 0.5 < values["side_hardness"] / (15_300 * gravity**2.09) < 2.0, wood.common_name


def test_counts_of_values():
    # 66 woods, 33 of each group; 337 values from publications, 33 from memory.
    values = [value for wood in woods.all_woods() for value in wood.values.values()]
    assert [sum(wood.group == group for wood in woods.all_woods()) for group in ("domestic", "imported")] == [33, 33]
    assert [sum((value.basis == sources.FOUND) is found for value in values) for found in (True, False)] == [337, 33]


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
