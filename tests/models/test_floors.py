"""Floor gap and floor ridges."""

import numpy.testing as npt
from hypothesis import given
from hypothesis import strategies as st

from inlaylab.models import floors

INCH = 25.4


def test_depths_of_150_and_100_thou_leave_50_thou_below_the_nose():
    # Common practice, no source: 0.150 in pocket, 0.100 in start.
    floor = floors.floor_gap(pocket_depth=0.150 * INCH, start_depth=0.100 * INCH)
    npt.assert_allclose(floor / INCH, 0.050)


def test_a_sinking_plug_eats_the_floor_gap_and_a_deep_host_gives_it_back():
    npt.assert_allclose(floors.floor_gap(pocket_depth=5, start_depth=4, stand_off=-0.2, host_zero_error=0.1), 0.9)


def test_passes_of_0_3_mm_with_a_sharp_60_degree_bit_leave_ridges_of_0_26_mm():
    # Worked case of the seat model, computed for this project.
    height = floors.ridge_height(flat_width=3.0, pass_spacing=0.3, true_angle=60, tip_flat=0)
    npt.assert_allclose(height, 0.26, atol=0.005)


@given(st.floats(0, 20), st.floats(0.05, 3))
def test_real_spacing_divides_the_width_into_equal_passes_no_wider_than_asked(width, spacing):
    real = floors.real_spacing(flat_width=width, pass_spacing=spacing)
    assert 0 <= real <= spacing * (1 + 1e-6)
    if real > 1e-9:
        passes = width / real
        npt.assert_allclose(passes, round(passes), rtol=1e-9)
        assert (round(passes) - 1) * spacing < width + 1e-6


@given(st.floats(0, 20), st.floats(0, 3), st.floats(20, 120), st.floats(0, 0.5))
def test_ridges_vanish_under_an_end_mill_and_a_wide_flat(width, spacing, angle, flat):
    height = floors.ridge_height(flat_width=width, pass_spacing=spacing, true_angle=angle, tip_flat=flat)
    assert height >= 0
    assert height == 0 or (spacing > flat and width > flat)


def test_ridges_stand_only_where_there_is_flat_ground():
    bit = {"path_angle": 90, "true_angle": 90, "tip_flat": 0.1, "pass_spacing": 0.5}
    npt.assert_allclose(floors.pocket_ridges(**bit, stroke_half_width=[3, 9], pocket_depth=4), [0, 0.2])
    npt.assert_allclose(floors.ground_ridges(**bit, land_half_width=[3, 9], relief_depth=4), [0, 0.2])
    npt.assert_allclose(
        floors.ground_ridges(**bit, land_half_width=4.3, relief_depth=4, outline_offset=[0, 0.2]), [0.1, 0.05]
    )
