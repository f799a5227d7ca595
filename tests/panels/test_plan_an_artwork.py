"""Notebook 5's panel, clicked, turned and typed into without a screen."""

import datetime

import pytest

from inlaylab.artwork.reading.outlines import read_artwork
from inlaylab.panels.plan_an_artwork.view import PlanAnArtwork
from inlaylab.services.planning.plan import Drawing
from inlaylab.services.planning.plan_settings import TURNS, Settings


@pytest.fixture
def panel(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return PlanAnArtwork()


def choose(panel, name):
    panel.fields["drawing"].box.value = name


def uploaded(name, content):
    """What the browser hands over."""
    when = datetime.datetime(2026, 3, 1, tzinfo=datetime.UTC)
    return ({"name": name, "type": "", "size": len(content), "content": memoryview(content), "last_modified": when},)


def test_it_opens_with_a_drawing_the_newest_cuts_bit_and_an_answer(panel):
    last = panel.state.shop.cuts[-1]
    assert panel.fields["bit"].box.value == last.bit
    assert "48.40 mm wide" in panel.drawn.text
    assert "Held up by" in panel.answer.text and panel.answer.text.count("of the artwork fills") == 1
    assert set(panel.sliders) == set(TURNS)
    assert "each stroke coloured by its glue line" in panel.pictures["artwork"].alt
    assert not panel.pictures["section"].value


def test_the_picture_follows_the_sliders_and_the_colour_that_is_asked_for(panel):
    before = panel.pictures["artwork"].value
    panel.sliders["tip_flat"].value = 0.3
    assert panel.pictures["artwork"].value != before
    panel.colour_by.value = "chance to fill"
    assert "coloured by its chance to fill" in panel.pictures["artwork"].alt


def test_a_new_drawing_is_there_as_soon_as_it_is_chosen_at_its_own_size(panel):
    panel.state.turn(scale=2.0, rotation=30.0)
    choose(panel, "leaf.dxf")
    assert panel.drawn.text.startswith("leaf.dxf") and "at " not in panel.drawn.text
    assert panel.state.settings.scale == 1.0 and panel.state.settings.rotation == 0.0


def test_drawings_of_the_folder_and_uploaded_ones_are_listed(panel, tmp_path):
    bar = b"POLYGON ((0 0, 30 0, 30 4, 0 4, 0 0))"
    panel.upload.value = uploaded("../sub/bar.wkt", bar)
    assert (tmp_path / "bar.wkt").read_bytes() == bar
    assert "30.00 mm wide" in panel.drawn.text and panel.fields["drawing"].box.value == "bar.wkt"
    assert "bar.wkt" in PlanAnArtwork().fields["drawing"].box.options
    panel.upload.value = uploaded("bar.wkt", b"other")
    assert "another file has this name" in panel.lines["drawing"].text and (tmp_path / "bar.wkt").read_bytes() == bar
    panel.upload.value = uploaded("bar.exe", b"x")
    assert "not known" in panel.lines["drawing"].text and not (tmp_path / "bar.exe").exists()


def test_an_svg_of_text_is_refused_with_what_to_do(panel, tmp_path):
    (tmp_path / "name.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="9mm"><text y="9">Oak</text></svg>'
    )
    panel.state.list_drawings()
    choose(panel, "name.svg")
    assert "convert the text to outlines first" in panel.lines["drawing"].text and "48.40 mm wide" in panel.drawn.text
    assert "inlaylab-stale" in panel.shown._dom_classes, "the old drawing's answer says that it is one"


@pytest.mark.long
def test_every_slider_changes_its_setting_and_only_that(panel):
    for name, slider in panel.sliders.items():
        before = panel.state.settings
        slider.value = slider.value + 3 * slider.step if slider.value + 3 * slider.step <= slider.max else slider.min
        after = panel.state.settings
        changed = {field for field in Settings.__dataclass_fields__ if getattr(before, field) != getattr(after, field)}
        assert changed == {name}


def test_the_answer_follows_the_closed_form(panel):
    choose(panel, "comb.wkt")
    panel.state.turn(
        true_angle=60.0, path_angle=60.0, tip_flat=0.1, pocket_depth=4.0, start_depth=3.0, relief_depth=2.0
    )
    seat = panel.state.quick.seat
    assert seat.held_up_by == "crest" and seat.stand_off == pytest.approx(-0.0866, abs=1e-3)
    panel.state.turn(start_depth=4.2)
    assert panel.state.quick.seat.held_up_by in ("floor", "nose")


@pytest.mark.long
def test_the_button_draws_cut_section_thin_strokes_grain_and_cost(panel):
    panel.state.turn(tip_flat=0.1, true_angle=60.5, path_angle=60.0)
    rough = []
    panel.state.observe(lambda change: rough.append(change["new"]), "rough")
    panel.work.click()
    panel.state.wait(60)
    assert panel.state.stage.state == "done", panel.state.stage.reason
    assert [cut.grid.pixel > panel.state.worked.cut.grid.pixel for cut in rough if cut is not None] == [True]
    assert "finished face fills" in panel.answer.text and "across the grain" in panel.worked.text
    assert all(picture.value for picture in panel.pictures.values())
    assert "Finished face" in panel.pictures["artwork"].alt
    assert "Host blank" in panel.cost.text and "Glue: up to" in panel.cost.text
    shown = panel.answer.text + panel.worked.text + panel.log.text
    assert shown.count("fills") == 1 and shown.count("idest glue line") == 1  # one fill rate and one glue line
    panel.sliders["start_depth"].value = panel.sliders["start_depth"].value - 0.2
    assert "each stroke coloured" in panel.pictures["artwork"].alt and "long bar" in panel.answer.text


def test_the_section_says_when_depth_is_exaggerated(panel):
    choose(panel, "comb.wkt")
    panel.cut_through.click()
    assert "Draw the virtual cut first" in panel.pictures["section"].alt
    panel.work.click()
    panel.state.wait(60)
    assert "depths are drawn true" in panel.pictures["section"].alt
    panel.fields["exaggeration"].box.value = "4"
    panel.cut_through.click()
    assert "4 times too large" in panel.pictures["section"].alt
    for name in ("x_b", "y_b"):
        panel.fields[name].box.value = panel.fields[name.replace("b", "a")].box.value
    panel.cut_through.click()
    assert "no length" in panel.lines["section"].text


def test_a_running_cut_can_be_stopped_and_tells_how_far_it_is(panel):
    panel.state.turn(scale=4.0)
    panel.work.click()
    assert panel.work.disabled
    panel.stop.click()
    panel.state.wait(60)
    assert panel.state.stage.state == "stopped" and panel.state.worked is None
    assert "Stopped" in panel.doing.text and not panel.work.disabled


def test_a_file_of_mine_is_opened_and_a_broken_one_keeps_what_is_there(panel, tmp_path):
    (tmp_path / "mine.wkt").write_text("POLYGON ((0 0, 30 0, 30 4, 0 4, 0 0))")
    panel.fields["drawing"].box.value = "a file in another folder"
    assert panel.file_fields.layout.display is None
    panel.open.click()
    assert "file" in panel.lines["drawing"].text and panel.lines["drawing"].error is not None
    panel.fields["file"].box.value = "mine.wkt"
    panel.open.click()
    assert "30.00 mm wide" in panel.drawn.text
    (tmp_path / "broken.svg").write_text("<svg>")
    panel.fields["file"].box.value = "broken.svg"
    panel.open.click()
    assert "not well-formed" in panel.lines["drawing"].text and "30.00 mm wide" in panel.drawn.text


def test_words_of_a_strangers_drawing_are_shown_as_words(panel, tmp_path):
    (tmp_path / "<b>x.wkt").write_text("POLYGON ((0 0, 30 30, 30 0, 0 30, 0 0))")
    panel.fields["drawing"].box.value = "a file in another folder"
    panel.fields["file"].box.value = "<b>x.wkt"
    panel.open.click()
    assert "Fixed" in panel.drawn.text and "<b>x" in panel.drawn.text and "<b>x" not in panel.drawn.value


@pytest.mark.long
def test_drawings_are_written_at_their_scale_and_never_over_a_file(panel, tmp_path):
    panel.state.turn(scale=2.0, rotation=20.0, outline_offset=0.05)
    panel.fields["folder"].box.value = "out"
    panel.write.click()
    assert sorted(path.suffix for path in (tmp_path / "out").iterdir()) == [".dxf", ".dxf", ".pdf", ".svg", ".svg"]
    drawn = panel.state.drawing.artwork
    assert read_artwork(tmp_path / "out" / "pocket.svg").area == pytest.approx(4 * drawn.area, rel=1e-5)
    assert read_artwork(tmp_path / "out" / "plug.dxf").area > 4 * drawn.area
    panel.write.click()
    assert "there already" in panel.lines["write"].text


def test_changing_the_unit_keeps_every_length(panel):
    before = panel.state.settings
    panel.unit.value = "in"
    assert panel.sliders["start_depth"].value == pytest.approx(before.start_depth / 25.4)
    assert panel.sliders["scale"].value == pytest.approx(100)
    assert panel.state.settings == before and "[in]" in panel.sliders["tip_flat"].description
    assert panel.state.form["border"].mm == pytest.approx(10)


def test_without_a_fit_the_log_has_no_answer(panel):
    panel.ask.click()
    assert "not up to date" in panel.lines["log"].text


def test_a_drawing_is_scaled_without_working_anything_out_anew(root):
    drawing = Drawing.of(read_artwork(root / "data" / "artwork" / "leaf.dxf"))
    larger, again = drawing.scaled(1.5), Drawing.of(drawing.scaled(1.5).artwork)
    inner = [each.axis.half_widths[each.axis.inside].max() for each in (larger, again)]
    assert inner[0] == pytest.approx(inner[1], rel=1e-3)
    assert larger.strokes[-1].stroke_width == pytest.approx(again.strokes[-1].stroke_width, rel=0.01)
    assert larger.shares.areas.sum() == pytest.approx(again.shares.areas.sum(), rel=1e-3)


@pytest.mark.long
def test_with_a_fit_the_log_advises_and_tells_the_spread(fitted_log, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    panel = PlanAnArtwork(fitted_log)
    choose(panel, "comb.wkt")
    panel.fields["bit"].box.value = "sixty"
    panel.ask.click()
    assert all(line.error is None for line in panel.lines.values())
    spread = panel.state.spread
    assert spread.worst_glue_line[0] <= spread.worst_glue_line[1] <= spread.worst_glue_line[2]
    assert 0 <= spread.within_chance <= 1
    assert "start depth" in panel.log.text and "what your log knows" in panel.answer.text
    assert 0.1 < spread.limit(0.9) < 2 and (spread.along >= spread.across - 0.1).all()


@pytest.mark.long
def test_drawing_sliders_and_fields_come_back_until_they_are_thrown_away(panel):
    assert not PlanAnArtwork().draft.words.text
    choose(panel, "leaf.dxf")
    panel.fields["y_a"].box.value = "3 mm"
    panel.sliders["start_depth"].value = 3.1
    panel.sliders["scale"].value = 150
    panel.colour_by.value = "chance to fill"
    again = PlanAnArtwork()
    assert "is back in the form" in again.draft.words.text and again.drawn.text.startswith("leaf.dxf")
    assert again.state.settings.start_depth == pytest.approx(3.1) and again.state.settings.scale == 1.5
    assert again.fields["y_a"].box.value == "3 mm" and "chance to fill" in again.pictures["artwork"].alt
    again.draft.throw_away.click()
    assert again.drawn.text.startswith("ornament") and again.state.settings.scale == 1.0
    assert not PlanAnArtwork().draft.words.text


@pytest.mark.long
def test_a_drawing_that_is_gone_is_left_out_of_what_comes_back(panel, tmp_path):
    panel.upload.value = uploaded("bar.wkt", b"POLYGON ((0 0, 30 0, 30 4, 0 4, 0 0))")
    panel.sliders["start_depth"].value = 3.1
    (tmp_path / "bar.wkt").unlink()
    again = PlanAnArtwork()
    assert again.state.drawing is not None and again.state.settings.start_depth == pytest.approx(3.1)
