"""When to tune again: against the sink that a growing flat causes."""

from dataclasses import replace

import numpy as np
import pytest

from inlaylab.fitting.model.priors import PRIORS
from inlaylab.fitting.review.tune_again import RETUNE, crossing, retune

STILL = dict.fromkeys(
    ("tip_flat_mean", "tip_flat_ratio", "allowance_mean", "bias", "opening_sd", "z_angle", "z_tip", "z_allowance"), 0.0
)


@pytest.fixture(scope="module")
def asked(question):
    return replace(question, chance=0.6, within=0.15)


def test_a_growing_flat_calls_for_a_larger_floor_gap(small_shop, made_fit, asked):
    # where the floor holds, the start depth must give way by wear / tan(angle/2) a cut
    wear = PRIORS["wear_rate"].centre
    fit = made_fit(small_shop, size=800, wear_rate=0.0, **STILL)
    found = retune(fit, small_shop, asked, draws=400)
    expected = RETUNE * np.tan(np.radians(30)) / wear
    assert found.due == pytest.approx(expected, rel=0.25)
    assert found.due_low <= found.due * 1.25 and found.due_high >= found.due * 0.8
    assert (np.diff(found.advised) <= 1e-9).all() and (np.diff(found.chance) <= 1e-9).all()
    assert found.because == "depth"
    assert (np.diff(found.worst_glue_line) >= -1e-9).all() and found.saved[0] == 0


def test_no_wear_is_never_due(small_shop, made_fit, asked):
    found = retune(made_fit(small_shop, size=400, wear_rate=-12.0, **STILL), small_shop, asked, draws=200)
    assert np.isinf(found.due) and found.because == "nothing"


def test_the_chance_at_todays_start_depth_counts_where_it_is_told(small_shop, made_fit, asked):
    fit = made_fit(small_shop, size=400, wear_rate=0.0, **STILL)
    advised = retune(fit, small_shop, asked, draws=200)
    asked = replace(asked, chance=float(advised.chance[0] + advised.chance[5]) / 2)  # it falls so far in 80 cuts
    told = retune(fit, small_shop, asked, draws=200, start_depth=float(advised.advised[0]))
    assert 0 < told.due < advised.due
    assert told.because == "chance" and told.chance[0] > asked.chance


def test_a_start_depth_set_too_deep_is_due_at_once(small_shop, made_fit, asked):
    fit = made_fit(small_shop, size=400, wear_rate=0.0, **STILL)
    found = retune(fit, small_shop, asked, draws=200, start_depth=4.0)
    assert found.due == 0 and found.saved[0] > 0.01


def test_crossing_is_by_straight_lines():
    use = np.array([0.0, 1.0, 2.0])
    assert crossing(use, np.array([0.0, 1.0, 4.0]), 2.5) == pytest.approx(1.5)
    assert crossing(use, np.array([3.0, 4.0, 5.0]), 2.5) == 0.0
    assert np.isinf(crossing(use, np.array([0.0, 1.0, 2.0]), 2.5))
