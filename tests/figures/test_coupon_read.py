"""The straightened coupon: each side by its own width, two cues, places to click on; no picture needs to be read."""

import numpy as np
import pytest

from inlaylab.figures.coupon_read import BANDS, CouponRead, coupon_read
from inlaylab.pictures.frame import Frame
from inlaylab.pictures.records import PictureReading, StationReading
from inlaylab.services.picture_readings import sides_of


@pytest.fixture(scope="module")
def told():
    """A reading made up station by station: A3 open on one side, A4 closed, the rest not read."""
    from inlaylab.artwork.sheets.coupon import design_coupon

    plan = design_coupon(name="c1", path_angle=60, pocket_depth=4.2, relief_depth=1.6, length=90, width=70, border=9)
    answers = {
        "A3": {"glue_line": 0.07, "sd": 0.006, "low": 0.12, "high": 0.02},
        "A4": {"glue_line": 0.01, "sd": 0.006, "low": 0.01, "high": 0.01},
        "W1": {"wedge_stop": 0.4},
    }
    stations = tuple(
        StationReading(station=p.station, kind=p.kind, **answers.get(p.station, {})) for p in plan.layout.places
    )
    frame = Frame(matrix=np.eye(3), middle=(0.0, 0.0), reach=1.0)
    reading = PictureReading(
        stations=stations, pixels_per_mm=23.6, drawing_fit=0.01, shrink=0.1, blur=0.05, warnings=(), frame=frame
    )
    straight = np.full((560, 720, 3), 180, np.uint8)
    sides = sides_of(reading, plan.layout)
    return CouponRead(straight=straight, layout=plan.layout, reading=reading, sides=sides, chosen="A3")


def test_a_bar_has_two_sides_on_its_drawn_outline(told):
    place = next(p for p in told.layout.places if p.station == "A3")
    low, high = (side for side in told.sides if side.station == "A3")
    assert (low.width, high.width) == (0.12, 0.02)
    corners = {tuple(np.round(corner, 6)) for corner in place.polygon}
    assert {tuple(np.round(end, 6)) for side in (low, high) for end in (side.start, side.end)} == corners
    assert low.start[1] < high.start[1]
    assert not [side for side in told.sides if side.station == "W1"]


def test_each_side_is_coloured_and_thick_by_its_own_width(told):
    picture = coupon_read(told)
    drawn = picture.axes.lines[1::2]  # each over its white rim
    by_station = [(side, line) for side, line in zip(told.sides, drawn, strict=True)]
    low, high = (line for side, line in by_station if side.station == "A3")
    assert low.get_color() != high.get_color()
    assert low.get_linewidth() == BANDS[2][2] > high.get_linewidth() == BANDS[0][2]
    assert {line.get_linestyle() for side, line in by_station if side.width is None} == {":"}
    legend = [text.get_text() for text in picture.figure.legends[0].get_texts()]
    assert legend == ["closed: below 0.05 mm", "0.05 mm to 0.10 mm", "wider than 0.10 mm", "not read"]


@pytest.mark.parametrize("unit", ["mm", "in", "thou"])
def test_places_to_click_on_cover_their_strokes(told, unit):
    picture = coupon_read(told, unit=unit)
    assert set(picture.spots) == {p.station for p in told.layout.places}
    place = next(p for p in told.layout.places if p.station == "A5")
    left, top, wide, high = picture.spots["A5"]
    size = picture.figure.bbox
    for corner in place.polygon:
        x, y = picture.axes.transData.transform(corner) / (size.width, size.height)
        assert left <= x <= left + wide and top <= 1 - y <= top + high
    assert unit in picture.axes.get_xlabel() and "A3" in picture.alt
