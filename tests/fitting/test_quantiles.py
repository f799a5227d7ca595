"""Draws summed up by quantiles."""

import statistics

import numpy as np
import pytest

from inlaylab.fitting.quantiles import QUANTILES, spread


def test_quantiles_are_those_of_the_standard_library():
    draws = np.random.default_rng(1).normal(3.6, 0.1, 2000)
    twentieths = statistics.quantiles(draws, n=20, method="inclusive")
    found = spread(draws, tuple(QUANTILES))
    for name, share in QUANTILES.items():
        assert found[name] == pytest.approx(twentieths[round(20 * share) - 1], abs=1e-12)
    assert spread(draws) == {name: found[name] for name in ("q05", "q50", "q95")}
