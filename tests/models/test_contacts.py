"""What each contact asks for, one at a time."""

import numpy as np
import numpy.testing as npt
import pytest
from envelope import Bit, wedge_stand_off

from inlaylab.models import contacts, seating
from inlaylab.models.walls import half_tangent

BIT = {"path_angle": 60.0, "true_angle": 60.0, "tip_flat": 0.1}
SLOPE = half_tangent(60.0)


def test_wall_asks_for_less_when_the_flat_opens_and_for_more_when_offset_or_glue_close():
    section = {**BIT, "stroke_depth": 4.0, "land_depth": 3.0}
    npt.assert_allclose(contacts.wall_contact(**section), -0.1 / SLOPE)
    npt.assert_allclose(contacts.wall_contact(**section, wall_allowance=0.02, outline_offset=0.08), 0, atol=1e-12)


def test_the_lower_of_nose_and_crest_counts_and_the_crossing_is_continuous():
    section = {**BIT, "stroke_half_width": 1.0, "stroke_depth": 1 / SLOPE, "land_depth": 3.0}
    nose, crest = contacts.tip_levels(**section)
    for start in (0.0, crest - nose - 1e-9, crest - nose + 1e-9, 9.0):
        npt.assert_allclose(contacts.tip_contact(**section, start_depth=start), min(start + nose, crest))
    npt.assert_allclose(crest, -0.05 / SLOPE)


def test_floor_ridges_count_only_on_a_floor_and_a_taper_only_off_it():
    shared = {**BIT, "stroke_depth": [1 / SLOPE, 4.0], "land_depth": 3.0, "stroke_half_width": [1.0, 9.0]}
    bare, _ = contacts.tip_levels(**shared)
    ridged, _ = contacts.tip_levels(**shared, floor_ridge=0.2)
    tapering, _ = contacts.tip_levels(**shared, taper=0.5)
    npt.assert_allclose(ridged - bare, [0, 0.2])
    npt.assert_allclose(tapering - bare, [-0.5 * 0.05 / SLOPE, 0])


def test_ground_ridges_count_only_on_flat_ground():
    shared = {**BIT, "stroke_depth": 4.0, "land_depth": [1 / SLOPE, 3.0], "land_half_width": [1.0, 9.0]}
    bare, _ = contacts.land_levels(**shared)
    ridged, _ = contacts.land_levels(**shared, ground_ridge=0.2)
    npt.assert_allclose(ridged - bare, [0, 0.2])


def test_unequal_neighbours_do_not_matter_while_the_angle_is_right():
    shared = {"stroke_half_width": 1.0, "stroke_depth": 1.0, "land_depth": 3.0, "relief_depth": 3.0, "tip_flat": 0.1}
    alone = contacts.tip_levels(**shared, path_angle=90, true_angle=90)
    beside = contacts.tip_levels(**shared, path_angle=90, true_angle=90, other_land_half_width=0.5)
    npt.assert_allclose(alone, beside)
    wrong = contacts.tip_levels(**shared, path_angle=90, true_angle=91, other_land_half_width=0.5)
    assert wrong[1] != pytest.approx(contacts.tip_levels(**shared, path_angle=90, true_angle=91)[1], abs=1e-3)


@pytest.mark.parametrize("half_corner", [10, 25, 40])
@pytest.mark.parametrize("angle", [60, 90])
def test_taper_agrees_with_a_wedge_cut_on_a_grid(half_corner, angle):
    # The flat tip cuts ahead of itself: -(t/2T)(1 + sin(beta)) with a perfect angle and no crest loss.
    sine = float(np.sin(np.radians(half_corner)))
    level = seating.seat(
        start_depth=4.0,
        pocket_depth=4.5,
        relief_depth=3.0,
        stroke_half_width=1.0,
        land_half_width=9.0,
        path_angle=angle,
        true_angle=angle,
        tip_flat=0.1,
        taper=sine,
    ).seat_level
    cut = wedge_stand_off(
        Bit(path_angle=angle, true_angle=angle, tip_flat=0.1),
        half_corner=half_corner,
        length=2.0,
        start_depth=4.0,
        pocket_depth=4.5,
        relief_depth=3.0,
    )
    npt.assert_allclose(level, cut, atol=0.002 / half_tangent(angle))
    npt.assert_allclose(level, -0.05 / half_tangent(angle) * (1 + sine), atol=1e-12)


def test_models_artwork_and_wording_name_the_same_contacts():
    from inlaylab.artwork.cutting import artwork_seat
    from inlaylab.wording.contacts import HELD_BY

    assert contacts.CONTACTS == artwork_seat.CONTACTS == tuple(HELD_BY)
