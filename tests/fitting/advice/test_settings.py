"""What turning the settings is worth, each by the physics of one known bit."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest

from inlaylab.fitting.advice.made_of import CAUSES
from inlaylab.fitting.advice.relief import relief_depth_needed
from inlaylab.fitting.advice.settings import better_values
from inlaylab.fitting.advice.start_depth import advise
from inlaylab.fitting.advice.worst_lines import HAIR, cloud

KNOWN = {"wear_rate": -9.0, "z_allowance": 0.0, "allowance_mean": 0.0, "spread": -2.0, "bias": 0.0, "opening_sd": -4.0}


def _tip(flat):
    return {"tip_flat_mean": np.log(flat / 0.08) / 0.4, "z_tip": 0.0}


def turned(settings):
    return {turn.what for turn in settings.turns}


def test_the_better_values_are_the_angle_and_offset_of_the_model(made_fit, small_shop, question):
    # a bit known to be 61 degrees with 0.15 mm of flat; wall allowance 0.02 mm: o = t - w
    fit = made_fit(small_shop, z_angle=2.0, **KNOWN, **_tip(0.15))
    here = cloud(fit, small_shop, question, draws=400)
    found = better_values(here, relief_depth_needed(here, 3.5))
    npt.assert_allclose(found["path angle"], 61.0, atol=0.051)
    npt.assert_allclose(found["outline offset"], fit.values["tip_flat"].mean() - 0.02, atol=0.006)
    assert "relief depth" not in found


def test_a_bit_far_from_its_nominal_angle_gains_by_its_true_one(made_fit, small_shop, question):
    fit = made_fit(small_shop, z_angle=4.0, **KNOWN, **_tip(0.02))
    # deep enough above the floor the walls hold; D + G is 4.1 and 5.5 mm, and T - T0 0.0235 for 62 and 60 degrees
    found = advise(fit, small_shop, replace(question, between=(2.5, 3.0)), draws=1200)
    spread = (5.5 - 1.5 - 1.5 / np.tan(np.radians(30))) * (np.tan(np.radians(31)) - np.tan(np.radians(30)))
    (turn,) = (turn for turn in found.settings.turns if turn.what == "path angle")
    assert turn.better == pytest.approx(62.0, abs=0.11) and turn.today == 60.0
    npt.assert_allclose(turn.gain, spread, atol=0.004)
    saved = found.settings.now.worst_glue_line - found.settings.turned.worst_glue_line
    assert saved >= turn.gain - 1e-12 and found.settings.turned.path_angle_deg == turn.better
    part = next(part for part in found.made_of.parts if part.cause == "path angle")
    npt.assert_allclose(part.adds, spread, atol=0.004)


def test_a_blunt_bit_that_stands_on_its_floor_gains_by_the_offset(made_fit, small_shop, question):
    # no floor gap to be had: the start depth is held at the pocket's depth, so nothing may sink
    fit = made_fit(small_shop, z_angle=0.0, **KNOWN, **_tip(0.2))
    found = advise(fit, small_shop, replace(question, between=(3.99, 4.0)), draws=1200).settings
    assert "outline offset" in turned(found)
    assert found.turned.worst_glue_line < found.now.worst_glue_line - 0.05


def test_a_shallow_relief_is_cut_deeper(made_fit, small_shop, question):
    # 0.2 mm of flat sinks 0.35 mm, more than the relief is deep: the backer holds the plug up
    fit = made_fit(small_shop, z_angle=0.0, **KNOWN, **_tip(0.2))
    found = advise(fit, small_shop, replace(question, relief_depth=0.2), draws=1200)
    assert 0.2 < found.relief_depth_needed < 0.4
    assert "relief depth" in turned(found.settings) or "outline offset" in turned(found.settings)
    assert found.made_of.largest_first[0].cause == "relief depth"


def test_nothing_is_turned_for_what_nobody_can_see(made_fit, small_shop, question):
    fit = made_fit(small_shop, z_angle=0.0, **KNOWN, **_tip(0.02))
    found = advise(fit, small_shop, question, draws=1200).settings
    assert found.turned == found.now and turned(found) <= {"start depth"}


@pytest.mark.long
def test_every_turn_gains_what_can_be_seen_and_they_stand_in_order(small_fit, small_shop, question):
    for relief in (0.3, 1.5):
        found = advise(small_fit, small_shop, replace(question, relief_depth=relief), draws=1200).settings
        gains = [turn.gain for turn in found.turns]
        assert all(gain >= HAIR for gain in gains) and gains == sorted(gains, reverse=True)


def test_todays_own_settings_stay_todays(made_fit, small_shop, question):
    fit = made_fit(small_shop, z_angle=0.0, **KNOWN, **_tip(0.05))
    now = advise(fit, small_shop, replace(question, path_angle_deg=60.5, outline_offset=0.3), draws=1200).settings.now
    assert (now.path_angle_deg, now.outline_offset) == (60.5, 0.3)


def test_the_newest_floor_gap_kept_tells_what_the_start_depth_is_worth(made_fit, small_shop, question):
    # a bit with 0.2 mm of flat sinks 0.35 mm: what a floor gap of 0.05 mm lacks of it opens lines by tan(30 degrees)
    fit = made_fit(small_shop, z_angle=0.0, **KNOWN, **_tip(0.2))
    cuts = (*small_shop.cuts[:-1], replace(small_shop.cuts[-1], start_depth=3.95))
    found = advise(fit, replace(small_shop, cuts=cuts), question, draws=1200).settings
    assert found.kept.start_depth == pytest.approx(3.95)
    (turn,) = (turn for turn in found.turns if turn.what == "start depth")
    assert turn.today == pytest.approx(3.95) and turn.better == found.now.start_depth
    assert turn.gain > 0.03
    other = replace(small_shop, cuts=(), readings=())
    assert advise(fit, other, question, draws=600).settings.kept is None


def test_the_parts_of_the_worst_line_add_up(small_fit, small_shop, question):
    found = advise(small_fit, small_shop, question, draws=1200)
    assert tuple(part.cause for part in found.made_of.parts) == CAUSES
    whole = sum(part.adds for part in found.made_of.parts)
    assert whole == pytest.approx(found.worst_glue_line.expected)
    assert all(part.adds >= -1e-12 for part in found.made_of.parts if part.cause != "local openings")
