"""A small shop made up from known values, fitted once for all tests of the fit."""

from dataclasses import replace

import numpy as np
import pytest
import simulated_shop

from inlaylab.fitting.fit import Fit, fit_shop
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import KIT, draw_prior
from inlaylab.fitting.predict.question import Question
from inlaylab.fitting.sampling.chains import Recipe
from inlaylab.fitting.sampling.diagnostics import Diagnostics

SHORT = Recipe(chains=8, tuning=200, kept=100, longest=800)
FINE = Diagnostics(worst_r_hat=1.0, smallest_ess=1000.0, worst_name="bias", divergences=0, draws=1000)


@pytest.fixture(scope="session")
def short():
    """Recipe that is enough for a shop of six cuts."""
    return SHORT


@pytest.fixture(scope="session")
def planted():
    """Simulator of the small shop, with the values it was made from."""
    design, rng = simulated_shop.small_design(), np.random.default_rng(3)
    return simulated_shop.Simulator(design, simulated_shop.planted(design, rng), rng)


@pytest.fixture(scope="session")
def small_shop(planted):
    """One bit, two pairs, six cuts with readings, none of them a mistake."""
    return planted.whole()


@pytest.fixture(scope="session")
def small_fit(small_shop):
    return fit_shop(small_shop, recipe=SHORT)


@pytest.fixture(scope="session")
def spoiled(small_shop):
    """The same shop with one glue line typed in inches, its index, and the fit."""
    row = next(i for i, r in enumerate(small_shop.readings) if r.kind == "glue_line" and (r.value or 0) > 0.1)
    readings = list(small_shop.readings)
    readings[row] = replace(readings[row], value=readings[row].value / 25.4, limit=None)
    shop = replace(small_shop, readings=tuple(readings))
    return shop, row, fit_shop(shop, recipe=SHORT)


@pytest.fixture(scope="session")
def other_beliefs():
    """Starting beliefs that are not the kit's: other angles as sold, and bits that wear ten times as fast."""
    angle = replace(KIT.priors["angle_error"], centre=0.4, spread=0.2)
    wear = replace(KIT.priors["wear_rate"], centre=0.002, spread=0.3)
    return replace(KIT, priors={**KIT.priors, "angle_error": angle, "wear_rate": wear}, basis="pooled", shops=30)


@pytest.fixture(scope="session")
def question():
    return Question(bit="bit1", pair="pair1", pocket_depth=4.0, relief_depth=1.5, within=0.1, chance=0.9)


@pytest.fixture(scope="session")
def made_fit():
    """Make a fit of a shop without sampling: draws of the prior, with whatever latents are given set instead."""

    def make(shop, *, size=2000, diagnostics=FINE, **latents):
        names = observe(shop).names
        draws = draw_prior(names.layout(), np.random.default_rng(11), size)
        for name, block in names.layout().split(draws).items():
            if name in latents:
                block[...] = latents[name]
        return Fit(
            names=names,
            nominal_angles=np.array([bit.nominal_angle_deg for bit in shop.bits], float),
            draws=draws.reshape(4, -1, draws.shape[-1]),
            seed=1,
            cuts=len(shop.cuts),
            readings=len(shop.readings),
            seconds=1.0,
            diagnostics=diagnostics,
        )

    return make
