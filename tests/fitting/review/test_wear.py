"""Wear of bits: trends against SciPy's straight line, a planted wear, and who speaks."""

from dataclasses import replace

import numpy as np
import pytest
import simulated_shop
from scipy.stats import linregress

from inlaylab.fitting.model.priors import PRIORS
from inlaylab.fitting.review.wear import _trend, drift, metres_per_cut


def test_a_trend_is_scipys_line():
    rng = np.random.default_rng(1)
    use = np.arange(8.0)
    values = 0.02 + 0.01 * use + 0.005 * rng.standard_normal(8)
    values[3] = np.nan  # a cut without glue lines
    found, known = _trend(use, values), np.isfinite(values)
    other = linregress(use[known], values[known])
    assert found.slope == pytest.approx(other.slope) and found.slope_uncertainty == pytest.approx(other.stderr)
    assert found.seen and len(found.use) == 7


def test_too_few_cuts_show_no_trend():
    found = _trend(np.array([0.0, 1.0]), np.array([0.1, 0.2]))
    assert not found.seen and np.isnan(found.slope)
    assert np.isnan(_trend(np.zeros(4), np.arange(4.0)).slope)


def worn(rate):
    """Twelve cuts that stand on the floor, with a bit that wears by so much a cut."""
    design = simulated_shop.small_design(cuts=12, pairs=1, gaps=(0.0,))
    rng = np.random.default_rng(4)
    truth = simulated_shop.planted(design, rng, wear_rate=rate, spread=0.01)
    return simulated_shop.Simulator(design, truth, rng).whole()


@pytest.mark.parametrize(("rate", "seen"), [(0.0, False), (0.02, True)])
def test_a_planted_wear_is_seen_in_the_glue_lines(rate, seen, made_fit):
    shop = worn(rate)
    still = {name: 0.0 for name in ("spread", "bias", "shortfall_mean", "tip_flat_mean", "tip_flat_ratio", "z_angle")}
    found = drift(made_fit(shop, size=400, z_tip=0.8, **still), shop)
    opening = found.bits[0].opening
    assert opening.seen == seen
    if seen:  # a plug that stands on the floor opens by the whole growth of the flat
        assert opening.slope == pytest.approx(rate, rel=0.3)
        assert "open with use" in found.bits[0].words
    else:
        assert abs(opening.slope) < 0.004


def test_who_speaks(small_shop, made_fit):
    assert not drift(made_fit(small_shop), small_shop).log_speaks
    assert drift(made_fit(small_shop, wear_rate=2.5), small_shop).log_speaks


def test_wear_is_judged_against_what_the_fit_believed(small_shop, made_fit, other_beliefs):
    found = drift(replace(made_fit(small_shop), beliefs=other_beliefs), small_shop)
    assert not found.log_speaks, "a fit that learnt nothing"
    assert found.wear_prior["q50"] == 0.002
    assert found.wear["q95"] == pytest.approx(found.wear_prior["q95"], rel=0.05)


def test_new_and_now(small_shop, made_fit):
    long = small_shop.with_cuts([replace(cut, path_length_m=2.0) for cut in small_shop.cuts], small_shop.readings)
    found = drift(made_fit(long, wear_rate=0.0), long)
    bit = found.bits[0]
    assert bit.use == bit.cuts == 6 and metres_per_cut(long) == 2.0
    assert bit.flat_now["q50"] - bit.flat_new["q50"] == pytest.approx(6 * PRIORS["wear_rate"].centre, rel=1e-6)
    assert set(found.to_json()) == {"wear_prior", "wear", "log_speaks", "metres_per_cut", "bits"}
