import numpy as np
import pytest

from inlaylab.fitting.model.beliefs import KIT
from inlaylab.fitting.review.beside_others import QUANTITIES, beside_others


def test_a_shop_one_spread_above_the_middle_lies_above_84_of_100(small_shop, made_fit):
    # The normal law's tables: 0.8413 lies below one standard deviation, 5 % below 1.6449.
    fit = made_fit(small_shop, bias=1.0, tip_flat_mean=1.0, allowance_mean=0.0)
    found = {place.name: place for place in beside_others(fit).places}
    assert tuple(found) == QUANTITIES
    for name in ("bias", "tip_flat_mean"):
        assert found[name].share == pytest.approx(0.8413, abs=1e-4)
    assert found["allowance_mean"].share == pytest.approx(0.5)
    bias = KIT.priors["bias"]
    assert found["bias"].others == pytest.approx(
        (bias.centre - 1.6449 * bias.spread, bias.centre, 1.6449 * bias.spread), abs=1e-4
    )
    assert found["bias"].own == pytest.approx([bias.spread] * 3)
    flat = KIT.priors["tip_flat_mean"]
    assert found["tip_flat_mean"].others[2] == pytest.approx(flat.centre * np.exp(1.6449 * flat.spread), rel=1e-3)
    assert beside_others(fit).shops == 0
