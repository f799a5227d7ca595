"""Wear of a bit: planted rates come back, and uncertain wear says so."""

import numpy as np
import numpy.testing as npt
import pytest

from inlaylab.errors import InputError
from inlaylab.models.wear import flat_growth_allowed, wear


def test_a_planted_rate_comes_back_with_its_uncertainty():
    rng = np.random.default_rng(3)
    metres = np.linspace(10, 400, 12)
    due, within = [], []
    for _ in range(200):
        flats = 0.05 + 3e-4 * (metres - 10) + rng.normal(0, 0.01, metres.size)
        found = wear(metres, flats, change_allowed=0.09, value_uncertainty=0.01)
        due.append(found.due_at)
        within.append(abs(found.due_at - 310) < found.due_at_uncertainty)
    npt.assert_allclose(np.mean(due), 310, rtol=0.02)
    assert 0.58 < np.mean(within) < 0.78


def test_an_angle_that_shrinks_wears_too():
    found = wear([0, 100, 200], [60.0, 59.8, 59.6], change_allowed=-1.0, value_uncertainty=0.1)
    npt.assert_allclose(found.due_at, 500)


def test_no_wear_is_never_due_and_a_noisy_one_is_not_certain():
    still = wear([0, 100, 200], [0.1, 0.1, 0.1], change_allowed=0.05, value_uncertainty=0.01)
    assert still.due_at == np.inf
    noisy = wear([0, 100, 200], [0.1, 0.13, 0.11], change_allowed=0.05, value_uncertainty=0.03)
    assert not noisy.certain


def test_flat_growth_at_90_degrees_is_the_gap():
    npt.assert_allclose(flat_growth_allowed(spare_floor_gap=[0.1, 0.2], true_angle=90), [0.1, 0.2])


def test_no_change_allowed_is_refused():
    with pytest.raises(InputError, match="some change must be allowed"):
        wear([0, 1], [1, 2], change_allowed=0.0, value_uncertainty=0.1)
