"""The rule for the start depth: the closed form where nothing is uncertain, and quantiles by NumPy where it is."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest
from random_sections import closed_form, random_section

from inlaylab.fitting.advice.depth_rule import BLOCK, DepthRule, Ordered
from inlaylab.fitting.advice.worst_lines import HAIR, Cloud
from inlaylab.fitting.predict.question import Question
from inlaylab.models import seating
from inlaylab.models.start_depths import worst_line

ZEROS = ("host_zero_error", "insert_zero_error", "seat_shortfall")


def certain(section, question, *, draws=3, pieces=4):
    """A cloud whose pieces are all the same."""
    some = {name: value for name, value in section.items() if name not in ZEROS}
    same = {name: np.full((draws, pieces), section[name]) for name in ZEROS}
    some["true_angle"] = np.full((draws, 1), section["true_angle"])
    law = worst_line(some, **same)
    return Cloud(question=question, world=None, single=same, law=law)


def test_without_spread_the_start_depth_is_the_bend_of_the_closed_form_at_500_random_sections():
    rng, kinds = np.random.default_rng(9), {"bend": 0, "pocket": 0, "limit": 0, "out of reach": 0}
    for _ in range(500):
        section = closed_form(random_section(rng)) | {"seat_shortfall": float(rng.exponential(0.02))}
        section.pop("start_depth")
        pocket = max(section["pocket_depth"], 0.3)
        section["pocket_depth"] = pocket
        within = float(rng.uniform(0.005, 0.4))
        asked = Question(bit="b", pair="p", pocket_depth=pocket, relief_depth=1, within=within, chance=0.9)
        low, high = asked.span
        found = DepthRule(certain(section, asked)).go_by()
        depth, limit = found.start_depth[0], found.limit[0]

        def line(start_depth, section=section):
            return float(seating.seat(**section, start_depth=start_depth).glue_line.max())

        assert low <= depth <= pocket
        assert line(depth) <= line(low) + HAIR + 1e-9
        if not np.isfinite(limit):
            assert line(low) > within
            kinds["out of reach"] += 1
        else:
            assert limit >= depth - 1e-12 and line(limit) <= within + 1e-9
        if np.isfinite(limit) and depth == limit < high:
            assert line(min(depth + 1e-5, high)) > within - 1e-9
            kinds["limit"] += 1
        elif depth < pocket:
            assert line(depth + 1e-5) > line(low) + HAIR - 1e-9
            kinds["bend"] += 1
        else:
            kinds["pocket"] += 1
    assert kinds["bend"] > 100 and min(kinds.values()) > 0, kinds


@pytest.fixture(scope="module")
def depths():
    rng = np.random.default_rng(1)
    return 3.0 + 0.2 * rng.standard_normal((400, 1)) + 0.05 * rng.standard_normal((400, 50))


@pytest.mark.parametrize("share", [0.5, 0.9, 0.95])
def test_the_deepest_that_a_share_allows_is_a_quantile(depths, share):
    found = Ordered.of(depths).deepest(share)[0]
    assert np.mean(depths >= found) >= share > np.mean(depths > found)


def test_weights_act_like_repeated_draws(depths):
    weights = np.random.default_rng(2).integers(0, 4, (400, 3)).astype(float)
    ordered = Ordered.of(depths)
    again = [Ordered.of(np.repeat(depths, w.astype(int), axis=0)).deepest(0.95)[0] for w in weights.T]
    npt.assert_allclose(ordered.deepest(0.95, weights), again, atol=1e-12)
    npt.assert_allclose(ordered.deepest(0.95, np.ones((400, 1))), ordered.deepest(0.95))
    assert len(ordered.values) % BLOCK  # the last block is not whole


def test_pieces_up_to_a_depth_are_weighed_as_they_are(depths):
    weights = np.random.default_rng(3).random((400, 2))
    cuts = np.array([2.9, 3.1])
    weight, moment, total, total_moment = Ordered.of(depths).up_to(cuts, weights)
    for n, cut in enumerate(cuts):
        each = np.broadcast_to(weights[:, n, None], depths.shape)
        assert weight[n] == pytest.approx(each[depths <= cut].sum())
        assert moment[n] == pytest.approx((each * depths)[depths <= cut].sum())
        assert total[n] == pytest.approx(each.sum()) and total_moment[n] == pytest.approx((each * depths).sum())


def test_more_tolerance_never_makes_it_shallower():
    rng = np.random.default_rng(4)
    section = closed_form(random_section(rng)) | {"seat_shortfall": 0.0}
    section.pop("start_depth")
    asked = Question(bit="b", pair="p", pocket_depth=section["pocket_depth"], relief_depth=1, within=0.02)
    found = [
        DepthRule(certain(section, replace(asked, within=within))).go_by().start_depth[0]
        for within in (0.05, 0.1, 0.2, 0.4)
    ]
    assert (np.diff(found) >= 0).all()
