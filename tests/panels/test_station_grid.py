import pytest

from inlaylab.bench.coupons import Coupon, Station
from inlaylab.bench.readings import Reading
from inlaylab.panels.log_a_test_cut.station_entries import GridState
from inlaylab.panels.log_a_test_cut.station_grid import StationGrid
from inlaylab.panels.shared.length_entries import LengthEntry


def coupon(bars=11, name="ladder"):
    stations = [
        Station(coupon=name, station=f"B{n}", kind="bar", stroke_width=0.5 + n, land_width=3, grain="along")
        for n in range(1, bars + 1)
    ]
    stations.append(Station(coupon=name, station="W1", kind="wedge", stroke_width=5, land_width=3, grain="across"))
    return Coupon(coupon=name, stations=tuple(stations))


@pytest.fixture
def state():
    grid = GridState(limit=LengthEntry("smallest gap you can see", typed="0.05 mm"))
    grid.show(coupon())
    return grid


def read(state, text, station=0):
    state.entries[station].typed = text
    return [(r.kind, r.value, r.limit, r.state) for r in state.entries[station].readings("k")]


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("0.12", [("glue_line", 0.12, 0.05, None)]),
        ("c", [("glue_line", None, 0.05, "closed")]),
        ("C F", [("glue_line", None, 0.05, "closed"), ("fill", None, None, "filled")]),
        ("<0.1", [("glue_line", None, 0.1, "closed")]),
        ("0.12 p", [("glue_line", 0.12, 0.05, None), ("fill", None, None, "partly")]),
        ("m", [("fill", None, None, "missing")]),
        ("filled", [("fill", None, None, "filled")]),
        ("", []),
    ],
)
def test_what_may_be_typed_at_a_bar(state, text, readings):
    assert read(state, text) == readings and not state.said


def test_a_wedge_takes_the_width_where_filling_stops(state):
    assert read(state, "0.4", 11) == [("wedge_stop", 0.4, None, None)]
    assert read(state, "c", 11) == [] and "wedge" in state.entries[11].said


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("oak", "c (closed)"),
        ("0.12 c", "not both"),
        ("m 0.1", "no glue line"),
        ("f p", "one mark of a kind"),
        ("1,500", "1.500 or 1500"),
        ("-0.1", "not below zero"),
    ],
)
def test_what_may_not_is_refused_beside_its_field_and_the_rest_stays(state, text, words):
    state.entries[1].typed = "0.2"
    assert read(state, text) == [] and words in state.entries[0].said
    assert state.said == "B1" and len(state.readings("k")) == 1


def test_lengths_are_kept_as_typed(state):
    state.unit = "in"
    state.entries[0].typed = "0.004"
    (reading,) = state.readings("k")
    assert reading.unit == "in" and reading.value == pytest.approx(0.1016)
    again = GridState(limit=state.limit, unit="mm")
    again.show(coupon())
    again.type_readings([reading])
    assert again.readings("k") == (reading,)


def test_two_readings_at_one_station_are_both_kept(state):
    pair = [Reading(cut="k", kind="glue_line", station="B1", value=value, unit="mm") for value in (0.1, 0.2)]
    rest = state.type_readings(pair)
    assert state.entries[0].typed.startswith("0.1") and list(rest) == [pair[1]]


def test_another_coupon_keeps_what_was_typed_at_stations_of_the_same_name(state):
    state.entries[0].typed = "c"
    state.show(coupon(bars=3, name="short"))
    assert len(state.entries) == 4 and state.entries[0].typed == "c"
    state.show(None)
    assert state.entries == ()


def submit(row, text):
    row.box.send_state = lambda *args, **options: None
    row.box.value = text
    row.box._handle_custom_msg({"event": "submit"}, [])


def test_enter_goes_on_and_a_refusal_calls_back(state, monkeypatch):
    grid = StationGrid(state)
    went = []
    for number, row in enumerate(grid.rows):
        monkeypatch.setattr(row.box, "focus", lambda n=number: went.append(n))
    grid.rows[0].box._handle_custom_msg({"event": "submit"}, [])
    grid.rows[0].box.value = "c"
    assert went == [1] and "closed" in grid.rows[0].beside.text
    grid.rows[1].box._handle_custom_msg({"event": "submit"}, [])
    grid.rows[1].box.value = "oak"
    assert went == [1, 2, 1], "back to the field that was refused"
    assert "✗" in grid.rows[1].beside.value


def test_closed_by_one_click(state):
    grid = StationGrid(state)
    grid.rows[2].closed.click()
    assert state.entries[2].typed == "c" and grid.rows[2].box.value == "c"
    assert grid.rows[2].closed.tabbable is False, "the key is c; Tab goes from field to field"


def test_the_picture_has_a_mark_for_every_station(state):
    grid = StationGrid(state)
    for number in range(12):
        assert f"inlaylab-mark-{number}" in grid.picture.value
    assert "12 stations" in grid.picture.text


def test_rows_are_used_again_for_the_next_coupon(state):
    grid = StationGrid(state)
    first = list(grid.rows)
    for bars in (3, 9, 11):
        state.show(coupon(bars=bars))
    assert grid.rows == first and len(grid.children) == 2 + 12


def test_twelve_stations_are_read(state):
    grid = StationGrid(state)
    for row in grid.rows:
        row.box.value = "0.1"
    assert len(state.readings("k")) == 12


def test_without_a_coupon_the_grid_says_to_choose_one(state):
    view = StationGrid(state)
    assert "c where it is closed" in view.hint.text
    state.show(None)
    assert "Choose a coupon" in view.hint.text
