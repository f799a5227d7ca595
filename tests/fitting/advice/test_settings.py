"""What turning path angle and outline offset is worth."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest

from inlaylab.fitting.advice.settings import VISIBLE, candidates
from inlaylab.fitting.advice.start_depth import advise

KNOWN = {"wear_rate": -9.0, "z_allowance": 0.0, "allowance_mean": 0.0, "spread": -2.0, "bias": 0.0, "opening_sd": -4.0}


def _tip(flat):
    return {"tip_flat_mean": np.log(flat / 0.08) / 0.4, "z_tip": 0.0}


def test_the_candidates_are_the_angle_and_offset_of_the_model(made_fit, small_shop, question):
    # a bit known to be 61 degrees with 0.15 mm of flat; wall allowance 0.02 mm: o = t - w
    fit = made_fit(small_shop, z_angle=2.0, **KNOWN, **_tip(0.15))
    found = candidates(fit, small_shop, question)
    npt.assert_allclose(found["angle"].path_angle_deg, 61.0, atol=0.051)
    npt.assert_allclose(found["both"].outline_offset, fit.values["tip_flat"].mean() - 0.02, atol=0.006)
    assert found["now"] == question and found["angle"].outline_offset == 0


def test_a_bit_far_from_its_nominal_angle_gains_by_its_true_one(made_fit, small_shop, question):
    fit = made_fit(small_shop, z_angle=4.0, **KNOWN, **_tip(0.02))
    # deep enough above the floor the walls hold; D + G is 4.1 and 5.5 mm, and T - T0 0.0235 for 62 and 60 degrees
    settings = advise(fit, small_shop, replace(question, between=(2.5, 3.0)), draws=2400).settings
    spread = (5.5 - 1.5 - 1.5 / np.tan(np.radians(30))) * (np.tan(np.radians(31)) - np.tan(np.radians(30)))
    npt.assert_allclose(settings["now"].worst_glue_line - settings["angle"].worst_glue_line, spread, atol=0.004)
    assert settings["angle"].worst_glue_line < settings["now"].worst_glue_line - VISIBLE
    assert settings["turned"].path_angle_deg == pytest.approx(62.0, abs=0.11)
    assert settings["angle"].gain_low <= settings["angle"].gain_high


def test_a_blunt_bit_that_stands_on_its_floor_gains_by_the_offset(made_fit, small_shop, question):
    # no floor gap to be had: the start depth is held at the pocket's depth, so nothing may sink
    fit = made_fit(small_shop, z_angle=0.0, **KNOWN, **_tip(0.2))
    asked = replace(question, between=(3.99, 4.0))
    settings = advise(fit, small_shop, asked, draws=2400).settings
    assert settings["turned"] is settings["offset"] or settings["turned"] is settings["both"]
    assert settings["offset"].worst_glue_line < settings["now"].worst_glue_line - 0.05


def test_nothing_is_turned_for_what_nobody_can_see(made_fit, small_shop, question):
    fit = made_fit(small_shop, z_angle=0.0, **KNOWN, **_tip(0.02))
    settings = advise(fit, small_shop, question, draws=2400).settings
    assert settings["turned"] == settings["now"]


def test_todays_own_settings_stay_todays(made_fit, small_shop, question):
    fit = made_fit(small_shop, z_angle=0.0, **KNOWN, **_tip(0.05))
    now = advise(fit, small_shop, replace(question, path_angle_deg=60.5, outline_offset=0.3), draws=1200).settings[
        "now"
    ]
    assert (now.path_angle_deg, now.outline_offset) == (60.5, 0.3)
    assert (now.gain_low, now.gain_high) == (0.0, 0.0)


def test_the_newest_floor_gap_kept_tells_what_the_start_depth_is_worth(made_fit, small_shop, question):
    # a bit with 0.2 mm of flat sinks 0.35 mm: what a floor gap of 0.05 mm lacks of it opens lines by tan(30 degrees)
    fit = made_fit(small_shop, z_angle=0.0, **KNOWN, **_tip(0.2))
    cuts = (*small_shop.cuts[:-1], replace(small_shop.cuts[-1], start_depth=3.95))
    settings = advise(fit, replace(small_shop, cuts=cuts), question, draws=2400).settings
    assert settings["kept"].start_depth == pytest.approx(3.95)
    lost = settings["kept"].worst_glue_line - settings["now"].worst_glue_line
    gap = settings["now"].start_depth - 3.95
    assert lost > 0.03 and lost == pytest.approx(-gap * np.tan(np.radians(30)), abs=0.03)
    assert settings["kept"].gain_low <= settings["kept"].gain_high <= 0.01
    other = replace(small_shop, cuts=(), readings=())
    assert "kept" not in advise(fit, other, question, draws=600).settings
