import gc

import pytest

from inlaylab.errors import InputError
from inlaylab.log.store import Log
from inlaylab.panels.tune_the_start_depth.state import TYPED
from inlaylab.panels.tune_the_start_depth.try_settings import TURNS, Explorer, ExplorerState
from inlaylab.panels.tune_the_start_depth.view import TuneTheStartDepth


@pytest.fixture
def unfitted(sample_log):
    return TuneTheStartDepth(sample_log)


@pytest.fixture
def panel(fitted_log):
    return TuneTheStartDepth(fitted_log)


def test_without_a_fit_the_panel_says_so_and_still_shows_a_section(unfitted):
    assert unfitted.state.fit.state == "none" and "have not been worked out yet" in unfitted.fit.said.text
    assert "not worked out yet" in unfitted.answer.text
    assert "Section of pocket and plug" in unfitted.explorer.picture.alt
    unfitted.ask.click()
    assert "not worked out yet" in unfitted.line.text


def test_it_starts_from_the_newest_cut(unfitted):
    form = unfitted.state.form
    assert (form["bit"].value, form["pair"].value) == ("ninety", "cherry-maple")
    assert form["strokes"].value == "coupon inch ladder" and form["pocket_depth"].mm == pytest.approx(0.115 * 25.4)


def test_the_answer_with_its_reason_and_pictures(panel):
    assert panel.line.error is None
    text = panel.answer.text
    for words in ("tart depth", "worst glue line about", "Floor gap needed", "Why:", "is made of"):
        assert words in text
    assert panel.pictures["worst_line"].alt.startswith("Worst glue line against start depth")
    assert panel.pictures["made_of"].alt.startswith("What the expected worst glue line")
    assert panel.pictures["glue_line"].alt.startswith("Glue line against stroke width")
    assert panel.pictures["settings"].alt.startswith("Settings: ")
    assert panel.explorer.state.start_depth == pytest.approx(panel.state.advice.start_depth, abs=0.006)


def test_a_changed_question_marks_the_answer_until_it_is_asked_again(panel):
    before = panel.answer.text
    panel.fields["within"].box.value = "0.2 mm"
    assert not panel.state.asked and "ask again" in panel.line.text and panel.answer.text == before
    panel.ask.click()
    assert panel.state.asked and panel.answer.text != before and panel.line.text == "Answered."


def test_strokes_can_be_typed(panel):
    panel.fields["strokes"].box.value = TYPED
    assert panel.fields["widths"].layout.display is None
    panel.ask.click()
    assert "stroke widths and the land between" in panel.line.text
    panel.fields["widths"].box.value, panel.fields["land"].box.value = "1; 1/4 in", "3"
    panel.ask.click()
    assert [s.stroke_width for s in panel.state.advice.question.strokes] == pytest.approx([1, 6.35])


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [("chance", "120", "50 to 99.5 %"), ("within", "0", "above"), ("pocket_depth", "1,500", "two ways")],
)
def test_a_wrong_field_is_refused_beside_itself(panel, field, typed, words):
    panel.fields[field].box.value = typed
    assert words in panel.fields[field].beside.text
    panel.ask.click()
    assert "Please fix" in panel.line.text


def test_half_a_span_is_refused(panel):
    panel.fields["shallowest"].box.value = "2 mm"
    with pytest.raises(InputError, match="both ends, or neither"):
        panel.state.question()


def test_a_changed_log_asks_for_a_new_fit_and_keeps_the_old_answer_in_sight(panel, fitted_log):
    before = panel.answer.text
    with Log.open(fitted_log) as log:
        log.delete(log.shop().cut("T22"))
    panel.state.fit.look()
    assert panel.state.fit.state == "stale" and panel.state.fit.fit is None
    assert panel.answer.text == before and "ask again" in panel.line.text


def test_the_answer_in_inches(panel):
    panel.unit.value = "in"
    assert " in (" in panel.answer.text.splitlines()[0]
    assert "start depth [in]" in panel.explorer.sliders["start_depth"].description


def test_a_log_without_cuts_says_what_to_do(blank_log):
    panel = TuneTheStartDepth(blank_log)
    assert panel.state.fit.state == "empty" and "notebook 3" in panel.fit.said.text
    panel.fit.start.click()
    assert "log a test cut first" in panel.fit.line.text


@pytest.mark.painted
@pytest.mark.parametrize("name", list(TURNS))
def test_each_slider_turns_what_it_says(name):
    state = ExplorerState(start_depth=3.6, tip_flat=0.1)
    explorer = Explorer(state)
    before = explorer.picture.value
    slider = explorer.sliders[name]
    slider.value = slider.value + 5 * slider.step
    assert getattr(state, name) == pytest.approx(slider.value) and explorer.picture.value != before
    assert getattr(state.result, name) == pytest.approx(slider.value)


def test_the_sliders_show_what_the_section_has_in_any_unit():
    state = ExplorerState()
    explorer = Explorer(state)
    state.take(start_depth=3.571875, pocket_depth=3.9688)
    assert state.start_depth == 3.57 and explorer.sliders["start_depth"].value == pytest.approx(3.57)
    explorer.set_unit("thou")
    assert explorer.sliders["start_depth"].value == pytest.approx(3.57 / 0.0254) and state.start_depth == 3.57
    assert explorer.sliders["start_depth"].max == pytest.approx((3.97 + 0.5) / 0.0254)


def count(kind):
    return sum(isinstance(thing, kind) for thing in gc.get_objects())


@pytest.mark.long
def test_turning_a_slider_keeps_the_memory():
    from matplotlib.figure import Figure

    explorer = Explorer(ExplorerState())
    slider = explorer.sliders["start_depth"]
    for turn in range(5):
        slider.value = 3.0 + 0.01 * turn
    gc.collect()
    before, figures = len(gc.get_objects()), count(Figure)
    for turn in range(20):
        slider.value = 3.3 + 0.01 * turn
    gc.collect()
    assert len(gc.get_objects()) - before < 100  # five a turn would fill a memory
    assert count(Figure) <= figures


def test_a_question_that_was_typed_comes_back_in_its_unit_until_it_is_thrown_away(unfitted, sample_log):
    assert not TuneTheStartDepth(sample_log).draft.words.text, "what the kit filled in is no draft"
    unfitted.unit.value = "in"
    unfitted.fields["pocket_depth"].box.value = "5/32"
    unfitted.fields["strokes"].box.value = TYPED
    unfitted.fields["widths"].box.value = "0.05; 1/8"
    again = TuneTheStartDepth(sample_log)
    assert "is back in the form" in again.draft.words.text and again.unit.value == "in"
    assert again.state.form["pocket_depth"].mm == pytest.approx(5 / 32 * 25.4)
    assert again.state.form["widths"].mm == pytest.approx((1.27, 3.175))
    again.draft.throw_away.click()
    assert again.state.form["pocket_depth"].mm == pytest.approx(0.115 * 25.4)
    assert not TuneTheStartDepth(sample_log).draft.words.text
