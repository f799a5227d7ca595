"""Short form of simulation-based calibration (the long one: tests/benchmarks/calibration.py)."""

import os

import numpy as np
import pytest
from calibrating import QUANTITIES, Calibration
from scipy import stats

SHOPS = int(os.environ.get("INLAYLAB_CALIBRATION_SHOPS", "6"))


@pytest.mark.long
def test_truths_rank_evenly_among_the_draws():
    study = Calibration(21)
    found = [study.ranks(n) for n in range(SHOPS)]
    sound = [ranks for ranks in found if ranks is not None]
    assert len(sound) >= SHOPS - 1
    # few shops: all quantities together; they hang together within a shop, so each shop counts as a handful
    ranks = np.array([[ranks[name][0] for name in QUANTITIES] for ranks in sound])
    assert ranks.size == len(sound) * len(QUANTITIES)
    inside = np.mean(np.abs(ranks - 0.5) <= 0.45)
    half = np.mean(np.abs(ranks - 0.5) <= 0.25)
    assert inside > 0.8, f"the central 90 % hold {inside:.0%}"
    assert 0.33 < half < 0.67, f"the central 50 % hold {half:.0%}"
    assert stats.kstest(ranks.ravel(), "uniform").statistic < 0.2
