"""Chances in words."""

import pytest

from inlaylab.wording.chances import chance_that, percent


@pytest.mark.parametrize("chance", [0.0, 0.004, 0.005, 0.3, 0.5, 0.994, 0.995, 1.0])
def test_no_chance_is_said_as_none_or_all(chance):
    words = percent(chance)
    assert not words.startswith(("0%", "100%"))
    assert (words == "over 99%") == (chance >= 0.995) and (words == "under 1%") == (chance < 0.005)


def test_beyond_ninety_nine_it_is_almost_certain():
    assert chance_that(0.999, "it fits") == "almost certain that it fits"
    assert chance_that(0.0, "it fits") == "almost no chance that it fits"
    assert chance_that(0.82, "it fits") == "an 82% chance that it fits"
