"""Finished widths and reserves."""

import numpy.testing as npt
from hypothesis import given
from hypothesis import strategies as st

from inlaylab.models import sanding

halves, depths, sanded = st.floats(0.05, 8), st.floats(0.5, 6), st.floats(0, 2)


@given(halves, depths, st.floats(30, 120), sanded)
def test_a_stroke_is_lost_exactly_where_its_reserve_is_used_up(half_width, pocket_depth, angle, off):
    width = sanding.finished_width(half_width=half_width, sanded_off=off, path_angle=angle)
    reserve = sanding.stroke_reserve(half_width=half_width, pocket_depth=50.0, path_angle=angle, sanded_off=off)
    assert (width > 1e-9) == (reserve > 1e-9) or abs(reserve) < 1e-6
    assert sanding.stroke_reserve(half_width=half_width, pocket_depth=pocket_depth, path_angle=angle) <= pocket_depth


@given(halves, depths, sanded, st.floats(-0.3, 0.3), st.floats(0, 0.5))
def test_the_reserve_is_the_smaller_of_pocket_and_plug_and_sanding_eats_it(half_width, start, off, stand_off, loss):
    section = {"half_width": half_width, "start_depth": start, "pocket_depth": start + 0.5, "path_angle": 60.0}
    whole = sanding.sanding_reserve(**section, stand_off=stand_off, crest_loss=loss)
    after = sanding.sanding_reserve(**section, stand_off=stand_off, crest_loss=loss, sanded_off=off)
    npt.assert_allclose(after, whole - off, atol=1e-9)
    assert whole <= sanding.plug_reserve(start_depth=start, stand_off=stand_off)


def test_at_90_degrees_the_numbers_are_plain():
    npt.assert_allclose(sanding.finished_width(half_width=1.0, sanded_off=0.3, path_angle=90), 1.4)
    npt.assert_allclose(sanding.stroke_reserve(half_width=1.0, pocket_depth=4, path_angle=90, sanded_off=0.3), 0.7)
    npt.assert_allclose(sanding.plug_reserve(start_depth=2.5, stand_off=-0.1, sanded_off=0.3), 2.3)
