"""The advice under other weights, against textbook laws."""

import numpy as np
import pytest
from scipy.stats import norm

from inlaylab.fitting.advice.reweighting import Reweighting
from inlaylab.fitting.advice.start_depth import go_by
from inlaylab.fitting.advice.worst_lines import Cloud, cloud
from inlaylab.fitting.model.cut_arrays import Names, cut_arrays
from inlaylab.fitting.predict.draws import Scenario
from inlaylab.fitting.predict.question import Question

SLOPE = np.tan(np.radians(30))


@pytest.fixture
def cloud_of(small_shop):
    """A cloud whose bends are given."""

    def make(bends, *, limits=None, low=2.0, high=4.0):
        asked = Question(bit="bit1", pair="pair1", pocket_depth=4, relief_depth=1.5, within=0.1, between=(low, high))
        names = Names(bits=("bit1",), pairs=("pair1",), species=("maple", "walnut"), cuts=())
        cuts = cut_arrays(small_shop, (asked.cut(2.0),), names)
        world = Scenario(fitted={}, cuts=cuts, rng=np.random.default_rng(0))
        made = Cloud(question=asked, world=world, single={}, law=None)
        vars(made).update(bends=bends, limits=np.full(bends.shape, np.inf) if limits is None else limits)
        return Reweighting(made)

    return make


@pytest.fixture(scope="module")
def depths():
    rng = np.random.default_rng(1)
    return 3.0 + 0.2 * rng.standard_normal((400, 1)) + 0.05 * rng.standard_normal((400, 50))


def test_equal_weights_change_nothing(depths, cloud_of):
    found = cloud_of(depths).weigh(np.ones((400, 1)))
    assert found.start_depth[0] == pytest.approx(np.quantile(depths, 0.05), abs=0.001)
    assert [found.moved[0], found.worth[0]] == pytest.approx([0, 0], abs=1e-12)
    assert found.effective[0] == pytest.approx(1.0) and found.reached[0]


def test_effective_draws_are_kishs(depths, cloud_of):
    weights = np.random.default_rng(2).integers(0, 4, 400).astype(float)
    found = cloud_of(depths).weigh(weights[:, None])
    # Kish's effective sample size: (sum w)^2 / sum w^2
    assert found.effective[0] == pytest.approx(weights.sum() ** 2 / (weights**2).sum() / 400)


@pytest.mark.long
def test_the_worth_of_a_reading_is_the_textbooks(cloud_of):
    # Normal law, from memory of the standard result: the least pinball loss at p of a normal law with spread s is
    # s phi(z_p), so a reading that narrows the law from s0 to s1 is worth (s0 - s1) phi(z_p). Glue line and depth are
    # weighed as slope / 0.95 times the pinball loss at 0.05.
    rng = np.random.default_rng(3)
    prior, piece, reading = 0.2, 0.05, 0.08
    centre = 3.0 + prior * rng.standard_normal(6000)
    here = cloud_of(centre[:, None] + piece * norm.ppf((np.arange(40) + 0.5) / 40))
    seen = centre[:300] + reading * rng.standard_normal(300)
    found = here.weigh(norm.pdf(seen, centre[:, None], reading))
    after = 1 / np.sqrt(1 / prior**2 + 1 / reading**2)
    saved = (np.hypot(prior, piece) - np.hypot(after, piece)) * norm.pdf(norm.ppf(0.05))
    assert found.worth.mean() == pytest.approx(saved * SLOPE / 0.95, rel=0.2)
    # the advice is the centre less a constant, so it moves as the posterior mean does
    assert found.moved.std() == pytest.approx(np.sqrt(prior**2 - after**2), rel=0.1)
    # the right depth lies above it by the caution for what is not known, and scatters as that does
    ahead = norm.ppf(0.95) * (np.hypot(after, piece) - piece)
    within = norm.cdf(0.1, ahead, after) - norm.cdf(-0.1, ahead, after)
    assert found.near.mean() == pytest.approx(within, abs=0.05)


def test_glue_line_and_depth_are_told_apart(cloud_of):
    # two draws of one piece each: 3.0 and 3.4 mm; today's rule goes by 3.0
    here = cloud_of(np.array([[3.0], [3.4]]))
    found = here.weigh(np.array([[0.0], [1.0]]))
    assert found.start_depth[0] == 3.4 and found.line_saved[0] == pytest.approx(0, abs=1e-12)
    assert found.depth_saved[0] == pytest.approx(0.4 * SLOPE / 19)


def test_a_limit_out_of_reach_is_told_and_does_not_bind(depths, cloud_of):
    found = cloud_of(depths, limits=np.full(depths.shape, -np.inf)).weigh(np.ones((400, 1)))
    assert not found.reached[0] and found.start_depth[0] == pytest.approx(np.quantile(depths, 0.05), abs=0.001)


def test_no_weight_at_all_is_told(depths, cloud_of):
    found = cloud_of(depths).weigh(np.zeros((400, 1)))
    assert found.effective[0] == 0 and np.isfinite(found.start_depth[0])


def test_it_goes_by_the_depth_that_advise_gives(small_shop, made_fit, question):
    fit = made_fit(small_shop, size=2000, tip_flat_mean=-1.0, z_tip=0.0)
    here = Reweighting(cloud(fit, small_shop, question, seed=4))
    assert here.today == pytest.approx(go_by(fit, small_shop, question)[2], abs=0.03)


def test_further_use_never_deepens_the_right_depth(small_shop, made_fit, question):
    fit = made_fit(small_shop, size=400)
    now, later = (
        Reweighting(cloud(fit, small_shop, question, draws=400, further_use=use)).if_known for use in (0.0, 100.0)
    )
    assert np.median(later - now) < 0
