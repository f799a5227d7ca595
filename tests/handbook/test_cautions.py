"""Cautions: every published limit is quoted as read, with its status, and nothing is called safe."""

import csv
from pathlib import Path

import pytest

from inlaylab.handbook import cautions

DATA = Path(__file__).parents[1] / "data"
with (DATA / "safety_limits.csv").open(encoding="utf-8") as file:
    LIMITS = list(csv.DictReader(file))


@pytest.mark.parametrize("row", LIMITS, ids=lambda row: f"{row['topic']}, {row['subject']}"[:60])
def test_safety_limits_table(row):
    # OSHA, NIOSH, ACGIH, IARC, EU, HSE and NFPA texts as read; addresses in the rows.
    (caution,) = (
        each
        for each in cautions.cautions()
        if (each.subject, each.body, each.value) == (row["subject"], row["body_or_jurisdiction"], row["value"])
    )
    assert caution.status == row["status"]
    assert caution.averaging == row["averaging"]
    if row["basis"] == "found":
        assert caution.source == row["source"] != ""
    else:  # from memory, not looked up: marked so, and without a source
        assert caution.source == ""
        assert "from memory, not looked up" in str(caution)


def test_limits_no_longer_in_force_are_kept_but_not_shown():
    shown = cautions.cautions_about("dust")
    assert not any("vacated" in caution.status or "expired" in caution.status for caution in shown)
    assert any("vacated" in caution.status for caution in cautions.cautions())


def test_every_topic_has_cautions_and_every_caution_says_who_says_so():
    for topic in cautions.TOPICS:
        assert any(caution.topic == topic for caution in cautions.cautions())
    for caution in cautions.cautions():
        assert caution.topic in cautions.TOPICS
        assert caution.body
        assert caution.basis


def test_no_figure_is_called_safe():
    told = " ".join(str(caution) for caution in cautions.cautions()).casefold()
    assert "safe limit" not in told
    assert "is safe" not in told


@pytest.mark.parametrize(
    ("woods", "expected"),
    [(("Walnut, black",), "black walnut"), (("wenge", "maple"), "wenge"), (("Teak",), "teak")],
)
def test_sensitising_woods_are_found_by_the_names_of_a_pair(woods, expected):
    told = [caution.subject for caution in cautions.cautions_about("woods", woods=woods)]
    assert any(expected in subject for subject in told)
    assert not cautions.cautions_about("woods", woods=("garden plum",))


def test_the_machine_manual_goes_first():
    assert "machine's manual" in cautions.DEFER
    assert "local codes" in cautions.DEFER
    assert "licensed practice" in cautions.DEFER
