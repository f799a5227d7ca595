"""The project's engine against a general sampler of another library on the same density."""

import numpy as np
import pytest
import simulated_shop
from other_sampler import differences, figures, nuts

from inlaylab.fitting.fit import fit_shop
from inlaylab.fitting.model.likelihood import log_density
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import values
from inlaylab.fitting.sampling.chains import Recipe


@pytest.mark.long
def test_means_agree_within_monte_carlo_errors():
    design, rng = simulated_shop.small_design(cuts=3, pairs=1), np.random.default_rng(12)
    shop = simulated_shop.Simulator(design, simulated_shop.planted(design, rng), rng).whole()
    fit = fit_shop(shop, recipe=Recipe(chains=8, tuning=200, kept=300, longest=300))
    seen = observe(shop)
    layout = seen.names.layout()
    draws, _, _ = nuts(
        lambda z: log_density(z, seen=seen, layout=layout),
        layout.size,
        seed=7,
        tuning=400,
        kept=600,
        depth=6,
    )
    ours, theirs = (values(layout.split(d), nominal_angles=seen.nominal_angles) for d in (fit.draws, draws))
    _, _, _, _, r_hat, size = figures(theirs)
    assert r_hat.max() < 1.05 and size.min() > 200, "the other sampler's own run must be sound"
    names, in_errors, in_deviations = differences(ours, theirs)
    worst = int(np.abs(in_errors).argmax())
    assert np.abs(in_errors).max() < 4, (names[worst], in_errors[worst], in_deviations[worst])
    assert np.abs(in_deviations).max() < 0.25
