"""Each warning where a question goes beyond what the cuts have seen, and none where it does not."""

from dataclasses import replace

import pytest

from inlaylab.bench.bits import Bit
from inlaylab.bench.coupons import Stroke
from inlaylab.bench.cuts import Pair
from inlaylab.fitting.advice.warnings import warnings_of

CASES = {
    "a new bit": ({"bit": "new"}, "No cut with bit new is logged.*the shop's other bits\\. A loupe"),
    "a new bit under the loupe": ({"bit": "read"}, "No cut with bit read.*and a loupe's reading of its flat"),
    "a new pair": ({"pair": "turned"}, "No cut of pair turned is logged: its wall allowance"),
    "new woods": ({"pair": "oak"}, "No cut has had padauk: its crest loss"),
    "a thin stroke": (
        {"strokes": (Stroke(stroke_width=0.3, land_width=4),)},
        r"thinnest stroke, 0\.30 mm \(0\.012 in\), is thinner",
    ),
    "a deep pocket": ({"pocket_depth": 6.0}, r"6\.00 mm \(0\.236 in\) deep is deeper than any that was cut: 4\.00 mm"),
    "a small bit": ({"bit": "small"}, "the bit's cone is only 3\\.46 mm \\(0\\.136 in\\) high: check its reach"),
}


@pytest.fixture(scope="module")
def wider(small_shop):
    bits = (
        Bit(bit="new", nominal_angle_deg=60, unit="mm"),
        Bit(bit="read", nominal_angle_deg=60, tip_flat=0.1, unit="mm"),
        Bit(bit="small", nominal_angle_deg=60, cutting_diameter=4.0, unit="mm"),
    )
    pairs = (Pair(pair="turned", host="maple", insert="walnut"), Pair(pair="oak", host="walnut", insert="padauk"))
    return replace(small_shop, bits=small_shop.bits + bits, pairs=small_shop.pairs + pairs)


@pytest.mark.parametrize("case", CASES)
def test_each_is_warned_of(case, small_fit, wider, question):
    import re

    changed, words = CASES[case]
    found = warnings_of(small_fit, wider, replace(question, **changed))
    assert any(re.search(words, warning) for warning in found), found


def test_what_the_cuts_have_seen_needs_no_warning(small_fit, small_shop, question):
    assert warnings_of(small_fit, small_shop, question) == ()


def test_a_short_log_says_that_the_kit_is_speaking(small_fit, small_shop, question):
    few = replace(small_fit, cuts=1)
    assert any("The log has 1 cut" in warning for warning in warnings_of(few, small_shop, question))


def test_an_empty_log_warns_instead_of_failing(made_fit, small_shop, question):
    empty = small_shop.with_cuts(())
    found = warnings_of(made_fit(empty), empty, question)
    assert len(found) == 5  # bit, pair, two woods, too few cuts
