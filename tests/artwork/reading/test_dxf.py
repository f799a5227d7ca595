"""DXF in: units, entities, blocks, nesting, what is mended and what is refused."""

import ezdxf
import numpy as np
import pytest
from ezdxf import units

from inlaylab.artwork.reading.outlines import read_artwork
from inlaylab.errors import DrawingError

SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10)]


@pytest.fixture
def drawn(tmp_path):
    """Save what a function draws into a model space, and read it."""

    def draw(build, *, unit=units.MM, version="R2010", stated=None):
        document = ezdxf.new(version, units=unit)
        document.header["$INSUNITS"] = unit
        build(document, document.modelspace())
        document.saveas(tmp_path / "drawing.dxf")
        return read_artwork(tmp_path / "drawing.dxf", unit=stated)

    return draw


def square(document, space):
    space.add_lwpolyline(SQUARE, close=True)


@pytest.mark.parametrize(
    ("unit", "factor"), [(units.MM, 1), (units.IN, 25.4), (units.CM, 10), (units.M, 1000), (units.FT, 304.8)]
)
def test_lengths_are_in_the_files_own_unit(drawn, unit, factor):
    small = [(x / 100, y / 100) for x, y in SQUARE]
    artwork = drawn(lambda d, s: s.add_lwpolyline(small, close=True), unit=unit)
    assert artwork.width == pytest.approx(0.1 * factor)


def test_a_unitless_file_is_refused_with_a_hint(drawn):
    with pytest.raises(DrawingError, match=r"states no unit.*mm, cm, m, in, ft"):
        drawn(square, unit=0)


def test_a_stated_unit_is_told_and_never_overrules_the_files(tmp_path):
    for stated in (0, units.IN):
        document = ezdxf.new(units=stated)
        document.header["$INSUNITS"] = stated
        square(document, document.modelspace())
        document.saveas(tmp_path / f"{stated}.dxf")
    artwork = read_artwork(tmp_path / "0.dxf", unit="cm")
    assert artwork.width == pytest.approx(100) and "cm was taken" in artwork.mended[0]
    with pytest.raises(DrawingError, match="another unit"):
        read_artwork(tmp_path / f"{units.IN}.dxf", unit="mm")
    with pytest.raises(DrawingError, match="not known"):
        read_artwork(tmp_path / "0.dxf", unit="furlong")


def lines(document, space):
    for start, end in zip(SQUARE, SQUARE[1:] + SQUARE[:1], strict=True):
        space.add_line(start, end)


def nested_blocks(document, space):
    inner = document.blocks.new("inner")
    inner.add_lwpolyline(SQUARE, close=True)
    outer = document.blocks.new("outer")
    outer.add_blockref("inner", (20, 0), dxfattribs={"xscale": 2, "yscale": 0.5, "rotation": 90})
    space.add_blockref("outer", (0, 0))
    space.add_blockref("inner", (100, 100), dxfattribs={"xscale": -1})


def islands(document, space):
    square(document, space)
    space.add_circle((5, 5), 3)
    space.add_circle((5, 5), 1)


def hatched(document, space):
    hatch = space.add_hatch()
    hatch.paths.add_polyline_path(SQUARE, is_closed=True)
    square(document, space)


@pytest.mark.parametrize(
    ("build", "area", "told"),
    [
        (square, 100, None),
        (islands, 100 - np.pi * 8, None),
        (lambda d, s: s.add_lwpolyline([(0, 0, 0, 0, 1), (10, 0, 0, 0, 1)], close=True), np.pi * 25, None),
        (lambda d, s: s.add_polyline2d(SQUARE, close=True), 100, None),
        (lambda d, s: s.add_ellipse((0, 0), (10, 0), 0.5), np.pi * 50, None),
        (lambda d, s: (s.add_arc((0, 0), 5, 0, 180), s.add_line((-5, 0), (5, 0))), np.pi * 12.5, "end to end"),
        (lambda d, s: s.add_solid([(0, 0), (10, 0), (0, 10), (10, 10)]), 100, None),
        (lines, 100, "4 open lines"),
        (nested_blocks, 200, None),
        (hatched, 100, "drawn twice"),
        (lambda d, s: (s.add_circle((0, 0), 5), s.add_circle((0, 0), 5)), np.pi * 25, "drawn twice"),
        (lambda d, s: s.add_lwpolyline([(0, 0), (4, 4), (4, 0), (0, 4)], close=True), 8, "crossed itself"),
        (lambda d, s: (s.add_circle((0, 0), 5), s.add_circle((5, 0), 5)), 126.37, "overlap"),
        (lambda d, s: (square(d, s), s.add_text("oak"), s.add_mtext("rye")), 100, "TEXT"),
        (lambda d, s: (lines(d, s), s.add_line((0, 0), (10, 0))), 100, "drawn twice"),
    ],
)
def test_outlines_are_filled_and_what_was_mended_is_told(drawn, build, area, told):
    artwork = drawn(build)
    assert artwork.area == pytest.approx(area, rel=1e-3)
    assert any(told in note for note in artwork.mended) if told else not artwork.mended


def test_a_spline_is_followed_to_the_tolerance(drawn):
    turn = np.linspace(0, 2 * np.pi, 41)
    points = np.stack([10 * np.cos(turn), 10 * np.sin(turn)], axis=1)
    artwork = drawn(lambda d, s: s.add_spline(fit_points=points))
    assert artwork.area == pytest.approx(np.pi * 100, rel=2e-3)


def test_small_gaps_are_closed_and_told(drawn):
    def gap(document, space):
        space.add_line((0, 0), (10, 0))
        space.add_line((10, 0.02), (10, 10))
        space.add_line((10, 10), (0, 0))

    artwork = drawn(gap)
    assert artwork.area == pytest.approx(50, rel=5e-3)
    assert any("0.02 mm" in note for note in artwork.mended)


def test_the_oldest_version_of_the_format_states_no_unit_and_is_read_with_one(drawn):
    old = {"version": "R12", "unit": 0, "stated": "mm"}
    assert drawn(lambda d, s: s.add_polyline2d(SQUARE, close=True), **old).area == pytest.approx(100)


def test_a_hidden_layer_and_an_outside_file_are_left_out_and_never_opened(drawn, tmp_path):
    (tmp_path / "other.dxf").write_text("never read", encoding="utf-8")

    def build(document, space):
        square(document, space)
        document.layers.add("off").off()
        space.add_circle((50, 0), 3, dxfattribs={"layer": "off"})
        document.add_xref_def(str(tmp_path / "other.dxf"), "other")
        space.add_blockref("other", (0, 0))

    artwork = drawn(build)
    assert artwork.area == pytest.approx(100)
    assert any("hidden" in note for note in artwork.mended)


def bomb(document, space):
    document.blocks.new("L0").add_circle((0, 0), 1)
    for level in range(1, 9):
        block = document.blocks.new(f"L{level}")
        for k in range(10):
            block.add_blockref(f"L{level - 1}", (k, 0))
    space.add_blockref("L8", (0, 0))


def itself(document, space):
    document.blocks.new("S").add_blockref("S", (0, 0))
    space.add_blockref("S", (0, 0))


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda d, s: s.add_lwpolyline(SQUARE), "outline is open at x 0, y 0"),
        (lambda d, s: (lines(d, s), s.add_line((0, 0), (5, 5)), s.add_line((5, 5), (10, 10))), "more than two lines"),
        (lambda d, s: None, "no closed outline"),
        (lambda d, s: s.add_text("oak"), "no closed outline; left out"),
        (lambda d, s: s.add_circle((0, 0), 1e9), "too many corners|too large"),
        (lambda d, s: s.add_lwpolyline([(0, 0), (1e6, 0), (0, 1e6)], close=True), "too large"),
        (bomb, "repeats its blocks"),
        (itself, "inserts itself"),
    ],
)
def test_what_has_no_clear_meaning_is_refused_with_its_place(drawn, build, words):
    with pytest.raises(DrawingError, match=words):
        drawn(build)
