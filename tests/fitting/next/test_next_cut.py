"""What to measure next: with a new bit, with one that is known, and where no start depth meets the target."""

from dataclasses import replace

import numpy as np
import pytest

from inlaylab.bench.bits import Bit
from inlaylab.bench.shop import Shop
from inlaylab.errors import NotConverged, Stopped
from inlaylab.fitting.next.next_cut import SETTABLE, next_cut
from inlaylab.fitting.next.options import candidates, coupons_to_try, groove_depths, usual_readings
from inlaylab.fitting.predict.draws import scenario
from inlaylab.fitting.sampling.diagnostics import Diagnostics

KEYS = {
    "measure", "start_depth", "pocket_depth", "relief_depth", "coupon", "expected_gain", "enough", "candidates",
}  # fmt: skip
STILL = ("tip_flat_mean", "tip_flat_ratio", "allowance_mean", "allowance_spread", "crest_loss_mean",
         "crest_loss_ratio", "bias", "spread", "shortfall_mean", "loupe_sd", "opening_sd", "wear_rate",
         "z_angle", "z_tip", "z_allowance", "z_crest")  # fmt: skip


@pytest.fixture(scope="module")
def with_new_bit(small_shop):
    return replace(small_shop, bits=(*small_shop.bits, Bit(bit="new", nominal_angle_deg=60)))


@pytest.fixture(scope="module")
def sure(small_shop, made_fit):
    """A fit that knows everything that lasts."""
    return made_fit(small_shop, size=800, **dict.fromkeys(STILL, 0.0))


def test_a_new_bit_is_worth_measuring(small_fit, with_new_bit, question):
    found = next_cut(small_fit, with_new_bit, replace(question, bit="new"), draws=800)
    assert found.expected_gain > SETTABLE and not found.enough
    kinds = {candidate.measure for candidate in found.candidates}
    assert kinds == {"cut", "tip_flat", "groove", "depth_gauge"}
    assert found.candidates[0].measure == found.measure
    # any reading of the bit beats the zeros alone, and the chance of a good advice rises
    by_kind = {candidate.measure: candidate for candidate in found.candidates}
    assert by_kind["tip_flat"].worth > by_kind["depth_gauge"].worth
    assert found.candidates[0].near > found.near


def test_what_is_known_needs_no_measurement(sure, small_shop, question):
    found = next_cut(sure, small_shop, replace(question, chance=0.6), draws=800)
    assert found.enough and found.expected_gain < 0.02


def test_cutting_at_the_present_advice_is_among_the_candidates(small_fit, small_shop, question):
    from inlaylab.fitting.advice.start_depth import advise

    asked = replace(question, chance=0.5)
    found = next_cut(small_fit, small_shop, asked, draws=500)
    advised = advise(small_fit, small_shop, asked).start_depth
    assert found.advised == advised
    assert any(c.measure == "cut" and c.start_depth == advised for c in found.candidates)


def test_the_same_seed_gives_the_same_answer_as_plain_json(small_fit, small_shop, question):
    import json

    one, two = (next_cut(small_fit, small_shop, question, seed=4, draws=300).to_json() for _ in range(2))
    assert one == two and set(one) >= KEYS
    assert json.loads(json.dumps(one, allow_nan=False))["measure"] == one["measure"]
    assert set(one["candidates"][0]) >= {"measure", "start_depth", "expected_gain", "near", "dropped"}


def test_no_loupe_where_the_flat_is_logged(small_fit, small_shop, question):
    looked = replace(small_shop, bits=tuple(replace(bit, tip_flat=0.1) for bit in small_shop.bits))
    found = next_cut(small_fit, looked, question, draws=300)
    assert "tip_flat" not in {candidate.measure for candidate in found.candidates}


def test_where_the_target_is_out_of_reach_it_still_answers(sure, small_shop, question):
    asked = replace(question, within=0.001, chance=0.99)
    found = next_cut(sure, small_shop, asked, draws=400)
    assert not found.reached
    low, high = asked.span
    assert found.start_depth is None or low <= found.start_depth <= high


def test_a_shop_without_a_coupon_is_offered_an_ordinary_one(small_fit, small_shop, question):
    cuts = tuple(replace(cut, coupon=None) for cut in small_shop.cuts)
    bare = replace(small_shop, coupons=(), readings=(), cuts=cuts)
    found = next_cut(small_fit, bare, question, draws=300)
    assert found.coupon is None


def test_it_tells_its_progress_and_can_be_stopped(small_fit, small_shop, question):
    said = []
    next_cut(small_fit, small_shop, question, draws=200, progress=lambda *told: said.append(told))
    assert said[0][0] == 0 and said[-1][0] < 1 and "weighing" in said[0][2]
    with pytest.raises(Stopped, match="stopped before all candidates"):
        next_cut(small_fit, small_shop, question, draws=200, stop=lambda: True)


def test_a_fit_that_did_not_settle_is_refused(made_fit, small_shop, question):
    bad = Diagnostics(worst_r_hat=1.5, smallest_ess=10, worst_name="bias", divergences=0, draws=100)
    with pytest.raises(NotConverged, match="do not agree"):
        next_cut(made_fit(small_shop, diagnostics=bad), small_shop, question)


def test_usual_readings_and_coupons(small_shop, question):
    assert usual_readings(small_shop) == ("backer_gap", "pocket_depth", "plug_depth")
    assert usual_readings(Shop()) == ("backer_gap",)
    assert [c.coupon for c in coupons_to_try(small_shop, question)] == ["ladder"]
    assert groove_depths(2.0) == (0.5, 1.0, 2.0)


def test_start_depths_that_are_tried_stay_within_the_span(made_fit, small_shop, question):
    fit = made_fit(small_shop, size=48)
    asked = replace(question, between=(3.7, 3.9))
    world = scenario(fit, small_shop, (asked.cut(3.7),), size=48, strokes=[asked.half_widths])
    plan = candidates(small_shop, asked, world, start_depth=3.8, rng=np.random.default_rng(1))
    starts = [candidate.start_depth for candidate, _ in plan if candidate.measure == "cut"]
    assert starts[0] == 3.8 and all(3.7 <= start <= 3.9 for start in starts) and len(set(starts)) == len(starts)


def test_readings_the_shop_does_not_take_are_offered_on_the_same_cut(small_fit, with_new_bit, question):
    lazy = [r for r in with_new_bit.readings if r.kind not in ("pocket_depth", "plug_depth")]
    found = next_cut(small_fit, replace(with_new_bit, readings=tuple(lazy)), replace(question, bit="new"), draws=800)
    plain, more = (
        [c for c in found.candidates if c.measure == "cut" and bool(c.also) == also and c.start_depth == found.advised]
        for also in (False, True)
    )
    assert more[0].also == ("pocket_depth", "plug_depth") and plain
    # more readings never tell less, but for the noise of sixty results
    assert more[0].near > plain[0].near - 0.03
