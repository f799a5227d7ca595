"""What is said of a moved answer, with a stand-in for the prediction: readings are put where the verdict is plain."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from inlaylab.bench.bits import Bit
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.errors import InputError
from inlaylab.fitting.predict import cuts as prediction
from inlaylab.services.what_moved import what_moved

FIRST = Cut(cut="k1", bit="b", pair="p", start_depth=3.4, pocket_depth=4.2, relief_depth=1.6)
SECOND = replace(FIRST, cut="k2")
BENCH = Shop(
    bits=(Bit(bit="b", nominal_angle_deg=60),), pairs=(Pair(pair="p", host="oak", insert="ash"),), cuts=(FIRST,)
)


def moved(shop, earlier=BENCH):
    return what_moved(start_depth=3.5, before=3.4, fit=None, earlier=earlier, shop=shop)


def with_reading(**reading):
    length = {} if reading.get("state") == "filled" else {"unit": "mm"}
    return replace(BENCH, cuts=(FIRST, SECOND), readings=(Reading(cut="k2", **reading, **length),))


@pytest.fixture(autouse=True)
def expected(monkeypatch):
    """Expect a backer gap of 1.4 mm, 0.2 give or take (90 %), and a glue line of 0.10 mm, 0.02 give or take (50 %)."""
    made = SimpleNamespace(
        backer_gaps=({"cut": "k2", "q05": 1.2, "q50": 1.4, "q95": 1.6},),
        glue_lines=({"cut": "k2", "station": "B1", "q25": 0.08, "q50": 0.10, "q75": 0.12},),
    )
    monkeypatch.setattr(prediction, "predict", lambda fit, shop, planned: made)


@pytest.mark.parametrize(
    ("reading", "surprise"),
    [
        ({"kind": "backer_gap", "value": 1.6}, "higher"),
        ({"kind": "backer_gap", "value": 1.2}, "lower"),
        ({"kind": "backer_gap", "value": 1.42}, "as expected"),
        ({"kind": "glue_line", "station": "B1", "value": 0.2}, "wider"),
        ({"kind": "glue_line", "station": "B1", "state": "closed", "limit": 0.05}, "tighter"),
        ({"kind": "glue_line", "station": "B1", "value": 0.1}, "as expected"),
        ({"kind": "fill", "station": "B1", "state": "filled"}, "not compared"),
    ],
)
def test_the_newest_cut_is_held_against_what_was_expected(reading, surprise):
    found = moved(with_reading(**reading))
    assert (found.cut, found.surprise, found.start_depth, found.before) == ("k2", surprise, 3.5, 3.4)


def test_a_corrected_reading_counts_as_news():
    shop = with_reading(kind="backer_gap", value=1.6)
    better = replace(shop, readings=(replace(shop.readings[0], value=1.2),))
    assert moved(better, earlier=shop).surprise == "lower"


def test_a_cut_that_is_gone_and_other_changes_are_told_apart():
    assert moved(BENCH, earlier=replace(BENCH, cuts=(FIRST, SECOND))).surprise == "gone"
    assert moved(BENCH).cut == ""


def test_what_the_earlier_fit_could_not_know_is_not_compared(monkeypatch):
    def refuse(*words):
        raise InputError("no such bit")

    monkeypatch.setattr(prediction, "predict", refuse)
    assert moved(with_reading(kind="backer_gap", value=1.6)).surprise == "not compared"
