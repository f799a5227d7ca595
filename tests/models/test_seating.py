"""The seat against a brute-force envelope, hand cases, and the depth that is still good."""

import numpy as np
import numpy.testing as npt
import pytest
from envelope import STEP, stand_off, wall_gaps
from hypothesis import given
from hypothesis import strategies as st
from random_sections import closed_form, random_section

from inlaylab.models import seating
from inlaylab.models.walls import half_tangent

WIDE = {"start_depth": 4.0, "pocket_depth": 5.0, "relief_depth": 3.0, "land_half_width": 9.0}


def test_200_random_sections_agree_with_the_brute_force_envelope():
    # The envelope of the real bit, cut on a grid of 0.002 mm: tests/reference/envelope.py.
    rng = np.random.default_rng(20260101)
    held = set()
    measured = 0
    for _ in range(200):
        section = random_section(rng)
        height, gaps = wall_gaps(section)
        rest = seating.seat(**closed_form(section))
        grid = STEP / half_tangent(section.bit.true_angle)
        npt.assert_allclose(rest.stand_off, height, atol=grid, err_msg=str(section))
        left_and_right = gaps.T.ravel()
        seen = np.isfinite(left_and_right)
        npt.assert_allclose(rest.wall_gap[seen], left_and_right[seen], atol=STEP, err_msg=str(section))
        held.add(str(rest.held_up_by))
        measured += seen.sum()
    assert held >= {"wall", "floor", "crest", "backer"}
    assert measured > 400


@given(st.integers(0, 2**32 - 1))
def test_any_section_agrees_with_the_brute_force_envelope(seed):
    section = random_section(np.random.default_rng(seed))
    rest = seating.seat(**closed_form(section))
    npt.assert_allclose(rest.stand_off, stand_off(section), atol=STEP / half_tangent(section.bit.true_angle))


def test_a_90_degree_bit_with_perfect_zeros_gives_0_everywhere():
    rest = seating.seat(**WIDE, stroke_half_width=np.linspace(0.1, 8, 20), path_angle=90, true_angle=90, tip_flat=0)
    npt.assert_allclose(rest.stand_off, 0, atol=1e-12)
    npt.assert_allclose(rest.glue_line, 0, atol=1e-12)
    assert rest.held_up_by == "wall"


def test_a_flat_of_0_10_mm_on_60_degrees_sinks_0_173_mm():
    # Worked case of the seat model: 0.10 / tan(30 degrees).
    rest = seating.seat(**WIDE, stroke_half_width=4.0, path_angle=60, true_angle=60, tip_flat=0.10)
    npt.assert_allclose(rest.stand_off, -0.173, atol=5e-4)
    assert rest.held_up_by == "wall"


def test_the_thinnest_stroke_holds_the_plug_up_and_wide_strokes_show_half_the_flat():
    strokes = {"stroke_half_width": [0.5, 6.0], "path_angle": 60, "true_angle": 60, "tip_flat": 0.10}
    rest = seating.seat(**WIDE, **strokes)
    assert (rest.held_up_by, rest.at) == ("crest", 0)
    npt.assert_allclose(rest.glue_line[1], 0.05)
    lost = seating.seat(**WIDE, **strokes, crest_loss=0.2)
    assert lost.held_up_by == "wall"
    npt.assert_allclose(lost.glue_line, 0, atol=1e-12)


def test_too_little_floor_gap_leaves_the_missing_sink_open():
    depths = {**WIDE, "start_depth": 4.9}
    rest = seating.seat(**depths, stroke_half_width=9.0, path_angle=60, true_angle=60, tip_flat=0.10)
    missing = 0.10 / half_tangent(60) - 0.1
    assert rest.held_up_by == "floor"
    npt.assert_allclose(rest.glue_line, missing * half_tangent(60))


def test_zero_errors_add_and_move_the_stand_off_alone():
    section = {**WIDE, "stroke_half_width": [1.0, 6.0], "path_angle": 60, "true_angle": 60, "tip_flat": 0.10}
    plain = seating.seat(**section)
    moved = seating.seat(**section, host_zero_error=0.04, insert_zero_error=0.03)
    npt.assert_allclose(moved.seat_level, plain.seat_level)
    npt.assert_allclose(moved.stand_off, plain.stand_off - 0.07)


def test_an_offset_of_the_flat_less_the_allowance_neither_sinks_nor_opens():
    rest = seating.seat(
        **WIDE,
        stroke_half_width=4.0,
        path_angle=60,
        true_angle=60,
        tip_flat=0.10,
        wall_allowance=0.02,
        outline_offset=0.08,
    )
    npt.assert_allclose(rest.stand_off, 0, atol=1e-12)


def test_draws_and_strokes_keep_their_axes():
    zero = np.zeros((50, 1))
    section = {**WIDE, "stroke_half_width": [0.5, 6.0, 8.0], "path_angle": 60.0, "tip_flat": 0.1}
    section = {**section, "true_angle": 60 + zero, "host_zero_error": zero}
    rest = seating.seat(**section, seat_shortfall=0.01 + zero)
    assert rest.stand_off.shape == rest.held_up_by.shape == rest.at.shape == (50,)
    assert rest.glue_line.shape == (50, 3)


@pytest.mark.parametrize("name", seating.CONTACTS)
def test_every_contact_can_hold_a_plug_up(name):
    bit = {"path_angle": 90, "true_angle": 90, "tip_flat": 0.1}
    section = {**WIDE, **bit, "stroke_half_width": 9.0}
    section |= {
        "wall": {},
        "floor": {"start_depth": 5.5},
        "nose": {"start_depth": 0.92, "stroke_half_width": 1.0},
        "crest": {"stroke_half_width": 1.0},
        "backer": {"relief_depth": 0.01},
        "land": {"land_half_width": 0.04},
    }[name]
    rest = seating.seat(**section)
    assert rest.held_up_by == name
