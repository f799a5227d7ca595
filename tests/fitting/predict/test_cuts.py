"""Predictions: their shape, and how often they hold new cuts of the same invented workshop."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest
import simulated_shop

from inlaylab.bench.shop import Shop
from inlaylab.errors import NotConverged
from inlaylab.fitting.predict.cuts import QUANTILES, predict
from inlaylab.fitting.sampling.diagnostics import Diagnostics


@pytest.fixture(scope="module")
def new_cuts(planted, small_shop):
    """Thirty further cuts of the planted workshop, and what they truly show."""
    rng = np.random.default_rng(21)
    design = simulated_shop.small_design(cuts=30)
    cuts = tuple(replace(cut, cut=f"n{n}", date="2026-03-07") for n, cut in enumerate(design.cuts))
    lasting = {
        name: planted.truth[name] for name in ("true_angle", "tip_flat", "wall_allowance", "crest_loss", "half_filled")
    }
    design = design.with_cuts(cuts)
    alone = simulated_shop.Simulator(design, simulated_shop.planted(design, rng, **lasting), rng)
    seats = [alone.section(n)[1] for n in range(30)]
    return Shop(cuts=cuts), alone, seats


@pytest.fixture(scope="module")
def prediction(small_fit, small_shop, new_cuts):
    return predict(small_fit, small_shop, new_cuts[0], draws=2400)


def test_every_bar_of_every_cut_is_predicted(prediction):
    assert len(prediction.glue_lines) == len(prediction.fills) == 30 * 4
    assert len(prediction.backer_gaps) == 30
    for row in prediction.glue_lines:
        levels = [row[name] for name in QUANTILES]
        assert levels == sorted(levels) and levels[0] >= 0 and 0 <= row["closed_chance"] <= 1
        assert (row["closed_chance"] > 0.5) == (row["q50"] < 0.05)


def test_intervals_hold_new_glue_lines_and_backer_gaps(prediction, new_cuts):
    _, alone, seats = new_cuts
    rng = np.random.default_rng(5)
    truth = np.array([rest.wall_gap[:4] for rest in seats]) + alone.truth["opening_sd"] * rng.standard_normal((30, 4))
    truth = np.maximum(truth.ravel(), 0)
    rows = prediction.glue_lines
    inside = [row["q05"] - 1e-9 <= line <= row["q95"] + 1e-9 for row, line in zip(rows, truth, strict=True)]
    assert np.mean(inside) >= 0.8
    width = np.mean([row["q95"] - row["q05"] for row in rows])
    assert width < 0.25, "an interval that holds everything says nothing"
    backer = [1.5 + np.ravel(rest.seat_level)[0] - alone.truth["host_zero_error"][n] for n, rest in enumerate(seats)]
    held = [row["q05"] <= gap <= row["q95"] for row, gap in zip(prediction.backer_gaps, backer, strict=True)]
    assert np.mean(held) > 0.75


def test_wide_strokes_fill_and_thin_ones_less(prediction, new_cuts):
    chance = {row["station"]: row["filled_chance"] for row in prediction.fills if row["cut"] == "n0"}
    assert chance["B1"] < chance["B2"] < chance["B3"] and chance["B4"] > 0.95
    npt.assert_array_less(chance["B1"], 0.5)  # finished 0.45 mm, half-filled width planted at 0.55


def test_nothing_planned_is_nothing_predicted(small_fit, small_shop):
    assert predict(small_fit, small_shop, Shop()).to_json() == {"glue_lines": [], "fills": [], "backer_gaps": []}


def test_a_fit_that_did_not_converge_predicts_nothing(small_fit, small_shop, new_cuts):
    bad = Diagnostics(worst_r_hat=1.2, smallest_ess=20.0, worst_name="bias", divergences=0, draws=100)
    with pytest.raises(NotConverged, match="do not agree"):
        predict(replace(small_fit, diagnostics=bad), small_shop, new_cuts[0])
