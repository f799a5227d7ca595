"""Every picture of the registry: units on its axes, words for it, nothing that leaks, hostile words drawn as words."""

import math
import re

import matplotlib
import numpy as np
import pytest
from made_up_answer import advice_result

import inlaylab.figures
from inlaylab.figures import figure
from inlaylab.figures.bend import bend
from inlaylab.figures.glue_line import GlueBand, GlueReading
from inlaylab.figures.section import section
from inlaylab.figures.style import LOOKS, Picture, plain
from inlaylab.fitting.review.beside_others import Beside, Place
from inlaylab.models.seating import CONTACTS
from inlaylab.services.by_hand.section import Section
from inlaylab.services.by_hand.turned_by_hand import Bend
from inlaylab.wording.contacts import HELD_BY

BAD = "$x^2$ \\alpha <b> \u202e 🪵"


def section_result(**changes):
    settings = {
        "start_depth": 3.6,
        "pocket_depth": 4.0,
        "relief_depth": 1.5,
        "stroke_widths": (1.2, 6.0),
        "land_width": 3.0,
        "path_angle": 60.0,
        "true_angle": 60.5,
        "tip_flat": 0.1,
        "crest_loss": 0.2,
    }
    return Section.seated(**settings | changes)


def band_result():
    readings = (
        GlueReading(stroke_width=1, value=0.06, name="T1 B1"),
        GlueReading(stroke_width=3, value=0.05, closed=True),
        GlueReading(stroke_width=6, value=2.5, suspect=True, name=BAD),
    )
    low, high = (0.0, 0.01, 0.02), (0.08, 0.09, 0.1)
    middle = (0.03, 0.04, 0.05)
    return GlueBand(
        stroke_widths=(1, 4, 8), q05=low, q25=low, q50=middle, q75=high, q95=high, readings=readings, within=0.1
    )


def beside_result():
    flat = Place(name="tip_flat_mean", meaning="tip flat", others=(0.04, 0.08, 0.15), own=(0.09, 0.11, 0.13), share=0.8)
    return Beside(places=(flat,), shops=30)


def test_every_contact_has_its_words():
    assert set(HELD_BY) == set(CONTACTS)


@pytest.mark.parametrize("words", [True, False])
def test_a_narrow_section_lists_its_lengths_below_and_clear_of_the_drawing(words):
    picture = section(section_result(), words=words).fitted(360)
    (listed,) = picture.figure.texts
    assert "floor gap" in listed.get_text() and "glue lines, left to right" in listed.get_text()
    picture.figure.draw_without_rendering()
    below = listed.get_window_extent()
    assert below.y0 >= 0 and below.x1 <= picture.figure.bbox.width
    assert below.y1 < picture.axes.xaxis.label.get_window_extent().y0


def bend_result(**changes):
    depths = np.linspace(2.2, 4.7, 6)
    curve = {"start_depths": depths, "worst_lines": np.maximum(0.02, depths - 3.9), "here": 0.02}
    return Bend(**{**curve, "bend": 3.93, "start_depth": 3.4, "pocket_depth": 4.2, **changes})


def test_the_bend_of_one_cut_is_marked_where_there_is_one():
    picture = bend(bend_result())
    assert "bend at 3.93 mm" in picture.alt
    curve, mark, pocket, here = picture.axes.lines
    assert (mark.get_xdata()[0], pocket.get_xdata()[0], here.get_xdata()[0]) == (3.93, 4.2, 3.4)
    assert curve.get_ydata()[0] == 0.02
    assert "No start depth changes" in bend(bend_result(bend=math.inf)).alt
    assert len(bend(bend_result(bend=math.inf)).axes.lines) == 3


@pytest.mark.parametrize("unit", ["mm", "in", "thou"])
@pytest.mark.parametrize(
    ("name", "result"),
    [
        ("bend", bend_result()),
        ("section", section_result()),
        ("worst_line", advice_result()),
        ("made_of", advice_result().made_of),
        ("glue_line", band_result()),
        ("settings", advice_result()),
        ("beside_others", beside_result()),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_units_stand_on_the_axes_and_in_the_words(name, result, unit):
    picture = figure(name)(result, unit=unit)
    assert f"[{unit}]" in picture.axes.get_xlabel() or f"[{unit}]" in picture.axes.get_ylabel()
    assert re.search(rf"\d {unit}\b", picture.alt) and len(picture.alt) > 60
    assert picture.png(dpi=60).startswith(b"\x89PNG")


def test_every_file_draws_the_figure_of_its_name_and_the_room_says_what_it_is_for(root):
    files = {path.stem for path in (root / "inlaylab" / "figures").glob("*.py")} - {"__init__", "style", "scales"}
    assert all(callable(figure(name)) for name in files)
    assert files <= set(re.findall(r"`(\w+)`", inlaylab.figures.__doc__))


def test_a_target_out_of_reach_is_told_as_such():
    picture = figure("worst_line")(advice_result(limit=None))
    assert "No start depth has the chance of 90%" in picture.alt


def test_the_start_depth_to_go_by_is_drawn_where_it_is():
    picture = figure("worst_line")(advice_result(bend=3.55), unit="in")
    marks = [line for line in picture.axes.lines if line.get_marker() == "D"]
    assert marks[0].get_xdata()[0] == pytest.approx(3.5 / 25.4)
    assert marks[0].get_ydata()[0] == pytest.approx(0.08 / 25.4)
    words = [text.get_text() for text in picture.figure.legends[0].get_texts()]
    assert any(word.startswith("bend") for word in words) and any(word.startswith("limit") for word in words)


def test_the_parts_of_a_worst_line_stand_one_after_the_other():
    picture = figure("made_of")(advice_result().made_of)
    bars = picture.axes.patches
    ends = [bar.get_x() + bar.get_width() for bar in bars[:-1]]
    assert [bar.get_x() for bar in bars[1:-1]] == pytest.approx(ends[:-1])
    assert ends[-1] == pytest.approx(bars[-1].get_width()) and "path angle" in picture.alt


def test_settings_that_gain_nothing_are_told_as_such():
    picture = figure("settings")(advice_result(turned=False))
    assert "less than you can see" in picture.alt and len(picture.axes.patches) == 2


def test_a_suspect_far_off_is_drawn_at_the_rim_and_named():
    picture = figure("glue_line")(band_result())
    top = picture.axes.get_ylim()[1]
    assert top < 0.2 and "Suspect" in picture.alt
    marks = [line for line in picture.axes.lines if line.get_marker() == "X"]
    assert len(marks) == 1 and marks[0].get_ydata()[0] <= top


@pytest.mark.parametrize(
    ("changes", "held"),
    [
        ({}, "wall"),
        ({"start_depth": 4.3}, "floor"),
        ({"crest_loss": 0.0, "true_angle": 60.0}, "crest"),
        ({"relief_depth": 0.05}, "backer"),
    ],
)
def test_the_section_shows_what_touches(changes, held):
    result = section_result(**changes)
    assert result.seat.held_up_by == held, "the case is meant to show this contact"
    picture = figure("section")(result, words=True)
    assert picture.axes.get_title(loc="left") == f"Held up by: {held}" and HELD_BY[held] in picture.alt
    stars = [line for line in picture.axes.lines if line.get_marker() == "*"]
    assert len(stars) == 1


def test_the_section_is_drawn_to_scale():
    result = section_result(tip_flat=0.0, true_angle=60.0, crest_loss=0.0)
    picture = figure("section")(result)
    host, insert = picture.axes.patches[:2]
    assert picture.axes.get_aspect() == 1.0
    depths = host.get_xy()[:, 1]
    assert depths.max() > result.pocket_depth and sorted(set(depths.round(6)))[-2] == pytest.approx(4.0)
    assert insert.get_xy()[:, 1].max() == pytest.approx(result.start_depth), (
        "perfect bit: the nose is at the start depth"
    )


def test_foreign_words_are_never_read_as_formulas():
    assert plain(BAD) == "$x^2$ \\alpha <b> □"
    picture = figure("glue_line")(band_result(), title=BAD)
    assert picture.png(dpi=50)
    assert picture.axes._left_title.get_parse_math() is False


def test_words_of_a_picture_are_escaped():
    drawn = figure("section")(section_result())
    picture = Picture(figure=drawn.figure, axes=drawn.axes, alt='"><script>')
    assert "<script" not in picture.html() and "&quot;&gt;&lt;script&gt;" in picture.html()


def test_looks_differ_by_more_than_colour():
    cues = [
        (look.get("marker"), look.get("linestyle"), look.get("hatch"))
        for name, look in LOOKS.items()
        if name in ("along", "across", "now", "turned", "host", "insert", "reading", "closed", "suspect")
    ]
    assert len({str(cue) for cue in cues}) == len(cues)


def test_figures_do_not_stay_behind():
    import gc
    import weakref

    picture = figure("section")(section_result())
    seen = weakref.ref(picture.figure)
    del picture
    gc.collect()
    assert seen() is None
    assert not matplotlib._pylab_helpers.Gcf.figs


def test_saving_a_picture_leaves_its_layout_as_it_was():
    picture = section(section_result())
    engine, dpi = picture.figure.get_layout_engine(), picture.figure.dpi
    assert picture.png(dpi=90) == picture.png(dpi=90)
    assert picture.figure.get_layout_engine() is engine and picture.figure.dpi == dpi
