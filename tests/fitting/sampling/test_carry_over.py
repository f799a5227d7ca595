"""Old draws carried over to a changed log: places, what counts as changed, and weights against a brute force."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest
import simulated_shop

from inlaylab.fitting.kernel.packing import pack
from inlaylab.fitting.model.cut_arrays import kept_places
from inlaylab.fitting.model.likelihood import log_density
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import KIT, draw_prior, log_prior
from inlaylab.fitting.sampling import carry_over as room
from inlaylab.fitting.sampling.carry_over import Log, carry_over, changed_cuts, cut_worth, weights_of

LASTING = ("fill", "wedge_stop")
"""Kinds of readings that do not look at their cut's seat."""


def log_of(shop):
    seen = observe(shop)
    return Log(names=seen.names, packed=pack(seen, KIT))


def without(shop, name):
    kept = tuple(reading for reading in shop.readings if reading.cut != name)
    return replace(shop, cuts=tuple(cut for cut in shop.cuts if cut.cut != name), readings=kept)


def nudged(shop, name):
    """The same log with one reading of a cut corrected."""
    row = next(n for n, r in enumerate(shop.readings) if r.cut == name and r.kind == "backer_gap")
    reading = shop.readings[row]
    other = replace(reading, value=reading.value + 0.05)
    return replace(shop, readings=(*shop.readings[:row], other, *shop.readings[row + 1 :]))


def likelihood(shop, z):
    """Log likelihood of a whole log, (…, size), by the plain models."""
    seen = observe(shop)
    layout = seen.names.layout()
    return log_density(z, seen=seen, layout=layout) - log_prior(layout.split(z))


def averaged(shop, cut, z, rng, size=8_000):
    """Log chance of one cut's readings at a draw, averaged over its own latents drawn from their prior."""
    layout = observe(shop).names.layout()
    at = [c.cut for c in shop.cuts].index(cut)
    other, drawn = np.tile(z, (size, 1)), layout.split(draw_prior(layout, rng, size))
    for name in ("z_host", "z_insert", "z_shortfall"):
        layout.split(other)[name][:, at] = drawn[name][:, at]
    silent = tuple(replace(c, outcome=None) if c.cut == cut else c for c in shop.cuts)
    rest = tuple(reading for reading in shop.readings if reading.cut != cut or reading.kind in LASTING)
    gains = likelihood(shop, other) - likelihood(replace(shop, cuts=silent, readings=rest), other)
    return np.logaddexp.reduce(gains) - np.log(size)


@pytest.fixture(scope="module")
def grown():
    """A shop of four cuts."""
    design, rng = simulated_shop.small_design(cuts=4), np.random.default_rng(8)
    return simulated_shop.Simulator(design, simulated_shop.planted(design, rng), rng).whole()


def test_latents_keep_their_values_whatever_is_added_or_taken_away():
    old = observe(simulated_shop.small_design(cuts=6)).names
    new = observe(simulated_shop.small_design(cuts=8, bits=2)).names
    new = replace(new, cuts=(new.cuts[7], *new.cuts[1:7]))
    places = kept_places(old, new)
    was = old.layout().split(np.arange(old.layout().size)[None])
    kept = new.layout().split(places[None])
    npt.assert_array_equal(kept["bias"], was["bias"])
    npt.assert_array_equal(kept["z_tip"], [[was["z_tip"][0, 0], -1]])
    npt.assert_array_equal(kept["z_insert"], [[-1, *was["z_insert"][0, 1:6], -1]])


def test_what_changed_is_what_was_added_corrected_or_deleted(small_shop):
    whole = log_of(small_shop)
    first, second, last = small_shop.cuts[0].cut, small_shop.cuts[1].cut, small_shop.cuts[-1].cut
    assert changed_cuts(whole, whole) == ([], [])
    assert changed_cuts(log_of(without(small_shop, last)), whole) == ([5], [])
    assert changed_cuts(whole, log_of(without(small_shop, first))) == ([], [0]), "more wear is no change of a cut"
    assert changed_cuts(whole, log_of(nudged(small_shop, second))) == ([1], [1])
    steeper = replace(small_shop, bits=(replace(small_shop.bits[0], nominal_angle_deg=90),))
    assert len(changed_cuts(whole, log_of(steeper))[0]) == 6


@pytest.mark.long
def test_a_cuts_worth_is_the_average_over_all_that_it_may_have_brought(grown, monkeypatch):
    monkeypatch.setattr(room, "POINTS", 20_000)
    log, rng = log_of(grown), np.random.default_rng(2)
    draws = 0.5 * draw_prior(log.names.layout(), rng, 4)
    worth, chosen = cut_worth(draws, log.packed, [1, 3], rng)
    assert chosen.shape == (4, 2, 3)
    for k, cut in enumerate(("k2", "k4")):
        slow = [averaged(grown, cut, z, rng) for z in draws]
        npt.assert_allclose(worth[:, k], slow, atol=0.2)  # 8,000 points and more each


def test_a_draw_gains_the_ratio_of_new_to_old_chances(grown, monkeypatch):
    # one cut corrected, one deleted, by the plain models alone
    monkeypatch.setattr(room, "POINTS", 20_000)
    rng = np.random.default_rng(3)
    new = nudged(without(grown, "k4"), "k1")
    draws = 0.3 * draw_prior(log_of(grown).names.layout(), rng, 3)
    carried, gain = carry_over(draws, log_of(grown), log_of(new), rng=rng)
    for z, y, found in zip(draws, carried, gain, strict=True):
        gone = averaged(grown, "k1", z, rng) + averaged(grown, "k4", z, rng)
        slow = averaged(new, "k1", y, rng) - gone + _lasting_alone(new, y) - _lasting_alone(grown, z)
        assert found == pytest.approx(slow, abs=0.3)  # six averages of 8,000 points and more each


def _lasting_alone(shop, z):
    """Log likelihood of fills, wedges, grooves and flats."""
    silent = tuple(replace(cut, outcome=None) for cut in shop.cuts)
    rest = tuple(reading for reading in shop.readings if reading.kind in LASTING)
    return float(likelihood(replace(shop, cuts=silent, readings=rest), z))


def test_weights_are_flattened_until_enough_draws_count():
    gain = np.random.default_rng(4).normal(0.0, 6.0, 300)
    plain, flat = weights_of(gain, wanted=2.0), weights_of(gain)
    assert flat.flattened and 100 <= 1 / np.sum(flat.share**2) < 130 < 300
    assert not weights_of(0.05 * gain).flattened and plain.k_hat > 0.7
    npt.assert_array_equal(np.argsort(flat.share)[-5:], np.argsort(gain)[-5:])


def test_even_weights_where_nothing_changed(small_shop, small_fit):
    log, rng = log_of(small_shop), np.random.default_rng(5)
    draws = small_fit.draws.reshape(-1, small_fit.draws.shape[-1])[::20]
    carried, gain = carry_over(draws, log, log, rng=rng)
    npt.assert_array_equal(carried, draws)
    npt.assert_array_equal(gain, np.zeros(len(draws)))
