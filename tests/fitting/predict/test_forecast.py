"""Forecasts are of readings: simulated readings of shops drawn from the same beliefs fall where they should."""

from dataclasses import replace

import numpy as np
import pytest
import simulated_shop

from inlaylab.errors import NotConverged
from inlaylab.fitting.predict.forecast import forecast
from inlaylab.fitting.review.forecast_score import score
from inlaylab.fitting.sampling.diagnostics import Diagnostics

MADE = {"made": "2026-03-05", "within": 0.15}


def test_a_forecast_has_every_bar_of_the_coupon(made_fit, small_shop):
    cut = small_shop.cuts[0]
    found = forecast(made_fit(small_shop), small_shop, cut, **MADE)
    assert [each.station for each in found.stations] == ["B1", "B2", "B3", "B4"], "and no wedge"
    assert all(0 <= each.q05 <= each.q50 <= each.q95 < 2 and 0 <= each.filled <= 1 for each in found.stations)
    assert 0 < found.chance < 1 and found.known == len(small_shop.cuts)
    assert found.stations[-1].filled > found.stations[0].filled, "wide bars fill"


def test_a_cut_without_a_coupon_has_no_station_and_no_chance(made_fit, small_shop):
    cut = replace(small_shop.cuts[0], coupon=None)
    found = forecast(made_fit(small_shop), small_shop, cut, **MADE)
    assert (found.stations, found.chance) == ((), None)


def test_a_wider_tolerance_is_met_more_often(made_fit, small_shop):
    fit, cut = made_fit(small_shop), small_shop.cuts[0]
    chances = [forecast(fit, small_shop, cut, made="2026-03-05", within=within).chance for within in (0.05, 0.15, 0.5)]
    assert chances == sorted(chances) and chances[0] < chances[-1]


def test_a_fit_that_did_not_settle_forecasts_nothing(made_fit, small_shop):
    bad = Diagnostics(worst_r_hat=1.4, smallest_ess=20.0, worst_name="bias", divergences=0, draws=100)
    with pytest.raises(NotConverged):
        forecast(made_fit(small_shop, diagnostics=bad), small_shop, small_shop.cuts[0], **MADE)


def test_readings_of_shops_drawn_from_the_beliefs_lie_where_they_are_forecast(made_fit):
    """The simulator is the tests' own; 60 shops of 6 cuts, so one standard error of the shares is about 0.02."""
    design = simulated_shop.small_design()
    fit = made_fit(design, size=4000)
    made = [forecast(fit, design, cut, **MADE) for cut in design.cuts]
    rng = np.random.default_rng(8)
    found = []
    for row in rng.choice(4000, 60, replace=False):
        truth = {name: value[row] for name, value in fit.values.items()} | {"mistake_chance": 0.0}
        found.append(score(simulated_shop.Simulator(design, truth, rng).whole(), made))
    shares = np.array([[one.inside_50, one.inside_90, one.right_50, one.right_90] for one in found]).mean(axis=0)
    assert abs(shares[0] - shares[2]) < 0.07
    assert abs(shares[1] - shares[3]) < 0.05
    judged = [(cut.forecast.chance, cut.good) for one in found for cut in one.judged]
    stated, came = np.mean(judged, axis=0)
    assert abs(stated - came) < 0.1
