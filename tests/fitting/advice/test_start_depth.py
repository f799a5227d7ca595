"""Advice: against a scan over start depths with the plug seated at each, and what it must never do."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest

from inlaylab.bench.bits import Bit
from inlaylab.bench.coupons import Stroke
from inlaylab.errors import InputError, NotConverged, RecordError
from inlaylab.fitting.advice.depth_rule import answer, good_depths, worst_lines
from inlaylab.fitting.advice.start_depth import _reason, advise
from inlaylab.fitting.predict.draws import scenario
from inlaylab.fitting.predict.question import Question
from inlaylab.fitting.sampling.diagnostics import Diagnostics
from inlaylab.models.seating import CONTACTS, seat

THIN = (Stroke(stroke_width=1.0, land_width=2.0), Stroke(stroke_width=7.0, land_width=5.0))


@pytest.fixture(scope="module")
def advice(small_fit, small_shop, question):
    return advise(small_fit, small_shop, question, draws=4800)


@pytest.mark.parametrize("offset", [0.0, 0.06])
@pytest.mark.parametrize("strokes", [(), THIN])
def test_closed_form_agrees_with_a_scan_over_start_depths(small_fit, small_shop, question, strokes, offset):
    asked = replace(question, strokes=strokes, outline_offset=offset)
    world = scenario(small_fit, small_shop, (asked.cut(3.0),), size=300, strokes=[asked.half_widths])
    openings = world.openings((1, len(asked.half_widths)))
    good, fitted = good_depths(world, openings, asked.within), world.fitted
    depths = np.arange(2.0, 4.5, 0.02)
    lines = np.stack(
        [
            seat(
                start_depth=depth,
                host_zero_error=fitted["host_zero_error"][..., None],
                insert_zero_error=fitted["insert_zero_error"][..., None],
                seat_shortfall=fitted["shortfall"][..., None],
                local_opening=openings,
                **world.section(),
            )
            .glue_line[:, 0]
            .max(axis=-1)
            for depth in depths
        ]
    )
    away = np.abs(depths[:, None] - good) > 1e-6
    npt.assert_array_equal((lines <= asked.within)[away], (depths[:, None] <= good)[away])
    npt.assert_allclose(worst_lines(world, openings, depths[60]), lines[60], atol=1e-12)
    assert 0 < np.mean(lines <= asked.within) < 1


def test_the_chance_never_rises_with_start_depth(advice):
    chances = np.array([chance for _, chance in advice.curve])
    assert (np.diff(chances) <= 0).all() and chances[0] > 0.8 and chances[-1] < 0.2
    npt.assert_allclose([advice.curve[0][0], advice.curve[-1][0]], [2.0, 4.5])


def test_the_advice_is_the_deepest_with_the_chance_asked(advice, question):
    assert advice.chance >= question.chance
    at = dict(advice.curve)
    below, above = np.floor(advice.start_depth * 100) / 100, np.ceil(advice.start_depth * 100 + 1) / 100
    assert at[round(below, 4)] >= question.chance > at[round(above, 4)]
    npt.assert_allclose(advice.floor_gap_needed, 4.0 - advice.start_depth)
    assert advice.low <= advice.start_depth <= advice.high
    assert advice.held_up_by in CONTACTS and 0 < advice.held_up_chance <= 1


def test_the_advice_keeps_its_promise_on_the_planted_workshop(advice, planted, question):
    # what would happen if the maker followed it: the planted bit and woods, zero errors drawn afresh
    rng, truth, worst = np.random.default_rng(8), planted.truth, []
    section = planted.section(0)[0] | {
        "stroke_half_width": np.array([1.5, 4.0]),
        "land_half_width": np.array([3.0, 3.0]),
    }
    for _ in range(800):
        host, insert = truth["bias"] + truth["spread"] * rng.standard_normal(2)
        rest = seat(
            start_depth=advice.start_depth,
            seat_shortfall=truth["shortfall_mean"] * rng.standard_exponential(),
            local_opening=truth["opening_sd"] * rng.standard_normal(2),
            host_zero_error=host,
            insert_zero_error=insert,
            **section,
        )
        worst.append(rest.glue_line.max())
    assert np.mean(np.array(worst) <= question.within) > 0.8


def test_asking_for_more_certainty_is_shallower(small_fit, small_shop, question):
    depths = [
        advise(small_fit, small_shop, replace(question, chance=c), draws=2400).start_depth for c in (0.5, 0.8, 0.9)
    ]
    assert depths[0] > depths[1] > depths[2]


def test_a_wider_tolerance_is_deeper(small_fit, small_shop, question):
    depths = [advise(small_fit, small_shop, replace(question, within=w), draws=2400).start_depth for w in (0.1, 0.15)]
    assert depths[1] > depths[0] + 0.02


def test_where_nothing_serves_it_says_what_would(small_fit, small_shop, question):
    found = advise(small_fit, small_shop, replace(question, within=0.001, chance=0.99), draws=2400)
    assert found.start_depth is found.low is found.floor_gap_needed is None
    assert found.chance < 0.99 and "What would help" in found.why and "the best is" in found.why
    assert found.to_json()["start_depth"] is None


def test_the_deepest_depth_looked_at_is_the_most_it_says(small_fit, small_shop, question):
    found = advise(small_fit, small_shop, replace(question, between=(2.0, 3.0)), draws=2400)
    assert found.start_depth == 3.0 and found.high <= 3.0


def test_answer_counts_draws():
    asked = Question(bit="b", pair="p", pocket_depth=4, relief_depth=1.5, within=0.1, chance=0.75)
    good = np.repeat([3.9, 3.8, 3.7, -np.inf], 2500)
    assert answer(good, asked) == (3.7, 0.75)
    assert answer(good, replace(asked, chance=0.8)) == (None, 0.75)


def test_a_best_chance_that_only_the_luck_of_the_draws_keeps_below_is_reached():
    asked = Question(bit="b", pair="p", pocket_depth=4, relief_depth=1.5, within=0.1, chance=0.75)
    noise = np.sqrt(0.75 * 0.25 / 10_000)  # standard error of a share: any book of statistics
    for short, depth in ((0.9, 3.7), (1.1, None)):
        count = round(10_000 * (0.75 - short * noise))
        good = np.concatenate([np.full(count - 100, 3.8), np.full(100, 3.7), np.full(10_000 - count, -np.inf)])
        assert answer(good, asked) == (depth, count / 10_000)
    words = [_reason(asked, 3.7, chance, ("wall", 0.6), 0.74) for chance in (0.75, 0.749)]
    assert "at least 75%" in words[0] and "cannot tell from 75%" in words[1] and "at least" not in words[1]


def test_one_spoiled_reading_does_not_move_the_advice(advice, spoiled, question):
    shop, _, fit = spoiled
    moved = advise(fit, shop, question, draws=4800)
    assert abs(moved.start_depth - advice.start_depth) < (advice.high - advice.low) / 2
    assert abs(moved.start_depth - advice.start_depth) < 0.05


@pytest.fixture(scope="module")
def with_new_bit(small_shop):
    return replace(small_shop, bits=(*small_shop.bits, Bit(bit="new", nominal_angle_deg=60, unit="mm")))


def test_a_bit_without_a_cut_is_advised_with_less_certainty(small_fit, with_new_bit, question, advice):
    found = advise(small_fit, with_new_bit, replace(question, bit="new"), draws=4800)
    assert found.start_depth is None or found.start_depth < advice.start_depth
    assert any("No cut with bit new" in words for words in found.warnings)


def test_the_same_question_has_the_same_answer(small_fit, small_shop, question):
    one, again = (advise(small_fit, small_shop, question, draws=1200, seed=3) for _ in range(2))
    assert one == again


def test_a_fit_that_did_not_converge_advises_nothing(small_fit, small_shop, question):
    bad = Diagnostics(worst_r_hat=1.2, smallest_ess=20.0, worst_name="tip_flat", divergences=0, draws=100)
    with pytest.raises(NotConverged, match=r"do not agree yet about tip flat.*fit again"):
        advise(replace(small_fit, diagnostics=bad), small_shop, question)


@pytest.mark.parametrize("name", ["bit", "pair"])
def test_an_unknown_name_is_refused(small_fit, small_shop, question, name):
    with pytest.raises(RecordError, match=f"there is no such {name}"):
        advise(small_fit, small_shop, replace(question, **{name: "nowhere"}))


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"chance": 1.0}, "chance.*between 0 and 1"),
        ({"chance": float("nan")}, "chance.*between 0 and 1"),
        ({"within": 0.0}, "within.*above 0 mm"),
        ({"pocket_depth": -1.0}, "pocket depth.*above 0 mm"),
        ({"relief_depth": float("nan")}, "relief depth.*above 0 mm"),
        ({"between": (4.0, 3.0)}, "start depths to look between.*the shallower first"),
    ],
)
def test_a_question_that_makes_no_sense_is_refused(question, changed, words):
    with pytest.raises(InputError, match=words):
        replace(question, **changed)


def test_artworks_of_many_strokes_are_judged_in_parts_alike(small_fit, small_shop, question, monkeypatch):
    world = scenario(small_fit, small_shop, (question.cut(3.5),), size=400, strokes=[question.half_widths])
    openings = world.openings((1, len(question.half_widths)))
    whole = good_depths(world, openings, question.within)
    monkeypatch.setattr("inlaylab.fitting.advice.start_depth.AT_ONCE", 7 * openings[0].size)  # 400 is no multiple of 7
    npt.assert_array_equal(good_depths(world, openings, question.within), whole)
