"""The sampler: what it drops, how it is stopped, that it can be repeated, and that it finds a known law."""

import numpy as np
import numpy.testing as npt
import pytest
import simulated_shop
from scipy import stats

from inlaylab.errors import Stopped
from inlaylab.fitting.fit import fit_shop
from inlaylab.fitting.sampling.chains import STRETCH, Recipe
from inlaylab.fitting.sampling.posterior import Clock
from inlaylab.fitting.sampling.scale import even_scale

TINY = Recipe(chains=4, tuning=40, kept=20, longest=20)


def test_even_scale_finds_a_normal_law():
    rng = np.random.default_rng(1)
    root = np.array([[1.0, 0.0, 0.0], [0.5, 0.3, 0.0], [-0.2, 0.05, 0.1]])  # no latent is wider than its prior
    draws = rng.standard_normal((5000, 3)) @ root.T
    covariance = root @ root.T
    scale = even_scale(draws, -draws @ np.linalg.inv(covariance))
    npt.assert_allclose(scale @ scale, covariance, rtol=0.06, atol=0.002)


def test_an_empty_log_gives_back_the_prior():
    shop = simulated_shop.small_design(cuts=0)
    fit = fit_shop(shop, recipe=Recipe(chains=8, tuning=120, kept=200, longest=200))
    assert fit.converged and fit.cuts == 0
    thinned = {name: block[::4] for name, block in fit.latents.items()}
    for name in ("bias", "tip_flat_mean", "z_angle", "z_crest", "wear_rate"):
        assert (
            stats.kstest(np.ravel(thinned[name].T[0] if thinned[name].ndim > 1 else thinned[name]), "norm").pvalue
            > 1e-3
        )
    npt.assert_allclose(
        np.quantile(fit.values["true_angle"], [0.05, 0.95]), 60 + 0.5 * stats.norm.ppf([0.05, 0.95]), atol=0.1
    )


def test_the_same_seed_gives_the_same_draws_and_progress_never_runs_back():
    shop, told = simulated_shop.small_design(cuts=0), []
    one = fit_shop(shop, seed=5, recipe=TINY, progress=lambda *news: told.append(news))
    again, other = (fit_shop(shop, seed=seed, recipe=TINY) for seed in (5, 6))
    npt.assert_array_equal(one.draws, again.draws)
    assert not np.array_equal(one.draws, other.draws)
    shares = [share for share, _, _ in told]
    assert shares == sorted(shares) and shares[-1] == 1.0
    assert {"reading the log", "tuning the sampler", "sampling"} <= {text for _, _, text in told}
    assert all(left is None or left >= 0 for _, left, _ in told)


def test_what_is_shown_never_falls_when_a_run_goes_on_for_longer_or_another_takes_over():
    told = []
    clock = Clock(total=10 * STRETCH, progress=lambda share, *_: told.append(share), stop=None)
    clock.say(0.1, 50.0, "preparing")
    for more in (0, 4 * STRETCH, 20 * STRETCH):
        clock.total += more
        while clock.done < clock.total:
            clock.tick("sampling")
    for share in (0.0, 0.5, 1.0):
        clock.rest()(share, None, "a full fit")
    assert told == sorted(told) and told[-1] == 1.0
    assert told[10] < 0.9 < told[-4] < 1.0  # something was kept back each time


@pytest.mark.parametrize("patience", [0, 3])
def test_a_stopped_fit_is_no_fit(patience, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    asked = []

    def stop():
        asked.append(1)
        return len(asked) > patience

    with pytest.raises(Stopped, match="the fit was stopped before it"):
        fit_shop(simulated_shop.small_design(cuts=0), recipe=TINY, stop=stop)
    assert len(asked) == patience + 1
    assert not list(tmp_path.iterdir())
