"""An update is as good as a full fit, or becomes one and says why."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest
import simulated_shop
from other_sampler import differences

from inlaylab.errors import Stopped
from inlaylab.fitting import stored_fit
from inlaylab.fitting import update as room
from inlaylab.fitting.fit import fit_shop
from inlaylab.fitting.model.priors import values
from inlaylab.fitting.sampling.chains import Recipe
from inlaylab.fitting.update import Watch, update

LONG = Recipe(kept=800, longest=800)


def without(shop, name):
    kept = tuple(reading for reading in shop.readings if reading.cut != name)
    return replace(shop, cuts=tuple(cut for cut in shop.cuts if cut.cut != name), readings=kept)


def agree(ours, theirs):
    """Whether the means of two fits agree within their Monte Carlo errors."""
    each = (values(fit.names.layout().split(fit.draws), nominal_angles=fit.nominal_angles) for fit in (ours, theirs))
    names, in_errors, _ = differences(*each)
    worst = int(np.abs(in_errors).argmax())
    assert np.abs(in_errors).max() < 4, (names[worst], in_errors[worst])
    assert 0.6 < np.sqrt(np.mean(in_errors**2)) < 1.5


@pytest.mark.long
@pytest.mark.parametrize("seed", [21, 22])
def test_an_update_agrees_with_a_full_fit(seed):
    # the second has a bit, a pair and a species in its last cut that no earlier cut had
    last_is_new = seed == 22
    design, rng = simulated_shop.small_design(cuts=7), np.random.default_rng(seed)
    if last_is_new:
        other = simulated_shop.small_design(cuts=7, bits=2, pairs=3)
        design = replace(other, cuts=(*design.cuts[:6], replace(design.cuts[6], bit="bit2", pair="pair3")))
    shop = simulated_shop.Simulator(design, simulated_shop.planted(design, rng), rng).whole()
    before = without(shop, "k7")
    if last_is_new:
        before = replace(before, bits=before.bits[:1], pairs=before.pairs[:2])
    fit = update(fit_shop(before, seed=2), shop, seed=3, fingerprint="abc")
    assert fit.why_full in (("", "did not settle") if last_is_new else ("",))  # then a full fit followed by itself
    assert fit.updates == (0 if fit.why_full else 1) and fit.fingerprint == "abc" and fit.converged
    agree(fit, fit_shop(shop, seed=4, recipe=LONG))


@pytest.mark.long
def test_a_deleted_cut_is_forgotten(small_shop, small_fit):
    shop = without(small_shop, small_shop.cuts[2].cut)
    fit = update(small_fit, shop, seed=5)
    assert not fit.why_full and small_shop.cuts[2].cut not in fit.names.cuts
    agree(fit, fit_shop(shop, seed=6, recipe=LONG))


@pytest.mark.long
def test_the_first_answer_comes_before_the_last_and_a_seed_gives_it_again(small_shop, small_fit):
    early, told = [], []
    shop = without(small_shop, small_shop.cuts[-1].cut)
    watch = Watch(preview=early.append, progress=lambda *news: told.append(news))
    fit = update(small_fit, shop, seed=7, watch=watch)
    assert len(early) == 1 and early[0].names == fit.names and early[0].diagnostics.draws >= 100
    npt.assert_array_equal(update(small_fit, shop, seed=7).draws, fit.draws)
    assert 0 < told[0][0] < 0.1 and told[-1][0] == 1.0


@pytest.mark.parametrize(
    ("gate", "why"),
    [("R_HAT_GATE", "did not settle"), ("MOST_CHANGED", "much has changed"), (None, "no good fit before")],
)
def test_what_can_not_be_carried_over_becomes_a_full_fit_and_says_why(gate, why, small_shop, small_fit, monkeypatch):
    made = []

    def whole(shop, **how):
        made.append(how["seed"])
        return small_fit

    monkeypatch.setattr(room, "fit_shop", whole)
    before = small_fit if gate else replace(small_fit, carried=None)
    shop = without(small_shop, "k6")
    if gate:
        monkeypatch.setattr(room, gate, 0.0)
    if gate == "MOST_CHANGED":
        shop = without(shop, "k5")
    assert update(before, shop, seed=9).why_full == why and made == [9]


def test_an_update_can_be_stopped(small_shop, small_fit):
    with pytest.raises(Stopped):
        update(small_fit, small_shop, watch=Watch(stop=lambda: True))


def test_what_the_next_update_needs_is_kept_beside_the_log(small_shop, small_fit, tmp_path):
    log = tmp_path / "shop.inlay"
    stored_fit.save(replace(small_fit, updates=2, why_full="much has changed"), log)
    kept = stored_fit.read(log)
    assert (kept.updates, kept.why_full) == (2, "much has changed")
    assert kept.carried.step_size == small_fit.carried.step_size
    shop = without(small_shop, small_shop.cuts[-1].cut)
    npt.assert_array_equal(update(kept, shop).draws, update(small_fit, shop).draws)
