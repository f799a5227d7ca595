"""Moves beside the trajectories: they leave every law as it is, and what they promise not to touch."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest
import simulated_shop
from scipy import stats

from inlaylab.fitting.kernel.density import SHORTFALL
from inlaylab.fitting.kernel.moves import GROUPS, move_each
from inlaylab.fitting.kernel.packing import pack
from inlaylab.fitting.model.cut_seats import seat_levels
from inlaylab.fitting.model.likelihood import cut_terms, log_density
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import KIT, SHOP, draw_prior, log_prior, values

DESIGN = observe(simulated_shop.small_design(cuts=5, bits=3, pairs=3))
LAYOUT = DESIGN.names.layout()
GROUPED = [SHOP[i] for group in GROUPS for i in group[:2]]
MEMBERS_OF = {"z_tip", "z_allowance", "z_crest", "z_half_filled", "z_host", "z_insert", "z_setup", "z_shortfall"}
SHIFT = 0.19  # [mm]
MEMBERS = ("tip_flat", "wall_allowance", "crest_loss", "half_filled", "host_zero_error", "setup_error", "shortfall")


def many(vectors, seen, *, regroupings=0, reseatings=0, seed=1):
    """Apply moves again and again to many vectors."""
    found = np.ascontiguousarray(vectors)
    found = found.copy()
    move_each(found, pack(seen, KIT), np.random.default_rng(seed), regroupings, reseatings)
    return found


@pytest.mark.long
def test_regrouping_leaves_the_prior_as_it_is_and_moves_every_group():
    before = draw_prior(LAYOUT, np.random.default_rng(4), 3000)
    after = many(before, DESIGN, regroupings=30)
    for name, block in LAYOUT.split(after).items():
        if not block.size:
            continue
        law = stats.gumbel_l() if name == "z_shortfall" else stats.norm()  # the logarithm of a unit exponential
        column = block.reshape(len(after), -1)[:, 0]
        assert stats.kstest(column, law.cdf).pvalue > 1e-4, name
    for name in (*GROUPED, SHOP[SHORTFALL]):
        was, now = (LAYOUT.split(vectors)[name] for vectors in (before, after))
        assert np.mean(was != now) > 0.95, name
        assert np.corrcoef(was, now)[0, 1] < 0.95, name


def test_regrouping_leaves_every_member_where_it_is():
    before = draw_prior(LAYOUT, np.random.default_rng(5), 200)
    after = many(before, DESIGN, regroupings=10)
    was, now = (values(LAYOUT.split(v), nominal_angles=DESIGN.nominal_angles) for v in (before, after))
    for name in MEMBERS:
        npt.assert_allclose(now[name], was[name], rtol=1e-9, atol=1e-9)
    assert not np.allclose(now["tip_flat_mean"], was["tip_flat_mean"])


@pytest.fixture(scope="module")
def one_cut():
    design, rng = simulated_shop.small_design(cuts=1, pairs=1, gaps=(0.1,)), np.random.default_rng(3)
    shop = simulated_shop.Simulator(design, simulated_shop.planted(design, rng), rng).whole()
    return observe(shop)


def test_cut_terms_are_what_the_density_knows_of_the_cuts(one_cut):
    layout = one_cut.names.layout()
    two = draw_prior(layout, np.random.default_rng(6), 2)
    own = ("z_host", "z_insert", "z_shortfall")
    two[1] = layout.join(layout.split(two[0]) | {name: layout.split(two[1])[name] for name in own})
    fitted = values(layout.split(two), nominal_angles=one_cut.nominal_angles)
    terms = cut_terms(fitted, one_cut, seat_levels(fitted, one_cut.cuts)).sum(axis=-1)
    terms += log_prior({name: layout.split(two)[name] for name in own})
    whole = [float(log_density(vector, seen=one_cut, layout=layout)) for vector in two]
    npt.assert_allclose(terms[1] - terms[0], whole[1] - whole[0], rtol=1e-9)


@pytest.mark.long
def test_reseating_alone_finds_the_posterior_of_a_cut(one_cut):
    # what lasts is held; the reference weighs draws from the prior by how likely they make the cut's readings
    layout, rng = one_cut.names.layout(), np.random.default_rng(7)
    own = ("z_host", "z_insert", "z_shortfall")

    def with_own(draws):
        lasting = layout.split(np.zeros((len(draws), layout.size)))
        return layout.join(lasting | {name: layout.split(draws)[name] for name in own})

    prior = with_own(draw_prior(layout, rng, 400_000))
    fitted = values(layout.split(prior), nominal_angles=one_cut.nominal_angles)
    worth = cut_terms(fitted, one_cut, seat_levels(fitted, one_cut.cuts))[:, 0]
    weight = np.exp(worth - worth.max())
    weight /= weight.sum()
    assert 1 / np.sum(weight**2) > 300, "the reference itself must be sound"
    start = with_own(draw_prior(layout, rng, 3000))
    found = many(start, one_cut, reseatings=400)
    for name in own:
        old, new = (layout.split(vectors)[name][:, 0] for vectors in (prior, found))
        order = np.argsort(old)
        expected = np.interp([0.1, 0.5, 0.9], np.cumsum(weight[order]), old[order])
        below = np.mean(new[:, None] <= expected, axis=0)
        npt.assert_allclose(below, [0.1, 0.5, 0.9], atol=0.07, err_msg=name)
        assert stats.kstest(old[:3000], new).pvalue < 1e-3, f"{name}: the readings must tell"


@pytest.mark.long
def test_two_odd_readings_may_be_mistakes_or_an_odd_zero():
    # a floor gap and a plug's depth that are off by as much: a mistake each, or one zero error far out. The reference
    # adds up a fine grid of the cut's own latents; what lasts is held
    design, rng = simulated_shop.small_design(cuts=1, pairs=1, gaps=(0.1,)), np.random.default_rng(3)
    shop = simulated_shop.Simulator(design, simulated_shop.planted(design, rng), rng).whole()
    odd = {"floor_gap": SHIFT, "plug_depth": -SHIFT}
    readings = [replace(r, value=r.value + odd[r.kind]) if r.kind in odd else r for r in shop.readings]
    seen = observe(shop.with_cuts(shop.cuts, readings))
    layout = seen.names.layout()
    sides = (np.linspace(-4, 4, 41), np.linspace(-6.5, 3, 120), np.linspace(-6, 3.4, 48))
    own = dict(zip(("z_host", "z_insert", "z_shortfall"), np.meshgrid(*sides, indexing="ij"), strict=True))
    own = {name: column.reshape(-1, 1) for name, column in own.items()}
    grid = layout.join(layout.split(np.zeros((own["z_host"].size, layout.size))) | own)
    fitted = values(layout.split(grid), nominal_angles=seen.nominal_angles)
    worth = cut_terms(fitted, seen, seat_levels(fitted, seen.cuts))[:, 0] + log_prior(own)
    weight = np.exp(worth - worth.max())
    far = own["z_insert"][:, 0] < -2.5
    expected = weight[far].sum() / weight.sum()
    assert 0.2 < expected < 0.8, "both explanations must count"
    start = np.zeros((1000, layout.size))
    layout.split(start)["z_insert"][:500] = -4.0
    found = layout.split(many(start, seen, reseatings=600))["z_insert"][:, 0]
    for half in (found[:500], found[500:]):  # wherever they began
        npt.assert_allclose(np.mean(half < -2.5), expected, atol=0.06)


def test_a_move_changes_only_its_own_blocks(one_cut):
    layout = one_cut.names.layout()
    before = draw_prior(layout, np.random.default_rng(8), 50)
    after = many(before, one_cut, regroupings=24, reseatings=15)
    touched = {"shortfall_mean", *GROUPED, *MEMBERS_OF}
    for name, block in layout.split(after).items():
        assert np.array_equal(block, layout.split(before)[name]) == (name not in touched or block.size == 0), name
