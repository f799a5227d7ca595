"""Pictures of bit, coupon, seasons and levelling: the drawn data are the results, in the reader's unit."""

import numpy as np
import numpy.testing as npt
import pytest
from matplotlib.figure import Figure

from inlaylab.artwork.sheets.coupon import design_coupon
from inlaylab.figures.coupon import coupon
from inlaylab.figures.coupon_drawing import coupon_drawing
from inlaylab.figures.glue import GluedJoint, glue
from inlaylab.figures.grooves import GrooveLines, grooves
from inlaylab.figures.levelling import levelling
from inlaylab.figures.sanding import SandedStrokes, sanding
from inlaylab.figures.season import SeasonMovement, season
from inlaylab.figures.style import keep_title
from inlaylab.figures.tram import LeaningCuts, tram
from inlaylab.figures.wear import WearPoints, wear
from inlaylab.figures.where_to_measure import WhereToMeasure, where_to_measure
from inlaylab.models.levelling import levelling_stack

GROOVES = GrooveLines(
    depths=[2.0, 1.0, 4.0],
    widths=[2.42, 1.26, 4.73],
    expected=[2.41, 1.26, 4.73],
    further_depths=[1.0, 8.0],
    further_angle=[0.4, 0.1],
    angle=60.1,
    angle_uncertainty=0.3,
    tip_flat=0.1,
    tip_flat_uncertainty=0.02,
)


@pytest.mark.parametrize(("unit", "scale"), [("mm", 1.0), ("in", 25.4), ("thou", 0.0254)])
def test_grooves_are_drawn_in_order_in_the_readers_unit(unit, scale):
    picture = grooves(GROOVES, unit=unit)
    line, points = picture.axes[0].lines
    npt.assert_allclose(line.get_xdata() * scale, [1, 2, 4])
    npt.assert_allclose(points.get_ydata() * scale, [1.26, 2.42, 4.73])
    assert unit in picture.axes[0].get_xlabel()
    assert "60.10°" in picture.alt


def test_wear_tells_the_metres_or_that_there_are_none():
    points = {
        "metres": [0, 100], "values": [0.1, 0.2], "what": "tip flat", "unit": "mm", "line_metres": [0, 100],
        "line_values": [0.1, 0.2], "limit": 0.3,
    }  # fmt: skip
    assert "200 m, give or take 30 m" in wear(WearPoints(**points, due_at=200, due_at_uncertainty=30)).alt
    assert "No wear is seen" in wear(WearPoints(**points, due_at=np.inf, due_at_uncertainty=np.inf)).alt


def test_season_draws_one_line_a_direction():
    result = SeasonMovement(
        humidities=np.array([30.0, 50, 70]), growths={"across": np.array([-0.254, 0, 0.254])}, marked={"glued": 50.0}
    )
    picture = season(result, unit="in")
    npt.assert_allclose(picture.axes.lines[0].get_ydata(), [-0.01, 0, 0.01])
    assert "-0.010 in to 0.010 in" in picture.alt


def test_levelling_draws_every_pass_and_tells_the_one_that_reaches_the_face():
    stack = levelling_stack(
        retract=16, cut_start=10, cut_depth=6.5, pass_depth=1, insert_thickness=8, start_depth=3.4, relief_depth=1.6
    )
    picture = levelling(stack)
    heights = [line.get_ydata()[0] for line in picture.axes.lines]
    for height in stack.passes:
        assert np.abs(np.array(heights) - height).min() < 1e-9
    assert "pass 6 would reach the host's face" in picture.alt


def test_levelling_draws_the_plug_as_a_v_and_names_its_heights():
    stack = levelling_stack(
        retract=18, cut_start=11, cut_depth=6.4, pass_depth=1.2, insert_thickness=9, start_depth=3.4, relief_depth=1.6
    )
    picture = levelling(stack, unit="in")
    corners = picture.axes.patches[1].get_xy() * (1, 25.4)
    ground = corners[np.isclose(corners[:, 1], 1.6)]
    nose = corners[np.isclose(corners[:, 1], -3.4)]
    assert np.ptp(nose[:, 0]) < np.ptp(ground[1:-1, 0]), "it narrows towards its flat end"
    words = " ".join(text.get_text() for text in picture.axes.texts)
    for height in (18, stack.passes[0], 5.6, 1.6, 0.6, -3.4):
        assert f"{height / 25.4:.3f} in" in words
    places = sorted(text.xy[1] for text in picture.axes.texts)
    assert min(np.diff(places)) * 0.75 * 4.6 / np.ptp(picture.axes.get_ylim()) > 0.15, "no words over others [in]"


def test_sanding_draws_each_stroke_down_to_where_it_is_lost():
    strokes = SandedStrokes(
        widths=(0.6, 1.2, 8.0),
        reserves=(-0.02, 0.4, 3.0),
        slope=0.577,
        pocket_depth=4.2,
        nose_depth=3.5,
        sanded_off=0.3,
    )
    picture = sanding(strokes)
    lowest = [line.get_ydata()[0] for line in picture.axes.lines if line.get_linestyle() == "--"]
    npt.assert_allclose(lowest, [0.28, 0.7, 3.3])
    assert "0.60 mm: lost" in picture.alt and "3.00 mm more may come off" in picture.alt


@pytest.mark.parametrize("angle", [20.0, 60.0, 90.0, 150.0])
def test_a_leaning_plug_never_overlaps_its_pocket(angle):
    from shapely import Polygon

    picture = tram(LeaningCuts(along="x", angle=angle, advised=0.01, other=0.05))
    for each in picture.axes:
        host, plug = (Polygon(patch.get_xy()) for patch in each.patches)
        assert host.is_valid and plug.is_valid and host.intersection(plug).area < 1e-9
    assert "along x the leans cancel" in picture.alt and "0.050 mm" in picture.alt


def test_glue_draws_the_void_only_where_there_is_one():
    joint = {"angle": 60, "depth": 3.5, "film": 200.0, "void": 600.0}
    assert len(glue(GluedJoint(floor_gap=0.3, **joint)).axes.patches) == 3
    assert len(glue(GluedJoint(floor_gap=0.0, **joint)).axes.patches) == 2
    assert "0.60 cm³" in glue(GluedJoint(floor_gap=0.3, **joint)).alt


def test_the_sketch_says_where_a_groove_and_a_flat_are_read():
    for angle in (10.0, 60.0, 150.0):
        picture = where_to_measure(WhereToMeasure(angle=angle))
        words = " ".join(text.get_text() for each in picture.axes for text in each.texts)
        assert "width across the top" in words and "tip flat" in words


def test_a_coupon_is_drawn_as_it_was_made_and_each_station_has_its_place():
    made = design_coupon(name="c", path_angle=60, pocket_depth=4.2, relief_depth=1.6)
    picture = coupon(made.coupon)
    assert set(picture.spots) == {station.station for station in made.coupon.stations}
    left, _, right, _ = made.strokes.bounds
    drawn = np.vstack([patch.get_path().vertices for patch in picture.axes.patches[1:] if hasattr(patch, "get_xy")])
    assert drawn[:, 0].min() >= left - 1e-4 and drawn[:, 0].max() <= right + 1e-4
    place = made.places["W1"]
    spot = picture.spots["W1"]
    x, y = picture.axes.transData.transform(place) / picture.figure.bbox.size
    assert spot[0] < x < spot[0] + spot[2] and spot[1] < 1 - y < spot[1] + spot[3]


def test_coupon_drawing_holds_every_stroke_at_scale():
    plan = design_coupon(name="c", path_angle=60, pocket_depth=4.2, relief_depth=1.6)
    picture = coupon_drawing(plan, unit="in")
    outlines = [patch.get_path().get_extents() for patch in picture.axes.patches[1:]]
    widest = max(box.width for box in outlines) * 25.4
    npt.assert_allclose(widest, max(part.bounds[2] - part.bounds[0] for part in plan.strokes.geoms), rtol=1e-9)
    assert f"{len(plan.coupon.stations)} stations" in picture.alt


def test_coupon_drawing_without_room_for_dots_shows_its_strokes():
    plan = design_coupon(name="c", path_angle=60, pocket_depth=4.2, relief_depth=1.6, length=60, width=60, border=3)
    assert plan.layout is None
    shapes = len(plan.strokes.geoms) + len(plan.marks.geoms)
    assert len(coupon_drawing(plan).axes.patches) == 1 + shapes


def test_pictures_hold_their_own_data():
    markup = grooves(GROOVES).html(dpi=60)
    assert markup.startswith("<img")
    assert "base64," in markup


def test_a_picture_may_be_drawn_on_part_of_a_larger_figure():
    whole = Figure(figsize=(8, 3), layout="constrained")
    left, _ = whole.subfigures(1, 2)
    picture = grooves(GROOVES, ax=left.subplots())
    assert picture.figure is whole and picture.png(dpi=40).startswith(b"\x89PNG")


@pytest.mark.parametrize("layout", ["constrained", "tight", "none", None])
def test_a_title_is_kept_whatever_lays_the_figure_out(layout):
    figure = Figure(layout="constrained")
    ax = figure.subplots()
    figure.set_layout_engine(layout)
    keep_title(ax)
