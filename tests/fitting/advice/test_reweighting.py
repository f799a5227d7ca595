"""The advice under other weights, against quantiles by NumPy and textbook laws."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from inlaylab.fitting.advice.reweighting import BINS, Cloud, cloud, weigh
from inlaylab.fitting.predict.question import Question


def cloud_of(depths, *, chance=0.9, low=2.0, high=4.0):
    """A cloud whose pieces are given, with no scenario behind it."""
    asked = Question(
        bit="b", pair="p", pocket_depth=4, relief_depth=1.5, within=0.1, chance=chance, between=(low, high)
    )
    edges = np.linspace(high, low, BINS + 1)
    shares = np.array(
        [np.append(np.histogram(row, np.append(edges[::-1], np.inf))[0][:BINS][::-1], 0) for row in depths]
    )
    shares[:, -1] = (np.asarray(depths) < low).sum(axis=1)
    shares = shares / np.asarray(depths).shape[1]
    right = np.quantile(np.clip(depths, low, high), 1 - chance, axis=1)
    return Cloud(world=None, edges=edges, shares=shares, right=right, question=asked)


@pytest.fixture(scope="module")
def depths():
    rng = np.random.default_rng(1)
    return 3.0 + 0.2 * rng.standard_normal((400, 1)) + 0.05 * rng.standard_normal((400, 50))


def test_equal_weights_give_the_quantile(depths):
    found = weigh(cloud_of(depths), np.ones((400, 1)))
    assert found.start_depth[0] == pytest.approx(np.quantile(depths, 0.1), abs=0.004)
    assert [found.moved[0], found.worth[0]] == pytest.approx([0, 0], abs=1e-12)
    assert found.effective[0] == pytest.approx(1.0)


def test_weights_act_like_repeated_draws(depths):
    weights = np.random.default_rng(2).integers(0, 4, 400)
    found = weigh(cloud_of(depths), weights[:, None])
    assert found.start_depth[0] == pytest.approx(np.quantile(np.repeat(depths, weights, axis=0), 0.1), abs=0.004)
    # Kish's effective sample size: (sum w)^2 / sum w^2
    assert found.effective[0] == pytest.approx(weights.sum() ** 2 / (weights**2).sum() / 400)


def test_the_worth_of_a_reading_is_the_textbooks():
    # Normal law, from memory of the standard result: the least pinball loss at p of a normal law with spread s is
    # s phi(z_p), so a reading that narrows the law from s0 to s1 is worth (s0 - s1) phi(z_p).
    rng = np.random.default_rng(3)
    prior, piece, reading = 0.2, 0.05, 0.08
    centre = 3.0 + prior * rng.standard_normal(6000)
    here = cloud_of(centre[:, None] + piece * norm.ppf((np.arange(40) + 0.5) / 40))
    seen = centre[:300] + reading * rng.standard_normal(300)
    found = weigh(here, norm.pdf(seen, centre[:, None], reading))
    after = 1 / np.sqrt(1 / prior**2 + 1 / reading**2)
    saved = (np.hypot(prior, piece) - np.hypot(after, piece)) * norm.pdf(norm.ppf(0.1))
    assert found.worth.mean() == pytest.approx(saved, rel=0.12)
    # the advice is the centre less a constant, so it moves as the posterior mean does
    assert found.moved.std() == pytest.approx(np.sqrt(prior**2 - after**2), rel=0.1)
    assert found.near.mean() > 0.7


def test_where_no_depth_serves_the_deepest_that_is_as_good_counts():
    depths = np.full((10, 100), -np.inf)
    depths[:, :50] = 3.2
    found = weigh(cloud_of(depths), np.ones((10, 1)))
    assert not found.serves[0]
    assert found.start_depth[0] == pytest.approx(3.2, abs=0.006)


def test_no_weight_at_all_is_told(depths):
    found = weigh(cloud_of(depths), np.zeros((400, 1)))
    assert found.effective[0] == 0 and np.isfinite(found.start_depth[0])


def test_a_cloud_advises_as_advise_does(small_shop, made_fit, question):
    from inlaylab.fitting.advice.start_depth import advise

    fit = made_fit(small_shop, size=4000)
    asked = replace(question, chance=0.6)
    here = cloud(fit, small_shop, asked, draws=4000)
    found = weigh(here, np.ones((4000, 1)))
    assert here.shares.sum(axis=1) == pytest.approx(1.0)
    assert found.start_depth[0] == pytest.approx(advise(fit, small_shop, asked).start_depth, abs=0.04)


def test_further_use_never_deepens_the_right_depth(small_shop, made_fit, question):
    fit = made_fit(small_shop, size=400)
    now, later = (cloud(fit, small_shop, question, draws=400, further_use=use) for use in (0.0, 100.0))
    assert np.median(later.right - now.right) < 0
