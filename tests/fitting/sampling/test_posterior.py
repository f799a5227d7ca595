"""The sampler: what it drops, how it is stopped, that it can be repeated, and that it finds a known law."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest
import simulated_shop
from scipy import stats

from inlaylab.errors import Stopped
from inlaylab.fitting.fit import fit_shop
from inlaylab.fitting.model.cut_seats import contact_levels_at, seat_levels
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import draw_prior, values
from inlaylab.fitting.sampling.chains import Recipe, even_scale
from inlaylab.fitting.sampling.posterior import likely_contacts, overlooked

TINY = Recipe(chains=4, tuning=40, kept=20, longest=20)


@pytest.fixture(scope="module")
def seen():
    return observe(simulated_shop.small_design(cuts=8, pairs=3))


def test_dropping_contacts_changes_no_seat_of_ordinary_draws(seen):
    layout = seen.names.layout()
    strokes = likely_contacts(seen, layout)
    assert all(lists.real.sum() < 0.7 * seen.cuts.real.sum() for lists in strokes.values())
    draws = draw_prior(layout, np.random.default_rng(8), 400)
    fitted = values(layout.split(draws), nominal_angles=seen.nominal_angles)
    lifts = seat_levels(fitted, seen.cuts) - seat_levels(fitted, seen.cuts, strokes)
    npt.assert_allclose(overlooked(draws[::2], seen, layout, strokes), lifts[::2].max(), atol=1e-12)
    assert (lifts >= 0).all() and (lifts > 1e-9).mean() < 1e-3


def test_a_fit_has_overlooked_no_contact(small_fit, small_shop):
    seen = observe(small_shop)
    layout = seen.names.layout()
    every = small_fit.draws.reshape(-1, layout.size)
    fitted = values(layout.split(every), nominal_angles=seen.nominal_angles)
    strokes = likely_contacts(seen, layout, seed=small_fit.seed)
    npt.assert_array_equal(seat_levels(fitted, seen.cuts, strokes), seat_levels(fitted, seen.cuts))
    assert overlooked(small_fit.draws, seen, layout, strokes) == 0


def test_a_contact_that_counts_is_missed_when_it_is_dropped(seen):
    layout = seen.names.layout()
    draws = draw_prior(layout, np.random.default_rng(9), 200)
    fitted = values(layout.split(draws), nominal_angles=seen.nominal_angles)
    strokes = likely_contacts(seen, layout)
    tips = contact_levels_at(fitted, seen.cuts)[1]
    assert np.isfinite(tips).any()
    blind = strokes | {"tip": replace(strokes["tip"], real=np.zeros_like(strokes["tip"].real))}
    assert overlooked(draws, seen, layout, blind) > 0.05


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
    assert {"building the model", "tuning the sampler", "sampling"} <= {text for _, _, text in told}
    assert all(left is None or left >= 0 for _, left, _ in told)


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
