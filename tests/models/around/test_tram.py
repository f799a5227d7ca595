"""A leaning spindle against two boards cut on a grid."""

import numpy as np
import numpy.testing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st
from leaning import STEP, rest

from inlaylab.errors import InputError
from inlaylab.models import seating
from inlaylab.models.around import tram

STROKE = {"stroke_half_width": 4.0, "pocket_depth": 3.8, "relief_depth": 2.0, "path_angle": 60.0, "true_angle": 60.0}


def test_one_degree_cancels_one_way_and_opens_0_11_mm_the_other():
    # Brute force made for this project: 1 degree, 8 mm stroke, 60-degree bit. The pocket of 3.8 mm and
    # the start depth of 2.5 mm: common practice, no source.
    across = tram.lean_fit(lean=1.0, turned_across=True, start_depth=2.5, **STROKE)
    npt.assert_allclose(across.glue_lines, 0, atol=1e-9)
    along = tram.lean_fit(lean=1.0, turned_across=False, start_depth=2.5, **STROKE)
    npt.assert_allclose(sorted(along.glue_lines), [0, 0.11], atol=0.005)


@pytest.mark.parametrize("seed", range(20))
def test_random_strokes_agree_with_boards_cut_on_a_grid(seed):
    rng = np.random.default_rng(seed)
    angle, lean, flat = rng.uniform(40, 90), rng.uniform(-1.5, 1.5), rng.choice([0.0, 0.1])
    turned_across, start = bool(rng.random() < 0.5), rng.uniform(1.0, 3.0)
    depths = {"start_depth": start, "pocket_depth": start + rng.uniform(-0.1, 0.8), "relief_depth": rng.uniform(1, 2)}
    height, right, left = rest(
        lean=lean, turned_across=turned_across, half_width=4.0, angle=angle, tip_flat=flat, **depths
    )
    fit = tram.lean_fit(
        lean=lean,
        turned_across=turned_across,
        stroke_half_width=4.0,
        path_angle=angle,
        true_angle=angle,
        tip_flat=flat,
        **depths,
    )
    steepest = np.tan(np.radians(angle / 2 - abs(lean)))
    npt.assert_allclose(fit.stand_off, height, atol=2 * STEP / steepest)
    if fit.stand_off > start - depths["pocket_depth"] + 0.05:  # no play left: the lines are settled
        npt.assert_allclose(fit.glue_lines, [right, left], atol=5 * STEP)


@given(st.floats(30, 120), st.floats(0, 0.2), st.floats(1, 3), st.floats(-0.2, 1))
def test_without_a_lean_it_is_the_plain_seat(angle, flat, start, spare):
    depths = {"start_depth": start, "pocket_depth": start + spare, "relief_depth": 2.0}
    bit = {"path_angle": angle, "true_angle": angle, "tip_flat": flat}
    leaning = tram.lean_fit(lean=0.0, turned_across=True, stroke_half_width=9.0, **depths, **bit)
    plain = seating.seat(stroke_half_width=9.0, land_half_width=20.0, **depths, **bit)
    npt.assert_allclose(leaning.stand_off, plain.stand_off, atol=1e-9)
    npt.assert_allclose(leaning.glue_lines, [plain.glue_line[0]] * 2, atol=1e-9)


@given(st.floats(-2, 2))
def test_leaning_the_other_way_swaps_the_two_lines(lean):
    there = tram.lean_fit(lean=lean, turned_across=False, start_depth=2.5, **STROKE)
    back = tram.lean_fit(lean=-lean, turned_across=False, start_depth=2.5, **STROKE)
    npt.assert_allclose(there.glue_lines, back.glue_lines[::-1], atol=1e-12)


def test_the_mirror_line_lies_across_the_worse_lean():
    assert tram.mirror_line(0.3, 0.1).along == "y"
    assert tram.mirror_line(-0.1, 0.3).along == "x"
    line = tram.mirror_line(0.2, 0.2)
    npt.assert_allclose([line.best_direction, line.cancels, line.doubles], [135, 0.2, 0.2])


def test_lean_from_sweep():
    npt.assert_allclose(tram.lean_from_sweep(difference=1.0, diameter=57.28996), 1.0, atol=1e-6)  # cot(1 degree)
    with pytest.raises(InputError, match="must have a diameter"):
        tram.lean_from_sweep(difference=1.0, diameter=0.0)


def test_a_lean_beyond_the_bit_is_refused():
    with pytest.raises(InputError, match="the lean is too large"):
        tram.lean_fit(lean=40, turned_across=True, start_depth=2.5, **STROKE)
