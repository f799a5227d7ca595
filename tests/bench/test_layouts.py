"""Layouts: what is written is read back, and faults are named."""

import json

import pytest

from inlaylab.artwork.sheets.coupon import design_coupon
from inlaylab.bench.layouts import read_layout, write_layout
from inlaylab.errors import RecordError


@pytest.fixture(scope="module")
def layout():
    plan = design_coupon(
        name="c1", path_angle=60, pocket_depth=4.2, relief_depth=1.6, length=130, width=90, glue_groove=True
    )
    return plan.layout


def test_a_layout_is_read_back_as_it_was_written(layout):
    again = read_layout(write_layout(layout))
    assert write_layout(again) == write_layout(layout)
    assert [place.station for place in again.places] == [place.station for place in layout.places]


def test_the_dots_stand_as_the_interface_says(layout):
    places = [(dot.x, dot.y) for dot in layout.dots]
    assert {dot.diameter for dot in layout.dots} == {2.0}
    assert places == [(5, 5), (125, 5), (125, 85), (5, 85), (10, 85)]
    # No turn by half and no mirror image of the board looks like the board.
    for turned in (
        [(130 - x, 90 - y) for x, y in places],
        [(130 - x, y) for x, y in places],
        [(x, 90 - y) for x, y in places],
    ):
        assert set(turned) != set(places)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda record: record.pop("length"), "length"),
        (lambda record: record.update(length=-3), "length"),
        (lambda record: record.update(unit="in"), "unit"),
        (lambda record: record.update(stations=[]), "stations"),
        (lambda record: record["stations"][0].update(polygon=[[0, 0], [1, 1]]), "outline"),
        (lambda record: record["stations"][0].update(polygon=[[0, 0], [1, 1], [2, "x"], [3, 3]]), "point"),
        (lambda record: record["stations"][0].update(kind="disc"), "kind"),
        (lambda record: record["stations"].append(record["stations"][0]), "stations"),
        (lambda record: record["dots"][0].update(diameter=float("nan")), "diameter"),
    ],
)
def test_a_fault_is_named(layout, change, words):
    record = json.loads(write_layout(layout))
    change(record)
    with pytest.raises(RecordError, match=words):
        read_layout(json.dumps(record))


@pytest.mark.parametrize("text", ["", "[]", "3", "{", '{"coupon": 1}', "[" * 100_000])
def test_what_is_no_layout_is_refused(text):
    with pytest.raises(RecordError):
        read_layout(text)
