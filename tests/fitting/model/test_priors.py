"""Priors: their densities and laws against scipy.stats; the vector and its blocks."""

import numpy as np
import numpy.testing as npt
import pytest
from scipy import stats

from inlaylab.fitting.model.priors import (
    KNEE,
    PRIORS,
    SHOP,
    TAIL,
    Layout,
    draw_prior,
    log_prior,
    shop_value,
    shortfall,
    shortfall_latent,
    shortfall_log_density,
    values,
    zero_error,
)

LAYOUT = Layout(bits=2, pairs=3, species=2, cuts=4, setups=1)
LAW = {
    "z_host": stats.norm(),
    "z_insert": stats.norm(),
    "z_setup": stats.norm(),
    "z_shortfall": stats.gumbel_l(),  # the logarithm of a unit exponential
}


def test_log_prior_is_the_sum_of_scipys_densities():
    rng = np.random.default_rng(1)
    one, other = 2 * rng.standard_normal((2, LAYOUT.size))

    def by_scipy(vector):
        blocks = LAYOUT.split(vector)
        return sum(LAW.get(name, stats.norm()).logpdf(block).sum() for name, block in blocks.items())

    ours = log_prior(LAYOUT.split(one)) - log_prior(LAYOUT.split(other))
    npt.assert_allclose(ours, by_scipy(one) - by_scipy(other), rtol=1e-12)


@pytest.mark.parametrize("name", SHOP)
def test_each_shop_value_has_the_law_its_prior_states(name):
    prior, z = PRIORS[name], np.linspace(-3, 3, 13)
    value = shop_value(name, z)
    if prior.kind == "log":
        chance = stats.lognorm(s=prior.spread, scale=prior.centre).cdf(value)
    elif prior.kind == "logit":
        chance = stats.norm(prior.centre, prior.spread).cdf(np.log(value / (1 - value)))
    else:
        chance = stats.norm(prior.centre, prior.spread).cdf(value)
    npt.assert_allclose(chance, stats.norm.cdf(z), atol=1e-12)


BODY = stats.expon(scale=0.02)
BEYOND = stats.genpareto(c=TAIL, scale=0.02, loc=KNEE * 0.02)


def test_shortfalls_are_exponential_with_a_generalised_pareto_tail():
    exponential = np.linspace(0.01, 12, 60)
    depth = shortfall(np.log(exponential), mean=0.02)
    knee = np.exp(-KNEE)
    chance = np.where(depth < KNEE * 0.02, BODY.cdf(depth), 1 - knee * BEYOND.sf(depth))
    npt.assert_allclose(chance, stats.expon.cdf(exponential), rtol=1e-10, atol=1e-12)
    npt.assert_allclose(shortfall_latent(depth, mean=0.02), np.log(exponential), rtol=1e-9, atol=1e-12)


def test_the_density_of_a_shortfall_is_its_laws():
    depth = np.array([0.001, 0.02, 0.079, 0.081, 0.3, 1.0])
    tail = BEYOND.logpdf(np.maximum(depth, KNEE * 0.02)) - KNEE
    expected = np.where(depth < KNEE * 0.02, BODY.logpdf(depth), tail)
    npt.assert_allclose(shortfall_log_density(depth, mean=0.02), expected, rtol=1e-10)


def test_a_huge_shortfall_latent_stays_finite():
    assert np.isfinite(shortfall(np.array([50.0, 700.0]), mean=0.02)).all()


def test_zero_errors_have_the_spread_and_bias_stated():
    layout = Layout(bits=0, pairs=0, species=0, cuts=4000, setups=0)
    host = layout.split(draw_prior(layout, np.random.default_rng(2), 5))["z_host"]
    errors = zero_error(host.ravel(), bias=0.01, spread=0.05)
    npt.assert_allclose([errors.mean(), errors.std()], [0.01, 0.05], atol=0.002)


def test_an_odd_seat_is_possible_where_an_odd_zero_is_not():
    # a plug that hung 1 mm high: by its seat, not by either board's zero
    assert np.exp(-KNEE) * BEYOND.sf(1.0) > 1e4 * stats.norm(0, 0.05).sf(1.0)


def test_every_latent_has_one_place():
    blocks = LAYOUT.split(np.arange(LAYOUT.size))
    npt.assert_array_equal(np.concatenate([np.ravel(block) for block in blocks.values()]), np.arange(LAYOUT.size))


def test_draws_of_the_prior_have_its_moments():
    draws = draw_prior(LAYOUT, np.random.default_rng(4), 20_000)
    for name, block in LAYOUT.split(draws).items():
        law = LAW.get(name, stats.norm())
        npt.assert_allclose(block.mean(), law.mean(), atol=0.05)
        npt.assert_allclose(block.std(), law.std(), rtol=0.05)


@pytest.mark.long
def test_jax_and_numpy_give_the_same_values():
    import jax.numpy as jnp

    vector, angles = draw_prior(LAYOUT, np.random.default_rng(5), 1)[0], np.array([60.0, 90.0])
    from_numpy = values(LAYOUT.split(vector), nominal_angles=angles)
    from_jax = values(LAYOUT.split(jnp.asarray(vector)), nominal_angles=angles)
    for name, value in from_numpy.items():
        npt.assert_allclose(np.asarray(from_jax[name]), value, rtol=1e-5, atol=1e-6)


def test_every_prior_says_its_meaning_and_unit():
    for prior in PRIORS.values():
        assert prior.meaning and prior.spread > 0 and prior.unit in ("mm", "degrees", "")
