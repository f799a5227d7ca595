"""Published figures about glue and clamps come out as they went in."""

import csv
from pathlib import Path

import pytest

from inlaylab.handbook.gluing import figures

DATA = Path(__file__).parents[1] / "data"
with (DATA / "glue_and_clamping.csv").open(encoding="utf-8") as file:
    ROWS = list(csv.DictReader(file))


@pytest.mark.parametrize("number", range(len(ROWS)), ids=lambda n: f"{ROWS[n]['quantity']}, {ROWS[n]['applies_to']}")
def test_glue_and_clamping_table(number):
    # Trade press, an abstract and USDA texts, as read; addresses in the rows. Nothing to compute but unit conversions.
    row, figure = ROWS[number], figures()[number]
    assert (figure.quantity, figure.applies_to, figure.unit) == (row["quantity"], row["applies_to"], row["unit"])
    assert ["" if end is None else end for end in (figure.low, figure.high)] == [
        float(end) if end else "" for end in (row["low"], row["high"])
    ]
    if row["basis"] == "found":
        assert figure.source == row["source"] != ""
        assert figure.source in str(figure)
    elif row["basis"] == "from_memory":  # marked so, and without a source
        assert figure.source == ""
        assert "from memory, not looked up" in str(figure)


def test_published_pressures_overlap_the_handbook_ends():
    # 689 to 1724 kPa (found) is 100 to 250 lb/in2, as it is stated there.
    (found,) = (f for f in figures() if f.as_stated == "100 to 250 lb/in2")
    assert [round(end / 6.894757) for end in (found.low, found.high)] == [100, 250]
