"""Pictures of a planned artwork: what is drawn are the results, and the words say it too."""

import numpy as np
import pytest
import shapely

from inlaylab.artwork.axis.thin_strokes import thin_strokes
from inlaylab.artwork.cutting.virtual_cut import virtual_cut
from inlaylab.figures import figure
from inlaylab.figures.cut_section import CutSection
from inlaylab.figures.planned_artwork import PlannedArtwork
from inlaylab.figures.style import LOOKS

SHAPE = shapely.union_all([shapely.box(0, 0, 30, 0.6), shapely.box(0, 4, 30, 10)])
LINE = [(15.0, -3.0), (15.0, 13.0)]


@pytest.fixture(scope="module")
def cut():
    depths = {"start_depth": 3.0, "pocket_depth": 4.0, "relief_depth": 2.0}
    return virtual_cut(SHAPE, bit_angle=60, tip_flat=0.2, sanded_off=0.3, pixel=0.1, **depths)


@pytest.fixture(scope="module")
def results(cut):
    thin = thin_strokes(SHAPE, limit=0.8, path_angle=60)
    return {
        "planned_artwork": PlannedArtwork(polygons=SHAPE, thin=thin, grain_from_x=30),
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


def test_thin_strokes_are_marked_by_colour_and_hatch(results):
    picture = figure("planned_artwork")(results["planned_artwork"])
    whole, thin = picture.axes.patches
    assert thin.get_hatch() and not whole.get_hatch() and thin.get_facecolor() != whole.get_facecolor()
    assert thin.get_path().get_extents().height == pytest.approx(0.6, abs=1e-3)
    assert "1 places" in picture.alt


def test_no_thin_stroke_is_told_as_such():
    plan = PlannedArtwork(polygons=SHAPE, thin=thin_strokes(SHAPE, limit=0.1, path_angle=60))
    assert "No stroke is thinner" in figure("planned_artwork")(plan).alt


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
