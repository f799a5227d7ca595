"""One fit after another of shops that are drawn from the priors themselves."""

import numpy as np
import simulated_shop

from inlaylab.fitting.fit import fit_shop
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import draw_prior, values
from inlaylab.fitting.sampling.chains import Recipe

QUANTITIES = (
    "true_angle", "tip_flat", "wall_allowance", "crest_loss", "half_filled", "bias", "spread", "shortfall_mean",
    "loupe_sd", "feeler_sd", "gauge_sd", "wedge_sd", "opening_sd", "across_shift", "fill_softness", "wear_rate",
)  # fmt: skip


def drawn_shop(seed, n):
    """A shop drawn from the prior, its readings with it, and the values it was made from."""
    rng = np.random.default_rng([seed, n])
    design = simulated_shop.small_design(cuts=5, pairs=2)
    names = observe(design).names
    vector = draw_prior(names.layout(), rng, 1)[0]
    truth = values(names.layout().split(vector), nominal_angles=np.array([60.0]))
    simulator = simulated_shop.Simulator(design, truth, rng)
    whole = simulator.whole()
    return whole, truth


class Calibration:
    """Where the truth ranks among the draws of one fit after another."""

    def __init__(self, seed, recipe=None):
        self.seed, self.recipe = seed, recipe or Recipe(chains=8, tuning=200, kept=200, longest=1000)

    def fit(self, n):
        """Fit of shop number n, and the truth."""
        shop, truth = drawn_shop(self.seed, n)
        return fit_shop(shop, seed=n, recipe=self.recipe), truth

    def ranks(self, n):
        """Share of the draws below the truth, by quantity; None where the fit is not sound."""
        fit, truth = self.fit(n)
        if not fit.converged:
            return None
        found = {}
        for name in QUANTITIES:
            found[name] = np.ravel(np.mean(fit.values[name] < truth[name], axis=0))[
                :1
            ]  # one of each: ranks of one fit hang together
        return found
