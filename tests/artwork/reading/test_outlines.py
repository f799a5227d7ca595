"""Drawings in: sizes, rules and curves right; what is mended is told; what is broken is refused in one sentence."""

import importlib.util

import numpy as np
import pytest
import shapely

from inlaylab.artwork.reading.outlines import read_artwork
from inlaylab.errors import DrawingError

SHEET = 'width="100mm" height="60mm" viewBox="0 0 100 60"'
HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '


def svg(body, size=SHEET):
    return f"{HEAD}{size}>{body}</svg>"


@pytest.fixture
def read(tmp_path):
    def reading(content, name="drawing.svg", **how):
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read_artwork(path, **how)

    return reading


def rounded(artwork):
    return [round(float(value), 3) for value in artwork.polygons.bounds]


# --- SVG: size, transforms, rules of fill, strokes -----------------------------------------------------------------
@pytest.mark.parametrize(
    ("size", "side"),
    [
        ('width="100mm" height="100mm" viewBox="0 0 100 100"', 50.0),
        ('width="10cm" height="10cm" viewBox="0 0 100 100"', 50.0),
        ('width="2in" height="2in" viewBox="0 0 100 100"', 25.4),
        ('width="72pt" height="72pt" viewBox="0 0 100 100"', 12.7),
        ('width="6pc" height="6pc" viewBox="0 0 100 100"', 12.7),
        ('width="400Q" height="400Q" viewBox="0 0 100 100"', 50.0),
        ('width="96px" height="96px" viewBox="0 0 100 100"', 12.7),
        ('width="100mm" viewBox="0 0 100 100"', 50.0),
        ('height="100mm" viewBox="0 0 100 100"', 50.0),
        ('width="100%" height="100mm" viewBox="0 0 100 100"', 50.0),
        ('width="50mm" height="50mm"', 50 * 25.4 / 96),
    ],
)
def test_an_svgs_size_is_its_width_with_its_unit(read, size, side):
    # SVG 2, chapter 8, and CSS Values: 1in = 96px = 72pt = 6pc = 25.4mm, 1mm = 4Q.
    artwork = read(svg('<rect width="50" height="50"/>', size))
    assert artwork.width == pytest.approx(side, abs=1e-4) and artwork.height == pytest.approx(side, abs=1e-4)


def test_an_svg_is_seen_as_drawn_with_y_up(read):
    assert rounded(read(svg('<rect x="10" y="5" width="20" height="10"/>'))) == [10, 45, 30, 55]


def test_a_sheet_of_another_shape_keeps_its_proportion(read):
    # SVG 2, section 8.4: preserveAspectRatio is xMidYMid meet unless it says otherwise.
    artwork = read(svg('<rect width="10" height="10"/>', 'width="40mm" height="20mm" viewBox="0 0 10 10"'))
    assert rounded(artwork) == [10, 0, 30, 20]
    spread = 'width="40mm" height="20mm" viewBox="0 0 10 10" preserveAspectRatio="none"'
    assert rounded(read(svg('<rect width="10" height="10"/>', spread))) == [0, 0, 40, 20]


@pytest.mark.parametrize(
    ("body", "area"),
    [
        ('<circle cx="50" cy="30" r="10"/>', np.pi * 100),
        ('<ellipse cx="50" cy="30" rx="20" ry="10"/>', np.pi * 200),
        ('<rect x="5" y="5" width="20" height="10" rx="3"/>', 200 - (4 - np.pi) * 9),
        ('<path d="M10 30 A 20 20 0 0 1 50 30 Z"/>', np.pi * 200),
        ('<path d="M0 0 q 10 20 20 0 z"/>', 2 / 3 * 20 * 10),
        ('<path d="M0 0 c 0 20 20 20 20 0 z"/>', None),
        ('<polygon points="50,5 20,55 90,20 10,20 80,55"/>', 1419.6155),
        ('<polygon style="fill-rule:evenodd" points="50,5 20,55 90,20 10,20 80,55"/>', 989.2308),
        ('<path fill-rule="evenodd" d="M0 0h20v20h-20zM5 5h10v10h-10z"/>', 300),
        ('<path d="M0 0h20v20h-20zM5 5h10v10h-10z"/>', 400),
        ('<path d="M0 0h20v20h-20zM5 5v10h10v-10z"/>', 300),
        ('<g fill-rule="evenodd"><path d="M0 0h20v20h-20zM5 5h10v10h-10z"/></g>', 300),
        ('<line x1="10" y1="10" x2="30" y2="10" stroke="black" stroke-width="2"/>', 40),
        ('<line x1="10" y1="10" x2="30" y2="10" stroke="black" stroke-width="2" stroke-linecap="square"/>', 44),
        ('<line x1="10" y1="10" x2="30" y2="10" stroke="#000" stroke-width="2" stroke-linecap="round"/>', 40 + np.pi),
        ('<circle cx="20" cy="20" r="5" fill="none" stroke="black" stroke-width="2"/>', np.pi * (36 - 16)),
        ('<rect x="9" y="9" width="10" height="10" fill="none" stroke="red" stroke-width="2"/>', 80),
        ('<g transform="translate(50 30) rotate(30) scale(2 0.5)"><rect width="10" height="10"/></g>', 100),
        ('<g transform="matrix(1 0.5 -0.5 1 20 5)"><rect width="10" height="10"/></g>', 125),
        ('<g transform="skewX(30)"><rect width="10" height="10"/></g>', 100),
        ('<defs><g id="a"><rect width="5" height="5"/></g></defs><use xlink:href="#a" x="9"/><use href="#a"/>', 50),
        ('<symbol id="s" viewBox="0 0 10 10"><rect width="10" height="10"/></symbol>'
         '<use href="#s" x="5" y="5" width="20" height="20"/>', 400),
        ('<svg x="10" y="10" width="20" height="20" viewBox="0 0 10 10"><rect width="10" height="10"/></svg>', 400),
        ('<style>.n{fill:none}.s{stroke:#000;stroke-width:1}</style>'
         '<rect class="n s" x="3" y="3" width="5" height="5"/>', 20),
        ('<rect width="10" height="10"/><rect x="5" width="10" height="10"/>', 150),
        ('<rect width="30" height="30"/><circle cx="15" cy="15" r="5" fill="#ffffff"/>', 900 - np.pi * 25),
    ],
)  # fmt: skip
def test_svg_paints_the_area_it_should(read, body, area):
    found = read(svg(body), tolerance=0.001).area
    if area is None:  # under a cubic: x(t), y(t) summed up
        t = np.linspace(0, 1, 200_001)
        x, y = 60 * (1 - t) * t**2 + 20 * t**3, 60 * (1 - t) ** 2 * t + 60 * (1 - t) * t**2
        area = np.sum((y[1:] + y[:-1]) / 2 * np.diff(x))
    assert found == pytest.approx(area, rel=1e-3)


def test_a_finer_tolerance_follows_the_curve_more_closely(read):
    coarse, fine = (read(svg('<circle cx="50" cy="30" r="20"/>'), tolerance=t).area for t in (0.1, 0.001))
    assert abs(fine - np.pi * 400) < 0.15 < abs(coarse - np.pi * 400)


@pytest.mark.parametrize(
    ("body", "told"),
    [
        ('<text display="none">oak</text>', "hidden text"),
        ('<image href="photo.png" width="9" height="9"/>', "embedded picture"),
        ('<rect visibility="hidden" width="9" height="9"/>', "hidden shape"),
        ('<rect display="none" width="9" height="9"/>', "hidden shape"),
        ('<clipPath id="c"/><rect clip-path="url(#c)" x="2" width="1" height="1"/>', "clip-path"),
        ('<rect style="mask:url(#m)" x="2" width="1" height="1"/>', "mask"),
        ('<line x2="9" stroke="#000" stroke-dasharray="2 1"/>', "stroke-dasharray"),
        ('<use href="other.svg#a"/>', "outside"),
        ('<script>alert(1)</script>', "script"),
        ('<rect fill="white" width="90" height="50"/>', "white"),
    ],
)  # fmt: skip
def test_what_an_svg_leaves_out_is_told(read, body, told):
    artwork = read(svg(body + '<rect x="40" y="40" width="5" height="5"/>'))
    assert any(told in note for note in artwork.mended), artwork.mended


@pytest.mark.parametrize("beside", ["", '<rect x="40" y="40" width="5" height="5"/>'])
def test_text_is_refused_with_what_to_do(read, beside):
    with pytest.raises(DrawingError, match="convert the text to outlines first"):
        read(svg("<g><text>oak <tspan>&amp; rye</tspan></text></g>" + beside))


def test_a_doctype_is_read_without_fetching_it(read):
    doctype = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://example.invalid/svg11.dtd">'
    square = svg('<path d="M0 0h4v4h-4z"/>')
    assert read(f'<?xml version="1.0"?>{doctype}{square}').area == pytest.approx(16)


# --- well-known text --------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("text", "area", "told"),
    [
        ("POLYGON ((0 0, 10 0, 10 10, 0 10, 0 0), (2 2, 4 2, 4 4, 2 4, 2 2))", 96, None),
        ("POLYGON ((0 0, 4 4, 4 0, 0 4, 0 0))", 8, "Self-intersection at 2 2"),
        ("MULTIPOLYGON (((0 0, 4 0, 4 4, 0 4, 0 0)), ((0 0, 4 0, 4 4, 0 4, 0 0)))", 16, "joined"),
        ("LINESTRING (0 0, 4 0, 4 4, 0 0)", 8, "closed line"),
        ("POLYGON ((0 0, 4 0, 4 4, 0 0))\nPOLYGON ((10 0, 14 0, 14 4, 10 0))\n", 16, None),
        ("POLYGON Z ((0 0 1, 4 0 1, 4 4 1, 0 0 1))", 8, None),
        ("\ufeffPOLYGON ((0 0, 4 0, 4 4, 0 0))", 8, None),
    ],
)
def test_wkt_is_read_and_mended(read, text, area, told):
    artwork = read(text, "art.wkt")
    assert artwork.area == pytest.approx(area, abs=1e-6)
    assert any(told in note for note in artwork.mended) if told else not artwork.mended


# --- bitmaps ----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("kind", ["png", "jpg", "bmp", "gif", "tiff", "webp"])
def test_a_bitmap_is_traced_at_its_stated_width(tmp_path, kind):
    from PIL import Image, ImageDraw

    picture = Image.new("L", (400, 300), 255)
    ImageDraw.Draw(picture).ellipse((100, 50, 299, 249), fill=0)
    path = tmp_path / f"disc.{kind}"
    picture.save(path)
    artwork = read_artwork(path, width=80)
    assert artwork.area == pytest.approx(np.pi * 20**2, rel=0.01)
    assert rounded(artwork) == pytest.approx([20, 10, 60, 50], abs=0.1)
    assert any("50% darkness" in note for note in artwork.mended)


def test_threshold_and_smoothing_change_the_outline_and_are_told(tmp_path):
    from PIL import Image

    shade = np.tile(np.linspace(0, 255, 300).astype(np.uint8), (60, 1))
    path = tmp_path / "shade.png"
    Image.fromarray(shade).save(path)
    dark, light = (read_artwork(path, width=30, threshold=t, smoothing=0).width for t in (0.75, 0.25))
    assert dark == pytest.approx(7.5, abs=0.15) and light == pytest.approx(22.5, abs=0.15)
    assert "blur of 3 pixels" in read_artwork(path, width=30, smoothing=3).mended[0]


def test_what_is_transparent_is_no_artwork(tmp_path):
    from PIL import Image

    picture = Image.new("RGBA", (100, 100), (0, 0, 0, 0))
    picture.paste((0, 0, 0, 255), (20, 20, 80, 80))
    picture.save(tmp_path / "clear.png")
    assert read_artwork(tmp_path / "clear.png", width=10).area == pytest.approx(36, rel=0.01)


# --- drawings by general-purpose writers ------------------------------------------------------------------------------
def test_matplotlib_writes_an_svg_that_is_read_at_true_size(tmp_path):
    from matplotlib.figure import Figure
    from matplotlib.patches import Circle, Rectangle

    figure = Figure(figsize=(80 / 25.4, 40 / 25.4))
    axes = figure.add_axes((0, 0, 1, 1), xlim=(0, 80), ylim=(0, 40))
    axes.set_axis_off()
    axes.add_patch(Rectangle((5, 5), 20, 10, color="black", linewidth=0))
    axes.add_patch(Circle((50, 20), 8, color="black", linewidth=0))
    axes.text(62, 5, "i l")  # letters are written as outlines, the blank as a path without a line
    figure.savefig(tmp_path / "plot.svg")
    artwork = read_artwork(tmp_path / "plot.svg")
    parts = sorted(shapely.get_parts(artwork.polygons), key=lambda part: part.bounds[0])
    assert len(parts) == 5
    assert [round(v, 2) for v in parts[0].bounds] == [5, 5, 25, 15]
    assert parts[1].area == pytest.approx(np.pi * 64, rel=2e-3)  # matplotlib's circle is made of cubics


def test_svgwrite_writes_groups_symbols_and_strokes(tmp_path):
    import svgwrite

    drawing = svgwrite.Drawing(str(tmp_path / "w.svg"), size=("60mm", "40mm"), viewBox="0 0 60 40")
    leaf = drawing.defs.add(drawing.g(id="leaf"))
    leaf.add(drawing.path(d="M0,0 C4,-6 8,-6 12,0 C8,6 4,6 0,0 Z"))
    for k in range(3):
        drawing.add(drawing.use(leaf, insert=(5 + 16 * k, 10)))
    drawing.add(drawing.line((5, 30), (55, 30), stroke="black", stroke_width=1.5))
    drawing.save()
    artwork = read_artwork(tmp_path / "w.svg")
    assert len(artwork.polygons.geoms) == 4
    t = np.linspace(0, 1, 100_001)
    y, x = 18 * (1 - t) * t, 12 * (1 - t) ** 2 * t + 24 * (1 - t) * t**2 + 12 * t**3
    leaf_area = 2 * np.sum((y[1:] + y[:-1]) / 2 * np.diff(x))
    assert artwork.area == pytest.approx(3 * leaf_area + 75, rel=2e-3)


def test_drawsvg_writes_arcs_and_transforms(tmp_path):
    import drawsvg

    drawing = drawsvg.Drawing(50, 50, origin=(0, 0))
    drawing.set_render_size("50mm", "50mm")
    group = drawsvg.Group(transform="translate(25 25) rotate(20)")
    group.append(drawsvg.Rectangle(-10, -5, 20, 10, rx=2))
    group.append(drawsvg.Circle(0, 12, 3, fill="none", stroke="black", stroke_width=1))
    drawing.append(group)
    drawing.save_svg(str(tmp_path / "d.svg"))
    area = 200 - (4 - np.pi) * 4 + np.pi * (3.5**2 - 2.5**2)
    assert read_artwork(tmp_path / "d.svg").area == pytest.approx(area, rel=2e-3)


@pytest.mark.parametrize("name", ["ornament.svg", "lettering.svg", "leaf.dxf", "comb.wkt"])
def test_the_kits_own_drawings_are_read_and_made_again(root, tmp_path, name):
    spec = importlib.util.spec_from_file_location("make_artwork", root / "tests" / "make_artwork.py")
    maker = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(maker)
    path = root / "data" / "artwork" / name
    artwork = read_artwork(path)
    assert artwork.area > 200 and not artwork.mended
    assert path.stat().st_size < 25_000
    if name == "leaf.dxf":
        maker.leaf(tmp_path / name)
        assert read_artwork(tmp_path / name).polygons.equals(artwork.polygons)
    else:
        made = tmp_path / name
        made.write_text(getattr(maker, name.split(".")[0])(), encoding="utf-8")
        apart = read_artwork(made).polygons.symmetric_difference(artwork.polygons)
        assert apart.area <= 0.01 * artwork.area  # another matplotlib traces letters a little otherwise
