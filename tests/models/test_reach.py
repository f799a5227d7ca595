"""How deep the edges reach, against plain trigonometry."""

import math

import numpy as np
import pytest
from numpy import testing as npt

from inlaylab.models.reach import cutting_height
from inlaylab.models.walls import path_depth


@pytest.mark.parametrize("angle, height", [(90.0, 5.0), (60.0, 5.0 * math.sqrt(3)), (120.0, 5.0 / math.sqrt(3))])
def test_the_height_of_a_sharp_cone_of_10_mm(angle, height):
    npt.assert_allclose(cutting_height(cutting_diameter=10.0, angle=angle), height, rtol=1e-12)


def test_a_flat_tip_takes_its_own_cone_away():
    whole = cutting_height(cutting_diameter=10.0, angle=60.0)
    tip = cutting_height(cutting_diameter=0.4, angle=60.0)
    npt.assert_allclose(cutting_height(cutting_diameter=10.0, angle=60.0, tip_flat=0.4), whole - tip)


def test_it_is_the_depth_that_a_path_may_have_in_a_stroke_as_wide_as_the_bit():
    depth = path_depth(half_width=4.0, depth_cap=np.inf, path_angle=45.0)
    npt.assert_allclose(cutting_height(cutting_diameter=8.0, angle=45.0), depth)


def test_a_tip_wider_than_the_bit_reaches_nothing_and_an_unknown_diameter_is_not_a_number():
    assert cutting_height(cutting_diameter=1.0, angle=60.0, tip_flat=2.0) == 0
    assert np.isnan(cutting_height(cutting_diameter=np.nan, angle=60.0))
