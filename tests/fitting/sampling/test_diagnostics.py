"""Whether chains agree, and how it is said."""

import numpy as np
import pytest
from arviz_stats.base import array_stats

from inlaylab.fitting.sampling.diagnostics import Diagnostics, diagnose


def test_figures_are_the_worst_over_every_quantity():
    rng = np.random.default_rng(1)
    quantities = {"bias": rng.standard_normal((4, 200)), "tip_flat": rng.standard_normal((4, 200, 3)).cumsum(axis=1)}
    found = diagnose(quantities, divergences=2)
    # arviz-stats by itself: rank-normalised split R-hat and bulk effective sample size
    by_hand = [
        array_stats.rhat(quantities["tip_flat"][..., i], chain_axis=0, draw_axis=1, method="rank") for i in range(3)
    ]
    assert found.worst_r_hat == pytest.approx(max(by_hand), rel=1e-12)
    sizes = [
        array_stats.ess(part, chain_axis=0, draw_axis=1, method="bulk")
        for part in (quantities["bias"], *np.moveaxis(quantities["tip_flat"], -1, 0))
    ]
    assert found.smallest_ess == pytest.approx(min(sizes), rel=1e-9)
    assert (found.worst_name, found.divergences, found.draws) == ("tip_flat", 2, 800)


def test_one_chain_in_another_place_is_seen():
    draws = np.random.default_rng(2).standard_normal((4, 300))
    assert diagnose({"bias": draws}).converged
    draws[2] += 2.0
    found = diagnose({"bias": draws})
    assert not found.converged
    assert "do not agree yet about bias" in found.in_words() and "fit again with another --seed" in found.in_words()


def test_slow_chains_are_seen():
    draws = np.random.default_rng(3).standard_normal((4, 300)).cumsum(axis=1) / 5
    found = diagnose({"shortfall_mean": draws})
    assert not found.converged and "shortfall mean" in found.in_words()


def test_many_divergences_are_no_agreement():
    fine = {"worst_r_hat": 1.001, "smallest_ess": 900.0, "worst_name": "bias", "draws": 1000}
    assert Diagnostics(**fine, divergences=20).converged
    assert not Diagnostics(**fine, divergences=21).converged


def test_agreement_is_said_with_its_figures():
    words = Diagnostics(worst_r_hat=1.004, smallest_ess=612, worst_name="bias", divergences=0, draws=2000).in_words()
    assert words.startswith("The chains agree") and "1.004" in words and "612" in words
