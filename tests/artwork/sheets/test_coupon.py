"""Coupons: what is drawn is what the table says, read back from the files; inch and millimetre makers alike."""

import csv
import math

import ezdxf
import numpy as np
import numpy.testing as npt
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from inlaylab.artwork.sheets import coupon, coupon_pieces
from inlaylab.artwork.sheets.coupon_widths import choose_widths
from inlaylab.errors import DrawingError
from inlaylab.log.tables import import_export

BIT = {"path_angle": 60.0, "pocket_depth": 3.9, "relief_depth": 2.4}


@pytest.fixture(scope="module")
def plan():
    return coupon.design_coupon(name="ladder", **BIT)


def dxf_polygons(path, layer):
    """Polygons of a DXF's layer, put together from its closed outlines."""
    document = ezdxf.readfile(path)
    assert document.units == ezdxf.units.MM
    whole = shapely.MultiPolygon()
    for line in document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]'):
        assert line.closed
        whole = whole.symmetric_difference(shapely.Polygon(np.array(line.get_points("xy"))))
    return whole


def stroke_at(polygons, x, y):
    (stroke,) = (part for part in polygons.geoms if part.buffer(1e-6).contains(shapely.Point(x, y)))
    return stroke


def test_drawings_and_table_are_read_back_and_measured(plan, tmp_path):
    files = coupon.write_coupon(plan, tmp_path / "out")
    assert sorted(path.name for path in files) == sorted(
        ["host.svg", "host.dxf", "host.pdf", "insert.svg", "insert.dxf", "insert.pdf", "coupons.csv", "LAYOUT.json"]
    )
    host = dxf_polygons(tmp_path / "out" / "host.dxf", "strokes")
    with (tmp_path / "out" / "coupons.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        stroke = stroke_at(host, *plan.places[row["station"]])
        left, bottom, right, top = stroke.bounds
        across = right - left if row["grain"] == "across" else top - bottom
        npt.assert_allclose(float(row["stroke_width"]), across, atol=1e-6)
        beside = min(stroke.distance(other) for other in host.geoms if not other.equals(stroke))
        npt.assert_allclose(float(row["land_width"]), beside, atol=0.11)
        assert float(row["land_width"]) <= beside + 1e-6
        if row["kind"] == "wedge":
            npt.assert_allclose(stroke.area, across * (right - left) / 2, rtol=1e-9)
            assert right - left > 6 * across
        else:
            npt.assert_allclose(stroke.area, (right - left) * (top - bottom), rtol=1e-9)


def test_the_insert_is_the_host_mirrored_and_carries_no_labels(plan, tmp_path):
    for mirror, turn in (("y", (-1, 0, 0, 1, plan.length, 0)), ("x", (1, 0, 0, -1, 0, plan.width))):
        folder = tmp_path / mirror
        coupon.write_coupon(plan, folder, mirror=mirror, kinds=("dxf",))
        insert = dxf_polygons(folder / "insert.dxf", "strokes")
        back = shapely.affinity.affine_transform(insert, turn)
        host = dxf_polygons(folder / "host.dxf", "strokes")
        assert back.symmetric_difference(host).area < 1e-6
        assert dxf_polygons(folder / "insert.dxf", "engrave").is_empty
        assert not dxf_polygons(folder / "host.dxf", "engrave").is_empty


def test_the_table_is_a_coupon_of_the_log(plan, tmp_path):
    coupon.write_coupon(plan, tmp_path / "out", kinds=("svg",))
    for name in ("host.svg", "insert.svg"):
        (tmp_path / "out" / name).unlink()
    shop = import_export.read_folder(tmp_path / "out")
    read = shop.coupon("ladder")
    assert [s.station for s in read.stations] == [s.station for s in plan.coupon.stations]
    npt.assert_allclose(
        [s.stroke_width for s in read.stations], [s.stroke_width for s in plan.coupon.stations], atol=1e-9
    )


def test_some_strokes_reach_the_floor_and_some_do_not_both_ways_of_the_grain(plan):
    npt.assert_allclose(plan.floor_width, 2 * 3.9 * math.tan(math.radians(30)))
    bars = [s for s in plan.coupon.stations if s.kind == "bar" and s.station[0] in "AC"]
    for grain in ("along", "across"):
        widths = [s.stroke_width for s in bars if s.grain == grain]
        assert min(widths) < 0.5 * plan.floor_width
        assert max(widths) > plan.floor_width
    assert sum(s.stroke_width > plan.floor_width for s in bars if s.grain == "along") >= 2


def test_it_has_a_wedge_graded_lands_a_ring_and_sharp_corners(plan):
    kinds = [s.kind for s in plan.coupon.stations]
    assert kinds.count("wedge") == 1
    lands = [s.land_width for s in plan.coupon.stations if s.station.startswith("L")]
    full_ground = 2 * 2.4 * math.tan(math.radians(30))
    assert len(lands) >= 2
    assert lands == sorted(lands, reverse=True)
    assert all(land < full_ground for land in lands)
    assert sum(len(part.interiors) for part in plan.strokes.geoms) == 1  # the ring
    corners = [part for part in plan.strokes.geoms if len(part.exterior.coords) == 4]
    assert len(corners) == 2  # the wedge and the triangle


def test_labels_survive_sanding_and_touch_no_stroke(plan):
    slope = math.tan(math.radians(30))
    assert plan.mark_depth > 0.3
    assert plan.marks.distance(plan.strokes) > 1.0
    for letter in plan.marks.geoms:
        assert not letter.buffer(-0.3 * slope).is_empty  # what is left of it once 0.3 mm are sanded off


angles, depths = st.sampled_from([30.0, 60.0, 82.0, 90.0]), st.floats(1.5, 5.0)


@settings(max_examples=25)
@given(angles, depths, st.floats(0.5, 3.0), st.floats(90, 250), st.floats(70, 200), st.sampled_from(["mm", "in"]))
def test_any_coupon_fits_its_blank_or_says_which_would_do(angle, pocket, relief, length, width, unit):
    try:
        plan = coupon.design_coupon(
            name="c", path_angle=angle, pocket_depth=pocket, relief_depth=relief, length=length, width=width, unit=unit
        )
    except DrawingError as refusal:
        assert "too small" in str(refusal)
        return
    left, bottom, right, top = plan.strokes.union(plan.marks).bounds
    assert min(left, bottom, length - right, width - top) >= 10 - 1e-6
    parts = list(plan.strokes.geoms)
    tree = shapely.STRtree(parts)
    pairs = tree.query(parts, predicate="dwithin", distance=0.35)
    assert all(a == b for a, b in pairs.T)  # no two strokes closer than the narrowest land
    assert plan.marks.distance(plan.strokes) > 0.5
    assert len({s.station for s in plan.coupon.stations}) == len(plan.coupon.stations)


def test_a_blank_that_is_too_small_is_refused_with_one_that_would_do():
    with pytest.raises(DrawingError, match=r"too small for a coupon.*allowed: .* by .*, or shallower depths"):
        coupon.design_coupon(name="c", **BIT, length=40, width=30)


def test_inch_makers_get_round_inches():
    plan = coupon.design_coupon(name="c", **BIT, unit="in")
    thou = np.array([s.stroke_width for s in plan.coupon.stations]) / 0.0254
    npt.assert_allclose(thou / 5, np.round(thou / 5), atol=1e-6)


def test_thin_strokes_span_what_a_fit_leaves_open():
    plan = coupon.design_coupon(name="c", **BIT, thin_from=0.5, thin_to=1.4)
    thin = sorted(s.stroke_width for s in plan.coupon.stations if s.grain == "along" and s.kind == "bar")[:3]
    npt.assert_allclose([thin[0], thin[2]], [0.5, 1.4], atol=0.051)


def test_own_widths_are_kept():
    plan = coupon.design_coupon(name="c", **BIT, widths=[1.0, 2.0, 3.0, 6.0])
    assert {s.stroke_width for s in plan.coupon.stations if s.station.startswith("A")} == {1.0, 2.0, 3.0, 6.0}


@given(angles, depths, st.integers(4, 10))
def test_chosen_widths_rise_and_end_on_the_floor(angle, pocket, count):
    widths = choose_widths(path_angle=angle, pocket_depth=pocket, count=count)
    floor = 2 * pocket * math.tan(math.radians(angle / 2))
    assert list(widths) == sorted(set(widths))
    assert sum(width > floor for width in widths) >= 2
    assert widths[0] < floor


def test_nothing_is_written_over_and_nothing_half_written(plan, tmp_path):
    (tmp_path / "insert.pdf").write_text("mine")
    with pytest.raises(DrawingError, match="there already"):
        coupon.write_coupon(plan, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["insert.pdf"]


def test_a_wrong_mirror_line_is_refused(plan):
    with pytest.raises(DrawingError, match="no such mirror line"):
        coupon.insert_sheet(plan, mirror="z")


@given(st.lists(st.tuples(st.floats(1, 20), st.floats(1, 20)), min_size=1, max_size=12))
def test_packed_pieces_keep_apart_and_inside(sizes):
    pieces = [coupon_pieces.Piece(width=w, height=h, strokes=(shapely.box(0, 0, w, h),)) for w, h in sizes]
    placed = coupon_pieces.pack(pieces, 45, 45)
    if placed is None:
        return
    boxes = [piece.strokes[0] for piece in placed]
    npt.assert_allclose(shapely.union_all(boxes).area, sum(w * h for w, h in sizes), rtol=1e-6)
    left, bottom, right, top = shapely.total_bounds(boxes)
    assert left >= 0 and bottom >= 0 and right <= 45 + 1e-6 and top <= 45 + 1e-6
