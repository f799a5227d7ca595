"""Drawings are read back and measured: each kind of file, with another library than the one that wrote it."""

import re
import zlib

import ezdxf
import numpy as np
import numpy.testing as npt
import pytest
import shapely
from svgelements import SVG, Path

from inlaylab.artwork.sheets import drawings
from inlaylab.errors import DrawingError

FRAME = shapely.MultiPolygon([shapely.box(10, 10, 30, 24).difference(shapely.box(14, 13, 20, 20))])


def written(sheet, path):
    [path] = drawings.write_together(path.parent, {path.name: sheet})
    return path


@pytest.fixture
def sheet():
    return drawings.Sheet(
        width=90,
        height=60,
        title="a frame",
        layers=(drawings.Layer(name="strokes", polygons=FRAME), drawings.check_line(20, 5)),
        texts=((5, 50, 3, "to be <read> & $not$ cut"),),
    )


def svg_boxes(path, height):
    """Bounds in mm, y up, of every path of an SVG, by the name of its group."""
    found = []
    for element in SVG.parse(str(path), ppi=96).elements():
        if isinstance(element, Path) and len(element):
            left, top, right, bottom = np.array(element.bbox()) * 25.4 / 96
            found.append((left, height - bottom, right, height - top))
    return np.array(found)


def test_svg_has_true_size(sheet, tmp_path):
    path = written(sheet, tmp_path / "frame.svg")
    page = SVG.parse(str(path), ppi=96)
    npt.assert_allclose([page.width * 25.4 / 96, page.height * 25.4 / 96], [90, 60], atol=1e-3)
    boxes = svg_boxes(path, 60)
    for expected in ((10, 10, 30, 24), (20, 5, 70, 5)):
        assert np.abs(boxes - expected).max(axis=1).min() < 0.01
    text = path.read_text(encoding="utf-8")
    assert 'id="strokes"' in text
    assert 'id="check_line"' in text
    assert "&lt;read&gt;" in text


def test_svg_keeps_holes(sheet, tmp_path):
    path = written(sheet, tmp_path / "frame.svg")
    (outline,) = (
        element for element in SVG.parse(str(path), ppi=96).elements()
        if isinstance(element, Path) and len(element) > 6
    )  # fmt: skip
    scale = 25.4 / 96
    rings = [
        [(point.x * scale, point.y * scale) for point in (segment.end for segment in part) if point is not None]
        for part in outline.as_subpaths()
    ]
    area = shapely.Polygon(rings[0]).symmetric_difference(shapely.Polygon(rings[1])).area
    npt.assert_allclose(area, FRAME.area, rtol=1e-4)


def test_dxf_has_true_size_units_and_layers(sheet, tmp_path):
    path = written(sheet, tmp_path / "frame.dxf")
    document = ezdxf.readfile(path)
    assert document.units == ezdxf.units.MM
    rings = [np.array(line.get_points("xy")) for line in document.modelspace().query('LWPOLYLINE[layer=="strokes"]')]
    area = shapely.Polygon(rings[0]).symmetric_difference(shapely.Polygon(rings[1])).area
    npt.assert_allclose(area, FRAME.area, rtol=1e-9)
    lines = document.modelspace().query('LWPOLYLINE[layer=="check_line"]')
    assert max(np.ptp(np.array(line.get_points("xy"))[:, 0]) for line in lines) == drawings.CHECK_LENGTH
    (note,) = document.modelspace().query("TEXT")
    assert note.dxf.text == "to be <read> & $not$ cut"


def pdf_points(path):
    """Every point of a PDF's pages, in mm, and the size of its page."""
    data = path.read_bytes()
    box = re.search(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+) ?\]", data)
    drawn = b"".join(
        zlib.decompress(stream)
        for stream in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL)
        if stream[:1] == b"\x78"
    )
    points = re.findall(rb"(?m)^([\d.]+) ([\d.]+) [ml]$", drawn)
    scale = 25.4 / 72
    return np.array(points, dtype=float) * scale, [float(side) * scale for side in box.groups()]


def test_pdf_has_true_size(sheet, tmp_path):
    points, page = pdf_points(written(sheet, tmp_path / "frame.pdf"))
    npt.assert_allclose(page, [90, 60], atol=0.01)
    for corner in ((10, 10), (30, 24), (14, 13), (20, 5), (70, 5)):
        assert np.abs(points - corner).max(axis=1).min() < 0.01


@pytest.mark.parametrize("kind", drawings.WRITERS)
def test_every_kind_is_whole_and_never_written_over(sheet, tmp_path, kind):
    first = written(sheet, tmp_path / f"a{kind}")
    before = first.read_bytes()
    with pytest.raises(DrawingError, match="there already"):
        written(sheet, first)
    assert first.read_bytes() == before and len(before) > 500
    assert [path.name for path in tmp_path.iterdir()] == [first.name]


def test_what_cannot_be_written_leaves_nothing_behind(sheet, tmp_path):
    (tmp_path / "folder").write_text("a file")
    with pytest.raises(DrawingError, match="the folder cannot be written"):
        drawings.write_together(tmp_path / "folder", {"a.svg": sheet})
    with pytest.raises(DrawingError, match="the folder cannot be written"):
        drawings.write_together(tmp_path, {"a.svg": sheet, "no such/b.svg": sheet})
    assert [path.name for path in tmp_path.iterdir()] == ["folder"]
