"""Notebook 8's panel: every slider and box turns what it says, in any unit, and nothing is lost on nonsense."""

import pytest
from cases import few_of

from inlaylab.panels.how_it_reckons.state import BEGIN, TurnedState
from inlaylab.panels.how_it_reckons.view import PARTS, HowItReckons

SLIDERS = [name for _, names, _, _ in PARTS.values() for name in names if name != "stroke_widths"]


@pytest.fixture
def state(blank_log):
    return TurnedState(blank_log)


@pytest.fixture
def panel(blank_log):
    return HowItReckons(blank_log)


def test_it_begins_with_the_kits_own_on_a_blank_log_and_with_the_newest_cut_elsewhere(state, sample_log):
    assert state.form["start_depth"].mm == pytest.approx(3.4) and state.section.stroke_widths == (1.2, 8.0)
    assert set(BEGIN) == set(state.form.entries)
    own = TurnedState(sample_log)
    assert own.form["pocket_depth"].mm == pytest.approx(0.115 * 25.4) and own.form["path_angle"].value == 90.0
    assert own.said == "" and own.chance is not None


def test_all_three_parts_follow_one_setting(state):
    before = state.lines()
    assert state.section.seat.held_up_by == "wall" and "the plug's walls touch" in before["section"]
    state.turn("start_depth", 4.4)
    after = state.lines()
    assert state.section.seat.held_up_by == "floor" and state.bend.here > state.bend.bend - 4.2
    assert state.chance.turned_to == pytest.approx(4.4) and state.chance.held_up["floor"] > 0.99
    assert all(after[part] != before[part] for part in PARTS)
    assert state.bend.bend == pytest.approx(4.2 - 0.1 / 3**-0.5 + 0.01 / 3**-0.5)  # sink t/T, hair/T


def test_straying_changes_the_chance_alone(state):
    section, bend = state.section, state.bend
    share, go_by = state.chance.share, state.chance.start_depth
    state.turn("insert_zero_spread", 0.3)
    assert state.section.seat.stand_off == section.seat.stand_off and state.bend.bend == bend.bend
    assert state.chance.start_depth < go_by - 0.2 and state.chance.share < share


def test_a_unit_changes_words_and_no_answer(state):
    bend, chance, turned = state.bend.bend, state.chance, state.turned
    state.unit = "in"
    assert state.turned == turned + 1, "reckoned once"
    assert state.bend.bend == pytest.approx(bend) and state.chance.share == chance.share
    assert state.chance.start_depth == pytest.approx(chance.start_depth)
    assert state.form["start_depth"].typed.endswith(" in") and " in (" in state.lines()["chance"]
    state.turn("tip_flat", 0.005)
    assert state.form["tip_flat"].typed == "0.0050 in" and state.section.tip_flat == pytest.approx(0.127)


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("tip_flat", "a lot", "tip flat"),
        ("true_angle", "400", "true angle"),
        ("stroke_widths", "1;2;3;4;5;6;7", "1 to 6 of them"),
        ("land_width", "", "land width"),
    ],
)
def test_nonsense_gives_no_answer_and_says_why(state, name, typed, words):
    good = state.form[name].typed
    state.form[name].typed = typed
    assert state.section is state.bend is state.chance is None and words in state.said
    assert set(state.lines().values()) == {""}
    state.form[name].typed = good
    assert state.said == "" and state.chance is not None


def test_everything_can_be_put_back(panel):
    before, turned = panel.state.lines(), panel.state.turned
    panel.turns["tip_flat"].slider.value = 0.3
    assert panel.words["section"].text != before["section"]
    panel.again.click()
    assert panel.state.lines() == before and panel.state.turned == turned + 2
    assert panel.turns["tip_flat"].slider.value == pytest.approx(0.1)


@pytest.mark.parametrize("unit", few_of(["mm", "thou"], quick=0))
def test_each_slider_types_into_its_box_and_each_box_moves_its_slider(panel, unit):
    panel.unit.value = unit
    for name in SLIDERS:
        turn, count = panel.turns[name], panel.state.turned
        slider, began = turn.slider, turn.slider.value
        slider.value = began + 4 * slider.step if began + 4 * slider.step <= slider.max else began - 4 * slider.step
        typed = turn.field.box.value
        assert panel.state.turned == count + 1 and panel.line.error is None
        assert float(typed.split()[0]) == pytest.approx(slider.value, abs=0.051)
        turn.field.box.value = f"{began:.6f} {unit}" if hasattr(turn.entry, "mm") else f"{began:g}"
        assert slider.value == pytest.approx(began, abs=1e-6)
        assert slider.description == turn.field.box.description and slider.readout is False


def test_words_and_pictures_stand_together_and_a_refusal_stands_beside_its_box(panel):
    starts = {"section": "Section of pocket", "bend": "Worst glue line of one cut", "chance": "Worst glue line against"}
    for part, words in starts.items():
        assert panel.words[part].text == panel.state.lines()[part]
        assert panel.pictures[part].alt.startswith(words)
    panel.turns["tip_flat"].field.box.value = "a lot"
    assert "✗" in panel.turns["tip_flat"].field.beside.value
    for part in starts:
        assert "tip flat" in panel.words[part].text and panel.pictures[part].alt == ""
    panel.turns["tip_flat"].field.box.value = "0.1 mm"
    assert panel.pictures["bend"].alt.startswith("Worst glue line of one cut")


def test_a_start_depth_beyond_its_slider_is_taken_and_moves_the_end(panel):
    panel.turns["start_depth"].field.box.value = "6 mm"
    slider = panel.turns["start_depth"].slider
    assert slider.max == pytest.approx(6.0) and slider.value == pytest.approx(6.0)
    assert panel.state.bend.start_depths[-1] == pytest.approx(6.0)
    panel.turns["pocket_depth"].slider.value = 8.0
    assert (slider.min, slider.max) == pytest.approx((6.0, 8.5))


def test_the_machines_manual_comes_first(panel):
    assert any("manual" in getattr(part, "text", "") for part in panel.view.children)


def test_what_was_turned_comes_back_until_it_is_put_back(blank_log, panel):
    panel.turns["start_depth"].field.box.value = "3.31 mm"
    panel.state.turn("tip_flat", 0.2)
    again = HowItReckons(blank_log)
    assert again.state.form["start_depth"].typed == "3.31 mm" and again.state.form["tip_flat"].mm == pytest.approx(0.2)
    assert "is back in the form" in again.draft.words.text
    again.again.click()
    assert TurnedState(blank_log).form["start_depth"].mm == pytest.approx(3.4)
