"""Jumps between places where chains have been: they leave the posterior as it is, and lead from hill to hill."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest
import simulated_shop
from scipy import stats

from inlaylab.fitting.kernel.packing import pack
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import KIT, draw_prior
from inlaylab.fitting.sampling import posterior
from inlaylab.fitting.sampling.chains import STRETCH, Recipe
from inlaylab.fitting.sampling.diagnostics import Diagnostics
from inlaylab.fitting.sampling.jumps import APART, BLOCKS, Jumps, leaned_on

DESIGN = observe(simulated_shop.small_design(cuts=3, bits=2, pairs=2))
LAYOUT = DESIGN.names.layout()


def made(seen, archive, *, seed=1):
    rng = np.random.default_rng(seed)
    return Jumps(pack(seen, KIT), layout=seen.names.layout(), archive=archive, rng=rng)


def test_a_cut_leans_on_its_own_bit_pair_woods_and_latents():
    at = LAYOUT.split(np.arange(LAYOUT.size))
    rows = leaned_on(pack(DESIGN, KIT), LAYOUT)
    assert rows.shape == (3, len(BLOCKS))
    for cut, row in enumerate(rows):
        assert row[0] == at["z_angle"][DESIGN.cuts.bit[cut]]
        assert row[2] == at["z_allowance"][DESIGN.cuts.pair[cut]]
        assert {row[3], row[4]} <= set(at["z_crest"])
        assert list(row[5:]) == [at[name][cut] for name in BLOCKS[5:]]


def test_jumps_leave_the_prior_as_it_is_whatever_the_archive():
    rng = np.random.default_rng(2)
    before = draw_prior(LAYOUT, rng, 800)
    after = before.copy()
    jumps = made(DESIGN, 0.3 + 0.8 * rng.standard_normal((4, 50, LAYOUT.size)))
    taken = jumps.leap(after, tries=60)
    assert taken > 0.1
    old, new = LAYOUT.split(before), LAYOUT.split(after)
    for name in dict.fromkeys(BLOCKS):
        law = stats.gumbel_l() if name == "z_shortfall" else stats.norm()  # the logarithm of a unit exponential
        assert np.mean(old[name] != new[name]) > 0.5, name
        assert stats.kstest(new[name][:, 0], law.cdf).pvalue > 1e-4, name
    left = [name for name in old if name not in BLOCKS]
    npt.assert_array_equal(LAYOUT.join(new | {n: old[n] for n in BLOCKS}), LAYOUT.join(old))
    assert left


def test_jumps_lead_from_one_hill_to_the_other():
    # no readings, so that the law is known; seen from one chain's hill the archive holds another
    rng = np.random.default_rng(3)
    at = LAYOUT.split(np.arange(LAYOUT.size))["z_tip"][0]
    archive = draw_prior(LAYOUT, rng, 400).reshape(2, 200, -1)
    archive[..., at] = [[1.5], [-1.5]] + 0.1 * rng.standard_normal((2, 200))
    places = np.zeros((50, LAYOUT.size))
    places[:, at] = 1.5
    jumps = made(DESIGN, archive)
    assert jumps.likely[np.asarray(DESIGN.cuts.bit) == 0].sum() > 0.9, "jumps are tried where chains differ"
    jumps.leap(places, tries=40)
    assert 0.3 < np.mean(places[:, at] < 0) < 0.7


class Chained:
    """Chains of two that disagree until they have been helped."""

    count, divergences, steps, scale, step_size = 2, 0, 1, None, 0.1
    recipe = Recipe(kept=STRETCH, longest=10 * STRETCH)

    def __init__(self):
        self.place, self.clouds, self.helped = np.array([[-1.0], [1.0]]), [], 0

    def advance(self):
        return np.repeat(self.place[:, None], STRETCH, axis=1)


@pytest.mark.parametrize("agree", [0.99 * APART, 1.01 * APART])
def test_a_run_begins_anew_with_jumps_where_chains_do_not_agree(agree):
    chains, archives = Chained(), []

    class Helped:
        def __init__(self, archive):
            archives.append(archive)

        def leap(self, places):
            chains.helped += 1
            places[...] = 0.0

    def judge(draws):
        apart = float(draws.std())
        good = Diagnostics(worst_r_hat=1.0, smallest_ess=900.0, worst_name="bias", divergences=0, draws=draws.size)
        bad = apart or chains.recipe.kept * 3 > draws.shape[1]
        return replace(good, worst_r_hat=agree if bad else 1.0)

    clock = posterior.Clock(total=STRETCH, progress=None, stop=None)
    run = posterior.keep(chains, clock, judge=judge, jumps=Helped)
    if agree > APART:
        assert len(archives) == 1 and archives[0].shape == (2, STRETCH, 1)
        assert chains.helped == run.draws.shape[1] / STRETCH
        npt.assert_array_equal(run.draws, 0.0)
        assert run.judged.worst_r_hat == 1.0
    else:
        assert not archives and chains.helped == 0
        assert run.draws.shape[1] >= chains.recipe.longest
