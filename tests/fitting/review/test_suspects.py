"""Suspects: what was spoiled is named with its cure, what is sound is left alone, nothing is mended."""

from dataclasses import replace

import numpy as np
import pytest

from inlaylab.bench.readings import Reading
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.review import suspects as module
from inlaylab.fitting.review.suspects import mistake_chances, suspects


def test_a_slip_of_unit_is_named_with_its_cure(spoiled):
    shop, row, fit = spoiled
    first = suspects(fit, shop)[0]
    assert (first.row, first.kind, first.cut) == (row, "glue_line", shop.readings[row].cut)
    assert first.chance > 0.9 and "looks like inches" in first.cure
    assert first.expected == pytest.approx(shop.readings[row].value * 25.4, abs=0.06)
    assert set(first.to_json()) >= {"cut", "kind", "station", "chance"}


def test_the_log_itself_is_not_touched(spoiled, small_shop):
    shop, row, fit = spoiled
    suspects(fit, shop)
    assert shop.readings[row].value == pytest.approx(small_shop.readings[row].value / 25.4)


def test_sound_readings_are_left_alone(small_fit, small_shop, spoiled):
    assert len(suspects(small_fit, small_shop)) <= 1
    shop, row, fit = spoiled
    assert sum(suspect.row != row for suspect in suspects(fit, shop)) <= 1


def test_the_likeliest_comes_first(small_fit, small_shop):
    every = suspects(small_fit, small_shop, from_chance=0.0)
    assert len(every) == len(small_shop.readings)
    chances = [suspect.chance for suspect in every]
    assert chances == sorted(chances, reverse=True) and chances[-1] >= 0 and chances[0] <= 1


def test_chances_stand_beside_their_readings(small_fit, small_shop):
    seen = observe(small_shop)
    for kind, chance in mistake_chances(small_fit, seen).items():
        assert chance.shape == seen.rows[kind]["row"].shape and np.isfinite(chance).all()


def test_a_log_without_cuts_has_no_suspects(made_fit, small_shop):
    empty = small_shop.with_cuts(())
    assert suspects(made_fit(empty), empty) == ()


@pytest.mark.parametrize(
    ("value", "unit", "expected", "words"),
    [
        (0.0315, "mm", 0.80, "inches typed as millimetres"),
        (0.0315, "in", 0.80, "25.4 times too small"),
        (20.3, "in", 0.80, "millimetres typed as inches"),
        (0.08, "mm", 0.80, "decimal point"),
        (9.1, "mm", 0.91, "decimal point"),
        (0.5, "mm", -0.5, "wrong sign"),
        (1.35, "mm", 0.80, "far from what the other readings suggest"),
    ],
)
def test_each_cure_has_its_words(value, unit, expected, words):
    reading = Reading(cut="k1", kind="backer_gap", value=value, unit=unit)
    assert words in module._cure(reading, expected, False, 0.02)


def test_mixed_up_stations_and_states_have_words_too():
    fill = Reading(cut="k1", kind="fill", station="B1", state="missing")
    assert "does not fit" in module._cure(fill, None, False, 0.0)
    assert "another station's" in module._cure(fill, None, True, 0.0)
    assert replace(fill, state="filled").value is None
