"""Virtual cut: a perfect bit needs no reference; random outlines, ugly outlines; a slow reference for the rest."""

import os

import numpy as np
import pytest
import shapely
from cases import few_of
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, scale, translate
from shapes import UGLY, blobs, emblem, letters, star
from slow_virtual_cut import SlowCut

from inlaylab.artwork.axis.medial_axis import medial_axis
from inlaylab.artwork.cutting.virtual_cut import FILLED, OPEN, virtual_cut
from inlaylab.artwork.polygons import Artwork, clean
from inlaylab.errors import InputError, Stopped

LONG = bool(os.environ.get("INLAYLAB_LONG"))
DEPTHS = {"start_depth": 3.5, "pocket_depth": 4.0, "relief_depth": 3.0}
GALLERY = {
    "star": star(),
    "letters": letters(),
    "emblem": emblem(1500),
    "disc": shapely.Point(2, 1).buffer(9, quad_segs=60),
    **{name: shapely.from_wkt(text) for name, text in UGLY.items()},
}


def near(shape, count=1500, margin=4.0, seed=0):
    rng = np.random.default_rng(seed)
    left, bottom, right, top = shape.bounds
    x, y = rng.uniform(left - margin, right + margin, count), rng.uniform(bottom - margin, top + margin, count)
    return np.stack([x, y], axis=1)


@pytest.mark.parametrize("angle", [30.0, 60.0, 90.0] if LONG else [60.0])
@pytest.mark.parametrize("name", few_of(GALLERY, quick=1))
def test_a_perfect_bit_mates_everywhere(name, angle):
    # The model, section 4: h = 0, H = min(P, d/T0) and everything filled, on any artwork whatever.
    polygons = clean(GALLERY[name])
    cut = virtual_cut(Artwork(polygons=polygons), bit_angle=angle, pixel=0.2, **DEPTHS)
    assert abs(cut.stand_off) < 1e-3
    assert cut.fill_rate == pytest.approx(1, abs=1e-3)
    half = np.tan(np.radians(angle / 2))
    points = near(polygons)
    away = shapely.distance(shapely.points(points), polygons.boundary)
    inside = shapely.contains_xy(polygons, *points.T)
    pocket = np.where(inside, np.minimum(4.0, away / half), 0)
    plug = np.maximum(0, 3.5 + np.where(inside, -away / half, np.minimum(3.0, away / half)))
    assert np.abs(cut.depths.pocket(cut.boards.pocket.at(points)) - pocket).max() < 2e-3
    assert np.abs(cut.depths.plug(cut.boards.plug.at(points)) - plug).max() < 2e-3


SLOW = {
    "L": shapely.Polygon([(0, 0), (12, 0), (12, 3), (4, 3), (4, 9), (0, 9)]),
    "three sides": shapely.Polygon([(0, 0), (14, 1), (3, 8)]),
    "frame": shapely.box(0, 0, 10, 8) - shapely.box(3, 3, 5, 6),
    "two": shapely.union_all([shapely.box(0, 0, 3, 7), shapely.Polygon([(4.1, 0), (8, 1), (5, 7)])]),
}
BITS = [
    {"bit_angle": 60.0, "tip_flat": 0.1},
    {"bit_angle": 60.0, "true_angle": 62.0, "tip_flat": 0.15, "outline_offset": 0.05},
    {"bit_angle": 90.0, "true_angle": 88.0},
    {"bit_angle": 30.0, "true_angle": 30.5, "tip_flat": 0.08},
]


@pytest.mark.parametrize("bit", few_of(BITS, quick=4) if LONG else few_of(BITS[1:3], quick=1))
@pytest.mark.parametrize("name", few_of(SLOW, quick=1))
def test_the_slow_reference_agrees(name, bit):
    shape = SLOW[name]
    slow = SlowCut(shape, pocket_depth=2.5, relief_depth=2.0, **bit)
    cut = virtual_cut(
        shape, start_depth=2.2, pocket_depth=2.5, relief_depth=2.0, host_zero_error=0.05, pixel=0.5, **bit
    )
    points = near(shape, 400, 2.0)
    for inside, sweep in ((True, cut.boards.pocket), (False, cut.boards.plug)):
        fast = sweep.at(points)
        shown = fast > -2
        assert np.abs(slow.depth(points, inside) - fast)[shown].max() < 0.02  # the reference's own spacing
    at = np.array([cut.seat.contact_at])
    clash = cut.depths.clash(slow.depth(at, True), slow.depth(at, False))[0]
    assert clash == pytest.approx(cut.stand_off, abs=0.01)
    assert slow.stand_off(start_depth=2.2, host_zero_error=0.05) < cut.stand_off + 0.005


def areas_of(polygons, cut, *, angle, tip_flat, sanded_off, host_zero_error, insert_zero_error):
    """Filled and cut area by offsets of the outline alone: the model, section 4, for a perfect angle."""
    half = np.tan(np.radians(angle / 2))

    def offset(shape, by):
        return shape.buffer(by, quad_segs=64)

    def swept(shape, level):
        if level < 0:
            return offset(shape, -level * half + tip_flat / 2)
        return offset(offset(shape, -level * half), tip_flat / 2)

    pocket = swept(polygons, sanded_off - host_zero_error)
    ground = shapely.box(*np.add(polygons.bounds, [-20, -20, 20, 20])) - polygons
    filled = pocket - swept(ground, -(insert_zero_error + cut.stand_off + sanded_off))
    return filled.area, pocket.area


@pytest.mark.parametrize("pixel", [0.05, 0.1])
@pytest.mark.parametrize("name", ["star", "letters", "hole touching a side", "touching corners", "wedge"])
def test_areas_are_those_of_offset_outlines(name, pixel):
    shape = shapely.Polygon([(0, 0), (40, 1), (40, -1)]) if name == "wedge" else GALLERY[name]
    polygons = clean(shape)
    rough = {"tip_flat": 0.1, "sanded_off": 0.3, "host_zero_error": 0.04, "insert_zero_error": -0.03}
    cut = virtual_cut(Artwork(polygons=polygons), bit_angle=60, pixel=pixel, **DEPTHS, **rough)
    filled, whole = areas_of(polygons, cut, angle=60, **rough)
    assert cut.fill_rate == pytest.approx(filled / whole, abs=0.001 if pixel == 0.05 else 0.003)
    assert cut.filled_area + cut.open_area == pytest.approx(whole, rel=2e-3)
    assert cut.artwork_area == pytest.approx(polygons.area)


FAULTY = {"bit_angle": 60.0, "true_angle": 61.0, "tip_flat": 0.08, "sanded_off": 0.3, "pixel": 0.25, **DEPTHS}


# two branches of an axis that meet in one cell of the samples: each must be climbed
MEETING = shapely.multipolygons(
    [shapely.Polygon([(2, 0), (-1, 1.732), (-1, -1.732)]), shapely.Polygon([(0.875, 2), (0.875, 4), (0, 4), (0, 2)])]
)


@pytest.mark.long
@given(blobs(), st.floats(0, 360), st.floats(-80, 80))
@example(MEETING, 0.0, 0.0)
@settings(max_examples=15 if not LONG else 150, deadline=None)
def test_mirror_turn_shift_and_order_change_nothing(shape, turn, shift):
    cut = virtual_cut(shape, **FAULTY)
    moved = translate(rotate(scale(shape, -1, 1, origin=(0, 0)), turn, origin=(0, 0)), shift, -shift / 3)
    parts = shapely.get_parts(shapely.set_precision(moved, 0))[::-1]
    again = virtual_cut(shapely.multipolygons([shapely.reverse(part) for part in parts]), **FAULTY)
    assert again.stand_off == pytest.approx(cut.stand_off, abs=1e-3)
    if cut.fill_rate is None or cut.filled_area + cut.open_area < 1:
        return
    assert again.fill_rate == pytest.approx(cut.fill_rate, abs=0.01)
    assert again.worst_glue_line == pytest.approx(cut.worst_glue_line, abs=2e-3)


@pytest.mark.long
@given(blobs(), st.sampled_from([30.0, 60.0, 90.0, 120.0]), st.floats(0, 1.5))
@settings(max_examples=15 if not LONG else 150, deadline=None)
def test_a_perfect_bit_fills_everything(shape, angle, sanded_off):
    cut = virtual_cut(shape, bit_angle=angle, sanded_off=sanded_off, pixel=0.25, **DEPTHS)
    assert abs(cut.stand_off) < 1e-3
    assert cut.fill_rate is None or cut.fill_rate > 0.998
    assert cut.worst_glue_line is None or cut.worst_glue_line < 1e-3


@pytest.mark.long
@given(blobs(), st.lists(st.floats(0, 3.4), min_size=2, max_size=3, unique=True))
@settings(max_examples=8 if not LONG else 100, deadline=None)
def test_deeper_sanding_never_widens_a_stroke(shape, sandings):
    polygons = clean(shape)
    axis = medial_axis(Artwork(polygons=polygons))
    rough = {**FAULTY, "sanded_off": 0.0}
    before = None
    for sanded_off in sorted(sandings):
        cut = virtual_cut(Artwork(polygons=polygons), axis=axis, **{**rough, "sanded_off": sanded_off})
        if before is not None:
            assert not ((cut.state > 0) & (before.state == 0)).any()
            assert cut.filled_area + cut.open_area <= before.filled_area + before.open_area + 1e-6
            assert cut.strokes_lost_area >= before.strokes_lost_area - 1e-6
        before = cut


def test_zero_errors_add_and_close_by_themselves():
    shape = shapely.Point(0, 0).buffer(9, quad_segs=90)
    plain = virtual_cut(shape, bit_angle=60, tip_flat=0.1, pixel=0.5, **DEPTHS)
    off = virtual_cut(
        shape, bit_angle=60, tip_flat=0.1, pixel=0.5, host_zero_error=0.1, insert_zero_error=-0.04, **DEPTHS
    )
    assert off.stand_off == pytest.approx(plain.stand_off - 0.06, abs=1e-4)
    assert off.worst_glue_line < 1e-3


@pytest.mark.parametrize(("offset", "held"), [(0.1, 0.0), (0.0, -0.1), (0.2, 0.1), (-0.1, -0.2)])
def test_an_outline_offset_of_the_flat_mates_at_zero(offset, held):
    # The model, section 8: at o = t the walls meet at h = 0; each unit more lifts the plug by 1/T.
    shape = shapely.Point(0, 0).buffer(12, quad_segs=60)
    cut = virtual_cut(shape, bit_angle=90, tip_flat=0.1, outline_offset=offset, pixel=0.5, **DEPTHS)
    assert cut.stand_off == pytest.approx(held, abs=2e-3)


def test_a_floor_gap_smaller_than_the_sink_leaves_the_lines_open():
    # The model, section 3: the nose lands first, and every line stays open by (missing sink) x T.
    depths = {"start_depth": 2.95, "pocket_depth": 3.0, "relief_depth": 2.0}
    cut = virtual_cut(shapely.Point(0, 0).buffer(12, quad_segs=90), bit_angle=60, tip_flat=0.1, pixel=0.5, **depths)
    half = np.tan(np.radians(30))
    assert cut.held_up_by == "floor"
    assert cut.stand_off == pytest.approx(-0.05, abs=1e-4)
    assert cut.worst_glue_line == pytest.approx((0.1 / half - 0.05) * half, abs=1e-3)


def test_the_ground_on_the_hosts_face_is_called_backer():
    depths = {"start_depth": 2.0, "pocket_depth": 3.0, "relief_depth": 0.1}
    cut = virtual_cut(shapely.box(0, 0, 20, 20), bit_angle=60, tip_flat=0.3, pixel=0.5, **depths)
    assert cut.held_up_by == "backer"
    assert cut.stand_off == pytest.approx(-0.1, abs=1e-4)


def test_sanding_takes_thin_strokes_and_tells_how_much():
    shape = shapely.union_all([shapely.box(0, 0, 30, 0.3), shapely.box(0, 3, 30, 9)])
    cut = virtual_cut(shape, bit_angle=60, sanded_off=0.4, pixel=0.05, **DEPTHS)
    assert cut.strokes_lost_area == pytest.approx(9, abs=0.05)  # corners of the wide bar are the rest
    gone = virtual_cut(shape, bit_angle=60, sanded_off=6.0, **DEPTHS)
    assert gone.fill_rate is None and gone.worst_glue_line is None
    assert gone.to_json()["fill_rate"] is None


def test_depths_at_points_are_exact_and_off_the_grid():
    points = [(10.0, 0.5), (10.0, 3.0), (10.0, -0.5), (-7.0, 3.0)]
    cut = virtual_cut(shapely.box(0, 0, 20, 6), bit_angle=90, at=points, pixel=1.0, **DEPTHS)
    assert [round(p["pocket"], 9) for p in cut.at] == [0.5, 3.0, 0.0, 0.0]
    assert [round(p["plug"], 9) for p in cut.at] == [3.0, 0.5, 4.0, 6.5]


def test_the_picture_shows_host_filled_and_open():
    cut = virtual_cut(shapely.box(0, 0, 10, 6), bit_angle=60, tip_flat=0.4, pixel=0.05, **DEPTHS)
    assert set(np.unique(cut.state)) == {0, FILLED, OPEN}
    assert cut.state[cut.grid.rows // 2, cut.grid.columns // 2] == FILLED
    assert cut.state[0, 0] == 0


def test_a_section_shows_plug_in_pocket():
    cut = virtual_cut(shapely.box(0, 0, 10, 6), bit_angle=60, tip_flat=0.1, pixel=0.5, **DEPTHS)
    line = np.stack([np.linspace(-2, 12, 400), np.full(400, 3.0)], axis=1)
    pocket, plug = cut.section(line)
    assert (plug <= pocket + 1e-6).all()
    assert pocket.max() == pytest.approx(3 / np.tan(np.radians(30)) if 3 / np.tan(np.radians(30)) < 4 else 4)


def test_progress_is_told_and_a_stop_is_obeyed():
    told = []
    virtual_cut(star(), bit_angle=60, progress=lambda share, left, text: told.append((share, text)), **DEPTHS)
    assert [share for share, _ in told] == sorted(share for share, _ in told) and len(told) >= 2
    with pytest.raises(Stopped, match="stopped"):
        virtual_cut(star(), bit_angle=60, stop=lambda: True, **DEPTHS)


@pytest.mark.parametrize(
    ("setting", "value"),
    [
        ("bit_angle", 0.0), ("bit_angle", 180.0), ("true_angle", 200.0), ("tip_flat", -0.1), ("pocket_depth", 0.0),
        ("relief_depth", 0.0), ("start_depth", -1.0), ("pixel", 0.0), ("sanded_off", -0.1), ("pocket_depth", 1e9),
        ("outline_offset", 50.0), ("host_zero_error", float("nan")), ("bit_angle", float("inf")),
    ],
)  # fmt: skip
def test_settings_no_bit_can_have_are_refused(setting, value):
    with pytest.raises(InputError, match=setting.replace("_", " ")):
        virtual_cut(star(), **({"bit_angle": 60.0, **DEPTHS} | {setting: value}))


def test_too_many_pixels_are_refused_before_work_starts():
    with pytest.raises(InputError, match="pixel is too small"):
        virtual_cut(shapely.box(0, 0, 900, 900), bit_angle=60, pixel=0.01, **DEPTHS)


def test_an_offset_that_leaves_nothing_is_refused():
    with pytest.raises(InputError, match="leaves nothing"):
        virtual_cut(shapely.box(0, 0, 20, 0.5), bit_angle=60, outline_offset=-0.4, **DEPTHS)


def test_a_coarse_cut_is_shown_before_the_fine_one():
    seen = []
    cut = virtual_cut(star(), bit_angle=60, tip_flat=0.1, sanded_off=0.3, pixel=0.05, preview=seen.append, **DEPTHS)
    assert len(seen) == 1 and seen[0].state.size < cut.state.size / 9
    assert seen[0].stand_off == pytest.approx(cut.stand_off, abs=0.01)
    assert seen[0].fill_rate == pytest.approx(cut.fill_rate, abs=0.02)
