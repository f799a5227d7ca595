"""Prior and posterior side by side: a fit that learnt nothing, and one that learnt one thing."""

from dataclasses import replace

import pytest

from inlaylab.fitting.model.priors import PRIORS, SHOP
from inlaylab.fitting.review.beliefs import WORDS, beliefs


def test_a_fit_that_learnt_nothing_is_all_prior(small_shop, made_fit):
    found = beliefs(made_fit(small_shop, size=4000))
    assert {row.speaks for row in found.rows} == {"prior"}
    for row in found.rows:
        assert abs(row.contraction) < 0.1 and abs(row.shift) < 0.15
        assert row.words == WORDS["prior"]


def test_what_was_learnt_is_the_logs(small_shop, made_fit):
    found = {(r.quantity, r.of): r for r in beliefs(made_fit(small_shop, z_angle=1.0, spread=2.0)).rows}
    assert found["spread", ""].speaks == found["true_angle", "bit1"].speaks == "log"
    assert found["true_angle", "bit1"].contraction == pytest.approx(1.0)
    assert found["spread", ""].shift == pytest.approx(2.0, abs=0.1)
    assert found["bias", ""].speaks == "prior"


def test_the_priors_are_those_that_are_stated(small_shop, made_fit):
    found = {row.quantity: row for row in beliefs(made_fit(small_shop)).rows}
    for name in SHOP:
        prior = PRIORS[name]
        if prior.kind == "log":
            assert found[name].prior["q50"] == pytest.approx(prior.centre, rel=0.06)
        elif prior.kind == "normal":
            assert found[name].prior["q95"] == pytest.approx(prior.centre + 1.645 * prior.spread, rel=0.1)
        assert found[name].unit == prior.unit


def test_the_priors_are_those_that_the_fit_began_with(small_shop, made_fit, other_beliefs):
    found = {row.quantity: row for row in beliefs(replace(made_fit(small_shop, size=4000), beliefs=other_beliefs)).rows}
    assert {row.speaks for row in found.values()} == {"prior"}, "a fit that learnt nothing"
    assert found["wear_rate"].prior["q50"] == pytest.approx(0.002, rel=0.03)
    assert found["true_angle"].prior["q50"] == pytest.approx(60.4, abs=0.02)
    assert found["true_angle"].prior["q95"] == pytest.approx(60.4 + 1.645 * 0.2, abs=0.03)


def test_each_bit_pair_and_wood_is_told(small_fit):
    rows = beliefs(small_fit).rows
    of = {row.of for row in rows}
    assert of == {"", "bit1", "pair1", "pair2", "walnut", "maple", "cherry"}
    angle = next(row for row in rows if row.quantity == "true_angle")
    assert angle.posterior["q05"] < angle.posterior["q50"] < angle.posterior["q95"]
    assert next(r for r in rows if r.quantity == "half_filled" and r.of == "maple").contraction > 0.25
    assert len(beliefs(small_fit).to_json()["beliefs"]) == len(rows)
