"""Pictures of bit, coupon, seasons and levelling: the drawn data are the results, in the reader's unit."""

import numpy as np
import numpy.testing as npt
import pytest

from inlaylab.artwork.sheets.coupon import design_coupon
from inlaylab.figures.coupon_drawing import coupon_drawing
from inlaylab.figures.grooves import GrooveLines, grooves
from inlaylab.figures.levelling import levelling
from inlaylab.figures.season import SeasonMovement, season
from inlaylab.figures.wear import WearPoints, wear
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


def test_coupon_drawing_holds_every_stroke_at_scale():
    plan = design_coupon(name="c", path_angle=60, pocket_depth=4.2, relief_depth=1.6)
    picture = coupon_drawing(plan, unit="in")
    outlines = [patch.get_path().get_extents() for patch in picture.axes.patches[1:]]
    widest = max(box.width for box in outlines) * 25.4
    npt.assert_allclose(widest, max(part.bounds[2] - part.bounds[0] for part in plan.strokes.geoms), rtol=1e-9)
    assert f"{len(plan.coupon.stations)} stations" in picture.alt


def test_pictures_hold_their_own_data():
    markup = grooves(GROOVES).html(dpi=60)
    assert markup.startswith("<img")
    assert "base64," in markup
