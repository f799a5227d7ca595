"""Predictive draws: what lasts comes from the fit, what is new from its laws, what a cut brings is drawn afresh."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest
from scipy import stats

from inlaylab.bench.bits import Bit
from inlaylab.bench.cuts import Pair
from inlaylab.bench.shop import Shop
from inlaylab.errors import RecordError
from inlaylab.fitting.predict.draws import joined, scenario, single_cut


@pytest.fixture(scope="module")
def more(small_shop):
    """The small shop with a bit, and a pair of woods, that no cut has had."""
    return replace(
        small_shop,
        bits=(*small_shop.bits, Bit(bit="new", nominal_angle_deg=90, unit="mm")),
        pairs=(*small_shop.pairs, Pair(pair="new", host="oak", insert="padauk")),
    )


def test_what_lasts_is_the_fits(small_fit, small_shop):
    world = scenario(small_fit, small_shop, small_shop.cuts[:2], size=len(small_fit.values["bias"]))
    npt.assert_array_equal(np.sort(world.fitted["true_angle"][:, 0]), np.sort(small_fit.values["true_angle"][:, 0]))
    together = np.corrcoef(world.fitted["true_angle"][:, 0], world.fitted["tip_flat"][:, 0])[0, 1]
    inside = np.corrcoef(small_fit.values["true_angle"][:, 0], small_fit.values["tip_flat"][:, 0])[0, 1]
    npt.assert_allclose(together, inside, atol=1e-9)


def test_what_a_cut_brings_is_drawn_afresh(small_fit, small_shop):
    world = scenario(small_fit, small_shop, (small_shop.cuts[0],), size=4800)
    posterior = small_fit.values["host_zero_error"][:, 0]
    assert world.fitted["host_zero_error"].std() > 1.5 * posterior.std()


def test_a_single_cut_follows_the_shops_laws():
    shop = {"bias": np.full(20_000, 0.02), "spread": np.full(20_000, 0.05), "shortfall_mean": np.full(20_000, 0.02)}
    found = single_cut(shop, np.random.default_rng(1), (20_000, 1))
    npt.assert_allclose([found["host_zero_error"].mean(), found["host_zero_error"].std()], [0.02, 0.05], atol=0.002)
    npt.assert_allclose(np.median(found["shortfall"]), 0.02 * np.log(2), rtol=0.1)
    assert stats.spearmanr(found["host_zero_error"], found["insert_zero_error"]).pvalue > 1e-3


def test_a_new_bit_has_the_shops_law(small_fit, more, small_shop):
    cut = replace(small_shop.cuts[0], bit="new")
    fitted = scenario(small_fit, more, (cut,), size=9600).fitted
    npt.assert_allclose([fitted["true_angle"].mean(), fitted["true_angle"].std()], [90, 0.5], atol=0.03)
    values = small_fit.values
    law = np.log(values["tip_flat_mean"]), values["tip_flat_ratio"]
    spread = np.sqrt(law[0].var() + (law[1] ** 2).mean())
    npt.assert_allclose(np.log(fitted["tip_flat"]).mean(), law[0].mean(), atol=0.04)
    npt.assert_allclose(np.log(fitted["tip_flat"]).std(), spread, rtol=0.05)


def test_a_new_bits_angle_is_as_the_fit_believed(small_fit, more, small_shop, other_beliefs):
    fit = replace(small_fit, beliefs=other_beliefs)
    angle = scenario(fit, more, (replace(small_shop.cuts[0], bit="new"),), size=9600).fitted["true_angle"]
    npt.assert_allclose([angle.mean(), angle.std()], [90.4, 0.2], atol=0.012)


def test_a_loupe_on_a_new_bit_counts(small_fit, more, small_shop):
    cut, flats = replace(small_shop.cuts[0], bit="new"), []
    for read in (None, 0.02, 0.25):
        bits = (more.bits[0], replace(more.bits[1], tip_flat=read))
        flats.append(scenario(small_fit, replace(more, bits=bits), (cut,), size=4800).fitted["tip_flat"])
    assert np.median(flats[1]) < np.median(flats[0]) < np.median(flats[2])
    assert flats[1].std() < flats[0].std()


def test_a_new_pair_has_the_shops_law(small_fit, more, small_shop):
    fitted = scenario(small_fit, more, (replace(small_shop.cuts[0], pair="new"),), size=9600).fitted
    values = small_fit.values
    assert fitted["crest_loss"].shape == (9600, 2)
    npt.assert_allclose(fitted["wall_allowance"].mean(), values["allowance_mean"].mean(), atol=0.003)
    spread = np.sqrt(values["allowance_mean"].var() + (values["allowance_spread"] ** 2).mean())
    npt.assert_allclose(fitted["wall_allowance"].std(), spread, rtol=0.08)


def test_settings_are_compared_on_the_same_zeros(small_fit, small_shop):
    world = scenario(small_fit, small_shop, small_shop.cuts[:3], size=100, same_zeros=True)
    for name in ("host_zero_error", "insert_zero_error", "shortfall"):
        npt.assert_array_equal(world.fitted[name], world.fitted[name][:, :1] * np.ones(3))


def test_the_same_seed_gives_the_same_world(small_fit, small_shop):
    one, again = (scenario(small_fit, small_shop, small_shop.cuts[:2], size=200, seed=4) for _ in range(2))
    npt.assert_array_equal(one.seat_level(), again.seat_level())


def test_a_planned_record_counts_before_the_logs_own(small_shop):
    planned = Shop(bits=(replace(small_shop.bits[0], nominal_angle_deg=30), Bit(bit="x", nominal_angle_deg=90)))
    whole = joined(small_shop, planned)
    assert whole.bit("bit1").nominal_angle_deg == 30 and whole.bit("x").nominal_angle_deg == 90
    assert whole.cuts == small_shop.cuts and whole.readings == small_shop.readings


def test_a_name_that_nobody_knows_is_refused(small_fit, small_shop):
    with pytest.raises(RecordError, match=r"there is no such pair.*pair1"):
        scenario(small_fit, small_shop, (replace(small_shop.cuts[0], pair="pear"),), size=10)
