"""Medial axis: exact distances everywhere, every branch, strokes summed up for the closed form."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from shapes import UGLY, blobs, emblem, letters, star

from inlaylab.artwork.axis.medial_axis import SAGITTA, medial_axis
from inlaylab.artwork.axis.strokes import strokes
from inlaylab.artwork.axis.widths import areas
from inlaylab.artwork.polygons import clean

GALLERY = {
    "star": star(),
    "letters": letters(),
    "emblem": emblem(3000),
    **{k: shapely.from_wkt(w) for k, w in UGLY.items()},
}


@pytest.mark.parametrize("name", GALLERY)
def test_half_widths_are_the_distances_to_the_outline(name):
    polygons = clean(GALLERY[name])
    axis = medial_axis(polygons)
    near = np.flatnonzero(axis.half_widths.max(axis=1) < 50)
    near = near[:: max(1, len(near) // 1500)]
    outline = polygons.boundary
    at_ends = shapely.distance(shapely.points(axis.ends[near]), outline)
    np.testing.assert_allclose(axis.half_widths[near], at_ends, atol=2e-5)
    middle = shapely.distance(shapely.points(axis.ends[near].mean(axis=1)), outline)
    np.testing.assert_allclose(axis.half_widths[near].mean(axis=1), middle, atol=3 * SAGITTA)


@pytest.mark.parametrize("name", GALLERY)
def test_both_feet_are_as_far_as_the_half_width_and_patches_make_up_the_area(name):
    polygons = clean(GALLERY[name])
    axis = medial_axis(polygons)
    gap = np.hypot(*np.moveaxis(axis.ends[:, None] - axis.feet, -1, 0))
    near = axis.half_widths.max(axis=1) < 50
    assert np.abs(gap - axis.half_widths[:, None])[near].max() < 2e-5
    # an arc around a corner is owned as a fan of triangles, so curves cost a hair
    assert areas(axis.where(axis.inside)).sum() == pytest.approx(polygons.area, rel=1e-3, abs=1e-4)


@given(blobs())
@settings(max_examples=60, deadline=None)
def test_no_disc_of_the_axis_holds_outline_and_both_feet_lie_on_it(shape):
    polygons = clean(shape)
    axis = medial_axis(polygons)
    axis = axis.where(axis.half_widths.max(axis=1) < 50)
    for k in (0, 1):
        away = shapely.distance(shapely.points(axis.ends[:, k]), polygons.boundary)
        np.testing.assert_allclose(axis.half_widths[:, k], away, atol=2e-5)
        assert shapely.distance(shapely.points(axis.feet[:, :, k].reshape(-1, 2)), polygons.boundary).max() < 2e-5


def test_a_bar_has_its_middle_and_a_branch_into_each_corner():
    axis = medial_axis(shapely.box(0, 0, 20, 6))
    inner = axis.where(axis.inside)
    assert inner.half_widths.max() == pytest.approx(3)
    at_corner = np.isclose(inner.half_widths, 0).any(axis=1)
    assert at_corner.sum() == 4
    np.testing.assert_allclose(inner.spread[at_corner], 90, atol=1e-6)
    assert inner.lengths[~at_corner].sum() == pytest.approx(20 - 6)


def test_facets_of_a_flattened_curve_are_told_from_corners():
    disc = shapely.Point(0, 0).buffer(10, quad_segs=128)  # turns by 0.7 degrees a corner
    axis = medial_axis(disc)
    inner = axis.where(axis.inside)
    assert inner.lengths[inner.facet].sum() > 0.999 * inner.lengths.sum()
    assert not medial_axis(star()).facet[medial_axis(star()).inside].any()


def test_a_dot_is_a_stroke_as_wide_as_itself():
    widths = strokes(shapely.Point(3, 3).buffer(2, quad_segs=64))
    assert len(widths) == 1
    assert widths[0].stroke_width == pytest.approx(4, abs=0.01)


def test_strokes_hold_the_thinnest_the_widest_and_the_narrow_land():
    shape = shapely.union_all([shapely.box(0, 0, 0.8, 30), shapely.box(2.0, 0, 9, 30), shapely.box(14, 0, 16, 30)])
    found = strokes(shape)
    assert len(found) <= 40
    assert min(s.stroke_width for s in found) == pytest.approx(0.8, rel=0.03)
    assert max(s.stroke_width for s in found) == pytest.approx(7, rel=0.03)
    assert min(s.land_width for s in found) == pytest.approx(1.2, rel=0.03)
    assert any(
        s.stroke_width == pytest.approx(2, rel=0.05) and s.land_width == pytest.approx(5, rel=0.05) for s in found
    )


def test_many_strokes_are_summed_up_in_few():
    found = strokes(emblem(3000), most=25)
    assert 10 < len(found) <= 25
    assert all(s.stroke_width >= 0.4 and s.land_width >= 0.4 for s in found)
