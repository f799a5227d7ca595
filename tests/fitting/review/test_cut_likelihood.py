"""What one cut says of everything else, against plain Monte Carlo over its own zero errors and shortfall."""

import numpy as np
import pytest
from scipy.special import logsumexp

from inlaylab.fitting.model.cut_seats import seat_levels
from inlaylab.fitting.model.likelihood import reading_terms
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.predict.draws import single_cut
from inlaylab.fitting.review.cut_likelihood import LASTING, log_chances_of_cut, only_cut, thinned


def test_only_its_own_readings_are_kept(small_shop):
    seen = observe(small_shop)
    mine = only_cut(seen, 2)
    name = small_shop.cuts[2].cut
    for kind in ("glue_line", "fill", "backer_gap", "wedge_stop"):
        assert mine.rows[kind]["row"].size == sum(r.kind == kind and r.cut == name for r in small_shop.readings)
        assert (mine.rows[kind]["cut"] == 0).all()
    assert mine.cuts.names == (name,) and mine.cuts.start_depth.shape == (1, 1)


def test_its_own_latents_are_averaged_out(small_fit, small_shop):
    fit, seen, at, some = thinned(small_fit, 120), observe(small_shop), 1, range(0, 120, 12)
    found = np.array([log_chances_of_cut(fit, seen, at, rng=np.random.default_rng(n))[some] for n in range(4)])
    mine, pieces, brute = only_cut(seen, at), 20_000, []
    for i in some:
        many = {name: np.repeat(fit.values[name][i : i + 1], pieces, axis=0) for name in LASTING}
        many |= single_cut(many, np.random.default_rng(i), (pieces, 1))
        terms = reading_terms(many, mine, seat_levels(many, mine.cuts)).values()
        brute.append(logsumexp(sum(mixed.sum(axis=-1) for mixed, _ in terms)) - np.log(pieces))
    # the estimate's noise is common to all draws, so that ratios between draws are what counts
    off = found - np.array(brute)
    assert np.abs(off - off.mean(axis=1, keepdims=True)).mean() < 0.2
    assert np.abs(off.mean()) < 0.3


def test_thinning_keeps_draws_of_the_fit(small_fit):
    few = thinned(small_fit, 10)
    assert few.draws.shape == (1, 10, small_fit.draws.shape[-1])
    assert np.isin(few.values["bias"], small_fit.values["bias"]).all()
    assert thinned(small_fit, 10**6).values["bias"] == pytest.approx(small_fit.values["bias"])
