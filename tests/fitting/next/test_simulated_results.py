"""Simulated readings and their likelihood, against SciPy's normal law reading by reading."""

import numpy as np
import pytest
from scipy.special import logsumexp
from scipy.stats import norm

from inlaylab.fitting.next.simulated_results import (
    Measurement,
    Results,
    depth_gauge,
    grooves,
    log_chances,
    loupe_on_flat,
    simulate,
    single_pieces,
)
from inlaylab.fitting.predict.draws import scenario


@pytest.fixture
def measurement():
    rng = np.random.default_rng(1)
    return Measurement(
        names=("glue_line B1", "glue_line B2", "backer_gap"),
        means=np.array([0.06, 0.03, 1.5]) + 0.05 * rng.standard_normal((7, 5, 3)),
        sd=rng.uniform(0.015, 0.04, (7, 3)),
        step=np.array([0.01, 0.01, 0.05]),
        limit=np.array([0.05, 0.05, -np.inf]),
        unread=np.array([[0.0, 0.5, 0.0]] * 7),
    )


def test_log_chances_against_scipy(measurement):
    values = np.array([[0.08, np.nan, 1.45], [np.nan, np.nan, 1.6]])
    closed = np.array([[False, True, False], [True, False, False]])
    found = log_chances(measurement, Results(values=values, closed=closed))
    for b in range(2):
        for i in range(7):
            each = np.zeros(5)
            for j in range(3):
                law = norm(measurement.means[i, :, j], measurement.sd[i, j])
                if closed[b, j]:
                    each += law.logcdf(measurement.limit[j])
                elif np.isfinite(values[b, j]):
                    each += law.logpdf(values[b, j]) + 0.5 * np.log(2 * np.pi)
            assert found[i, b] == pytest.approx(logsumexp(each) - np.log(5), abs=1e-5)


def test_simulated_readings_follow_their_law(measurement):
    got = simulate(measurement, np.zeros(20000, int), np.random.default_rng(2))
    read = got.values[:, 2]
    steps = read / 0.05
    assert steps == pytest.approx(np.round(steps), abs=1e-9)
    spread = np.sqrt(measurement.sd[0, 2] ** 2 + measurement.means[0, :, 2].var() + 0.05**2 / 12)
    assert read.mean() == pytest.approx(measurement.means[0, :, 2].mean(), abs=0.003)
    assert read.std() == pytest.approx(spread, rel=0.05)
    below = norm.cdf(0.05, measurement.means[0, :, 0], measurement.sd[0, 0]).mean()
    assert got.closed[:, 0].mean() == pytest.approx(below, abs=0.015)
    gone = ~got.closed[:, 1] & np.isnan(got.values[:, 1])
    assert gone.mean() == pytest.approx(0.5, abs=0.015)


def test_what_needs_no_cut(small_shop, made_fit, question):
    fit = made_fit(small_shop, size=400)
    world = scenario(fit, small_shop, (question.cut(3.8),), size=400, strokes=[question.half_widths])
    single = single_pieces(world.fitted, np.random.default_rng(1), 6)
    flat = loupe_on_flat(world)
    assert flat.means[:, 0, 0] == pytest.approx(world.tip_flat()[:, 0])
    wide = grooves(world, single, (1.0, 3.0))
    # two grooves of one setup differ by 2 (3 - 1) tan(angle/2), whatever the zero
    slope = np.tan(np.radians(world.fitted["true_angle"]) / 2)
    assert np.diff(wide.means, axis=-1)[..., 0] == pytest.approx(np.broadcast_to(4 * slope, (400, 6)))
    gauge = depth_gauge(world, single)
    assert gauge.means[..., 1] == pytest.approx(single["insert_zero_error"])
    assert gauge.sd[:, 0] == pytest.approx(np.hypot(world.fitted["gauge_sd"], 0.01 / np.sqrt(12)))
