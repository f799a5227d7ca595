"""The reader against rendered coupons whose truth is known, and against pictures that it must refuse."""

import numpy as np
import pytest
from cases import few_of
from rendered_coupon import Scene, render

from inlaylab.errors import PictureError, Stopped
from inlaylab.pictures.opening import decode
from inlaylab.pictures.read import read_picture


def read(layout, scene, **options):
    rendered = render(layout, scene)
    return read_picture(decode(rendered.file(**options)), layout), rendered.truth


def errors_of(reading, truth):
    """Error and sd of each glue line that was answered. [mm]."""
    return np.array(
        [
            (one.glue_line - truth[one.station]["glue_line"], one.sd)
            for one in reading.stations
            if one.glue_line is not None
        ]
    )


def spread_lines(layout, seed, low, high):
    rng = np.random.default_rng(seed)
    return {place.station: float(rng.uniform(low, high)) for place in layout.places}


DARK = {  # lines darker than both woods; what differs from one to the next is what must not matter
    "scan": {"host": "tan", "insert": "pale", "turn": 4.0},
    "turned by 95 degrees": {"host": "tan", "insert": "pale", "turn": 95.0, "plug_shift": (0.01, -0.008)},
    "upside down, dark host": {"host": "brown", "insert": "pale", "turn": 200.0, "glue": (30, 28, 25)},
    "perspective, uneven light": {"host": "tan", "insert": "pale", "turn": -12.0, "perspective": 0.04, "light": 0.3},
    "soft and sharpened": {"host": "tan", "insert": "pale", "blur": 1.5, "sharpening": 0.8, "table": (230, 232, 230)},
}


@pytest.mark.parametrize("case", few_of(DARK, quick=1))
def test_dark_lines_are_read_without_bias(layout, case):
    scene = Scene(**DARK[case], lines=spread_lines(layout, 5, 0.01, 0.12), seed=len(case))
    reading, truth = read(layout, scene)
    errors = errors_of(reading, truth)
    assert len(errors) >= 8
    assert abs(errors[:, 0].mean()) < 0.005
    assert np.abs(errors[:, 0]).mean() < 0.010
    assert (np.abs(errors[:, 0]) < 3 * errors[:, 1]).mean() > 0.9


@pytest.mark.long
def test_fill_and_wedge_are_read(layout):
    fills = {"A1": 0.0, "A2": 0.5, "C1": 1.0}
    scene = Scene(host="tan", insert="pale", line=0.03, fills=fills, wedge_stop=0.55, seed=3)
    reading, truth = read(layout, scene)
    answers = {one.station: one for one in reading.stations}
    for station in ("A1", "A2", "A3", "C1"):
        assert answers[station].fill == truth[station]["fill"]
    assert answers["A1"].glue_line is None and "missing" in answers["A1"].why
    assert answers["W1"].wedge_stop == pytest.approx(0.55, abs=0.03)


@pytest.mark.long
def test_the_plugs_shift_shows_on_the_two_sides(layout):
    reading, _ = read(layout, Scene(host="tan", insert="pale", line=0.06, plug_shift=(0.0, 0.025), seed=8))
    for one in reading.stations:
        if one.station in ("A4", "A5", "A6"):
            assert one.low - one.high == pytest.approx(0.05, abs=0.025)


@pytest.mark.long
def test_a_line_like_the_insert_is_withheld(layout):
    reading, _ = read(layout, Scene(host="pale", insert="brown", glue=(104, 77, 58), line=0.06, seed=7))
    assert all(one.glue_line is None for one in reading.stations)
    assert any("looks like one of the woods" in words for words in reading.warnings)


@pytest.mark.long
def test_a_line_like_the_host_is_withheld(layout):
    reading, _ = read(layout, Scene(host="brown", insert="pale", glue=(104, 77, 58), line=0.06, seed=7))
    assert all(one.glue_line is None for one in reading.stations)
    assert any("looks like one of the woods" in words for words in reading.warnings)
    assert all(
        "looks like one of the woods" in one.why
        for one in reading.stations
        if one.kind == "bar" and one.fill == "filled"
    )


REFUSED = {
    "mirrored": ({"mirrored": True}, "mirror"),
    "coarse": ({"per_mm": 9.0}, "coarse|not where|fits"),
    "blurred": ({"blur": 9.0, "sharpening": 0.0}, "blurred|not where|fits|told"),
    "one wood": ({"insert": "tan", "glue": (186, 138, 98)}, "told|match"),
}


@pytest.mark.long
@pytest.mark.parametrize("case", REFUSED)
def test_pictures_that_cannot_be_trusted_are_refused(layout, case):
    change, words = REFUSED[case]
    with pytest.raises(PictureError, match=words) as refusal:
        read(layout, Scene(**({"host": "tan", "insert": "pale", "seed": 4} | change)))
    assert "\n" not in str(refusal.value) and ": " in str(refusal.value)


@pytest.mark.long
def test_another_coupon_is_refused(layout, other_layout):
    rendered = render(other_layout, Scene(host="tan", insert="pale", seed=4))
    with pytest.raises(PictureError):
        read_picture(decode(rendered.file()), layout)


@pytest.mark.long
@pytest.mark.parametrize("side", ["left", "top", "all round"])
def test_a_cropped_coupon_is_refused(layout, side):
    values = render(layout, Scene(host="tan", insert="pale", seed=4)).values
    cut = {"left": np.s_[:, 500:], "top": np.s_[500:, :], "all round": np.s_[400:-400, 400:-400]}[side]
    with pytest.raises(PictureError):
        read_picture(decode_values(values[cut]), layout)


@pytest.mark.parametrize("kind", ["nothing", "noise"])
def test_a_picture_of_no_coupon_is_refused(layout, kind):
    values = np.full((1500, 2000, 3), 128, np.uint8)
    if kind == "noise":
        values = np.random.default_rng(2).integers(0, 255, (1500, 2000, 3), np.uint8)
    with pytest.raises(PictureError):
        read_picture(decode_values(values), layout)


@pytest.mark.long
def test_reading_can_be_stopped(layout):
    picture = decode(render(layout, Scene(host="tan", insert="pale", seed=4)).file())
    with pytest.raises(Stopped):
        read_picture(picture, layout, progress=lambda words, share: share > 0.35)


def decode_values(values):
    from rendered_coupon import Rendered

    return decode(Rendered(values=np.ascontiguousarray(values), truth={}).file())
