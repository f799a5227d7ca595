"""Pictures of a planned artwork: what is drawn are the results, and the words say it too."""

from types import SimpleNamespace as Made

import numpy as np
import pytest
import shapely

from inlaylab.artwork.axis.medial_axis import medial_axis
from inlaylab.artwork.cutting.cut_section import CutSection
from inlaylab.artwork.cutting.virtual_cut import virtual_cut
from inlaylab.figures import figure
from inlaylab.figures.planned_artwork import FILL, GLUE, PlannedArtwork
from inlaylab.figures.style import LOOKS
from inlaylab.services.planning.stroke_map import StrokeMap

SHAPE = shapely.union_all([shapely.box(0, 0, 30, 0.6), shapely.box(0, 4, 30, 10)])
LINE = [(15.0, -3.0), (15.0, 13.0)]


@pytest.fixture(scope="module")
def cut():
    depths = {"start_depth": 3.0, "pocket_depth": 4.0, "relief_depth": 2.0}
    return virtual_cut(SHAPE, bit_angle=60, tip_flat=0.2, sanded_off=0.3, pixel=0.1, **depths)


def plan(value, told=GLUE):
    """A planned artwork with a value for each stroke, from its full width."""
    where = StrokeMap.of(Made(polygons=SHAPE), medial_axis(SHAPE))
    values = np.array([value(2 * half) for half in where.stroke_half_widths])
    return PlannedArtwork(
        polygons=SHAPE, patches=where.patches, extent=where.extent, values=values, told=told, grain_from_x=30
    )


@pytest.fixture(scope="module")
def results(cut):
    return {
        "planned_artwork": plan(lambda width: 0.02 * width),
        "virtual_cut": cut,
        "cut_section": CutSection.through(cut, LINE, exaggeration=2),
    }


@pytest.mark.parametrize("unit", ["mm", "in", "thou"])
@pytest.mark.parametrize("name", ["planned_artwork", "virtual_cut", "cut_section"])
def test_axes_and_words_carry_the_unit(results, name, unit):
    picture = figure(name)(results[name], unit=unit)
    assert f"[{unit}]" in picture.axes.get_xlabel() and f"[{unit}]" in picture.axes.get_ylabel()
    assert f" {unit}" in picture.alt and len(picture.alt) > 60
    assert picture.png(dpi=50).startswith(b"\x89PNG")


def shade(picture, x, y):
    """Lightness of the pixel that is drawn at a place, 0 to 1."""
    image = picture.axes.images[0]
    left, right, bottom, top = image.get_extent()
    rows, columns = image.get_array().shape
    at = int((y - bottom) / (top - bottom) * rows), int((x - left) / (right - left) * columns)
    return image.cmap(image.norm(image.get_array()[at]))[:3] @ np.array([0.2126, 0.7152, 0.0722])


def test_a_tight_line_is_light_an_open_one_dark_and_the_scale_is_the_same_for_every_drawing():
    tight = figure("planned_artwork")(plan(lambda width: 0.02))
    mixed = figure("planned_artwork")(plan(lambda width: 0.02 if width > 1 else 0.3))
    assert shade(tight, 15, 7) == shade(mixed, 15, 7) > 0.7
    assert shade(mixed, 15, 0.3) < 0.11
    assert tight.axes.images[0].norm.vmax == mixed.axes.images[0].norm.vmax == 0.3
    inch = figure("planned_artwork")(plan(lambda width: 0.02), unit="in")
    assert inch.axes.images[0].norm.vmax == pytest.approx(0.3 / 25.4)


def test_a_stroke_that_fills_is_light_and_one_that_is_lost_is_told():
    filled = figure("planned_artwork")(plan(lambda width: 1.0 if width > 1 else 0.1, told=FILL))
    assert shade(filled, 15, 7) > 0.7 and shade(filled, 15, 0.3) < 0.2
    assert "from 10% to over 99%" in filled.alt and not filled.figure.legends
    lost = figure("planned_artwork")(plan(lambda width: 0.05 if width > 1 else np.nan))
    assert "sanded away" in lost.figure.legends[0].get_texts()[0].get_text() and "sanded away" in lost.alt


@pytest.mark.parametrize("room", [None, 340])
@pytest.mark.parametrize("name", ["planned_artwork", "virtual_cut"])
def test_no_legend_or_scale_lies_over_the_drawing(results, name, room):
    picture = figure(name)(results[name]).fitted(room)
    picture.figure.draw_without_rendering()
    drawing = picture.axes.get_window_extent()
    others = [ax.get_tightbbox() for ax in picture.figure.axes if ax is not picture.axes]
    others += [legend.get_window_extent() for legend in picture.figure.legends]
    assert others and not any(drawing.overlaps(other) for other in others)
    assert all(other.x0 >= -1 and other.x1 <= picture.figure.bbox.width + 1 for other in others)


def test_the_face_shows_what_was_found(cut):
    picture = figure("virtual_cut")(cut, line=LINE)
    image = picture.axes.images[0]
    assert np.array_equal(np.unique(image.get_array()), [0, 1, 2])
    star = next(line for line in picture.axes.lines if line.get_marker() == "*")
    assert (star.get_xdata()[0], star.get_ydata()[0]) == pytest.approx(cut.seat.contact_at)
    assert {text.get_text() for text in picture.axes.texts} == {"A", "B"}
    assert f"{cut.fill_rate:.1%}" in picture.alt


def test_host_and_plug_are_hatched_differently_and_exaggeration_is_told(cut):
    true, larger = (figure("cut_section")(CutSection.through(cut, LINE, exaggeration=k)) for k in (1, 3))
    hatches = {patch.get_hatch() for patch in true.axes.collections}
    assert hatches == {LOOKS["host"]["hatch"], LOOKS["insert"]["hatch"]}
    assert "true" in true.axes.get_title(loc="left") and true.axes.get_aspect() == 1
    assert "3 times too large" in larger.axes.get_title(loc="left") and larger.axes.get_aspect() == 3


def test_a_section_is_the_boards_own_depths(cut):
    section = CutSection.through(cut, LINE, points=101)
    at = np.column_stack([np.full(101, 15.0), np.linspace(-3, 13, 101)])
    np.testing.assert_allclose(section.pocket, np.maximum(cut.boards.pocket.at(at), 0))
    assert section.along[-1] == pytest.approx(16)
