"""Answers in words: what leads, what is left out, and nothing that a maker would laugh at."""

import dataclasses
import re

import pytest
from made_up_answer import advice_result

from inlaylab.fitting.advice import made_of
from inlaylab.wording.answers.start_depth import CAUSES, answer_lines, headline, why

LAUGHABLE = (r"\b0%", r"100%", r"0\.00 mm", r"[Nn]one serves", r"serves", r"-\d", r"nan", r"None")


@pytest.mark.parametrize("unit", ["mm", "in", "thou"])
@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"turned": False},
        {"limit": None, "chance": 0.0},
        {"matters": False},
        {"cuts": 1, "cuts_with_bit": 1},
        {"cuts_with_bit": 0},
        {"chance": 1.0, "held_up_chance": 1.0},
        {"relief_depth_needed": None},
        {"relief_depth_needed": 1.8},
    ],
)
def test_no_sentence_is_laughable(changes, unit):
    lines = answer_lines(advice_result(**changes), unit)
    for line in lines:
        assert not [bad for bad in LAUGHABLE if re.search(bad, line)], line
        assert line[0].isupper()


def test_the_tightest_settings_lead_and_the_start_depth_alone_follows():
    lines = answer_lines(advice_result(), "mm")
    assert lines[0] == "Tightest: path angle 60.8°, start depth 3.60 mm (0.142 in)"
    assert lines[1].startswith("Path angle 60.8° instead of today's 60.0°: worst glue line 0.050 mm narrower, 35%")
    assert "change the start depth alone: 3.50 mm" in lines[2]


def test_where_nothing_gains_the_start_depth_is_the_answer():
    assert headline(advice_result(turned=False), "in") == "Start depth 0.138 in (3.50 mm)"


def test_after_one_or_two_cuts_it_is_a_guess_with_the_next_cut():
    lines = answer_lines(advice_result(cuts=2, cuts_with_bit=2), "mm")
    assert lines[0].startswith("Too little is known yet. Best guess: start depth 3.50 mm")
    assert lines[1].startswith("Make this cut next:")


def test_a_target_out_of_reach_is_said_without_a_figure_to_ask_for():
    text = " ".join(answer_lines(advice_result(limit=None), "mm"))
    assert "No start depth meets your target of 90%: the best is 60%" in text and "or less" not in text


def test_where_start_depth_does_not_matter_it_says_from_where_to_where():
    advice = advice_result(matters=False, start_depth=4.0)
    text = " ".join(answer_lines(advice, "mm"))
    assert "does not matter for these strokes: from 2.00 mm (0.079 in) to 4.00 mm" in text
    assert "Floor gap needed" not in text and "does not change that" in why(advice)


def test_every_cause_has_its_words():
    assert set(CAUSES) == set(made_of.CAUSES)


def test_the_start_depth_is_one_of_the_turns_where_the_last_floor_gap_was_worse():
    from inlaylab.fitting.advice.settings import Turn

    advice = advice_result(turned=False)
    turn = Turn(what="start depth", today=3.8, better=3.5, gain=0.07, chance_gain=0.4)
    advice = dataclasses.replace(advice, settings=dataclasses.replace(advice.settings, turns=(turn,)))
    assert any("instead of your last floor gap's 3.80 mm" in line for line in answer_lines(advice, "mm"))
