"""Readings beside what was expected of them."""

import numpy as np
import numpy.testing as npt

from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.review.residuals import expected_readings


def test_sound_readings_scatter_as_expected(small_fit, small_shop):
    found = expected_readings(small_fit, observe(small_shop))
    standardised = np.concatenate([part["standardised"] for part in found.values()])
    standardised = standardised[~np.isnan(standardised)]
    assert standardised.size > 25
    assert np.abs(standardised).max() < 4.5 and 0.4 < standardised.std() < 1.5


def test_a_closed_line_has_no_residual(small_fit, small_shop):
    seen = observe(small_shop)
    closed = seen.rows["glue_line"]["closed"] > 0
    found = expected_readings(small_fit, seen)["glue_line"]
    assert closed.any() and not closed.all()
    npt.assert_array_equal(np.isnan(found["residual"]), closed)


def test_quantiles_are_ordered_and_hold_the_planted_lines(small_fit, small_shop, planted):
    seen = observe(small_shop)
    found, rows = expected_readings(small_fit, seen)["glue_line"], seen.rows["glue_line"]
    assert (found["q05"] <= found["median"]).all() and (found["median"] <= found["q95"]).all()
    truth = []
    for row, cut in zip(rows["row"], rows["cut"], strict=True):
        place = int(small_shop.readings[row].station[1]) - 1
        truth.append(planted.section(cut)[1].wall_gap[place])
    assert np.mean((found["q05"] <= truth) & (truth <= found["q95"])) > 0.75


def test_a_slip_of_unit_stands_far_off(spoiled):
    shop, row, fit = spoiled
    seen = observe(shop)
    found = expected_readings(fit, seen)["glue_line"]
    at = list(seen.rows["glue_line"]["row"]).index(row)
    assert found["standardised"][at] < -4 or abs(found["residual"][at]) > 0.9 * found["median"][at]


def test_a_log_without_cuts_expects_nothing(made_fit, small_shop):
    empty = small_shop.with_cuts(())
    assert expected_readings(made_fit(empty), observe(empty)) == {}
