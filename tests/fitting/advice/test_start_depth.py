"""Advice: against a scan over start depths with the plug seated at each, and what it must never do."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest

from inlaylab.bench.bits import Bit
from inlaylab.bench.coupons import Stroke
from inlaylab.errors import InputError, NotConverged, RecordError
from inlaylab.fitting.advice.start_depth import advise, go_by
from inlaylab.fitting.advice.worst_lines import HAIR, MANY, cloud
from inlaylab.fitting.sampling.diagnostics import Diagnostics
from inlaylab.models.seating import CONTACTS, seat

WIDE = (Stroke(stroke_width=7.0, land_width=5.0), Stroke(stroke_width=9.0, land_width=6.0))
THIN = (Stroke(stroke_width=1.0, land_width=2.0), Stroke(stroke_width=7.0, land_width=5.0))


@pytest.fixture(scope="module")
def advice(small_fit, small_shop, question):
    return advise(small_fit, small_shop, question, draws=4800)


@pytest.mark.parametrize("offset", [0.0, 0.06])
@pytest.mark.parametrize("strokes", [(), THIN])
def test_the_cloud_agrees_with_plugs_seated_one_by_one(small_fit, small_shop, question, strokes, offset):
    asked = replace(question, strokes=strokes, outline_offset=offset)
    here = cloud(small_fit, small_shop, asked, draws=60, pieces=3)
    smooth = replace(here.law, opening=np.broadcast_to(here.law.smooth_opening, here.law.opening.shape))
    depths = np.arange(2.0, 4.5, 0.02)
    for piece in range(3):
        single = {name: value[:, piece, None] for name, value in here.single.items()}
        lines = np.stack(
            [
                seat(
                    start_depth=depth,
                    host_zero_error=single["host_zero_error"],
                    insert_zero_error=single["insert_zero_error"],
                    seat_shortfall=single["shortfall"],
                    **here.section(),
                ).glue_line.max(axis=-1)
                for depth in depths
            ]
        )
        npt.assert_allclose(smooth.at(depths[60])[:, piece], lines[60], atol=1e-12)
        for limits, good in (
            (smooth.deepest(asked.within)[:, piece], lines <= asked.within),
            (smooth.bend(2.0, hair=HAIR)[:, piece], lines <= lines[0] + HAIR),
        ):
            away = np.abs(depths[:, None] - limits) > 1e-6
            npt.assert_array_equal(good[away], (depths[:, None] <= limits)[away])


def test_local_openings_are_those_of_the_scenario(small_fit, small_shop, question):
    # widest of the strokes' gaps plus normal openings, against as many drawn by the scenario itself
    many = tuple(Stroke(stroke_width=float(w), land_width=4.0) for w in np.repeat([1.0, 7.0], MANY))
    for strokes in (THIN, many):
        asked = replace(question, strokes=strokes)
        here = cloud(small_fit, small_shop, asked, draws=400, pieces=40)
        extra = (here.law.opening - here.law.smooth_opening) / here.world.fitted["opening_sd"][:, None]
        drawn = np.random.default_rng(2).standard_normal((4000, len(strokes)))
        wide = np.array([stroke.stroke_width for stroke in strokes]) > 3
        # a wrong angle leaves the wide or the thin strokes widest: between the largest of those and of all of them
        assert drawn[:, wide].max(axis=1).mean() - 0.1 < extra.mean() < drawn.max(axis=1).mean() + 0.1


def test_the_chance_falls_and_the_worst_line_grows_with_start_depth(advice):
    chances, lines = (np.array([getattr(p, name) for p in advice.curve]) for name in ("chance", "worst_glue_line"))
    assert (np.diff(chances) <= 0).all() and chances[0] > 0.8
    assert (np.diff(lines) >= -1e-12).all() and lines[-1] > lines[0] + 0.02
    assert all(p.q05 <= p.worst_glue_line <= p.q95 for p in advice.curve)
    npt.assert_allclose([advice.curve[0].start_depth, advice.curve[-1].start_depth], [2.0, 4.0])


def test_the_start_depth_costs_nothing_that_can_be_seen(advice, question):
    assert advice.worst_glue_line.expected <= advice.tightest_glue_line + HAIR
    assert advice.start_depth <= advice.limit and advice.reached and advice.chance >= question.chance - 0.02
    npt.assert_allclose(advice.floor_gap_needed, 4.0 - advice.start_depth)
    assert 2.0 <= advice.low <= advice.start_depth <= advice.high <= 4.0
    assert advice.held_up_by in CONTACTS and 0 < advice.held_up_chance <= 1
    assert advice.settings.now.worst_glue_line == advice.worst_glue_line.expected
    assert advice.settings.now.start_depth == advice.start_depth


def test_nineteen_pieces_of_twenty_have_their_bend_deeper(small_fit, small_shop, question, advice):
    here = cloud(small_fit, small_shop, question, seed=5, draws=2000, pieces=16)
    # two clouds of some 2,000 draws, the pieces of a draw alike: a standard error of 0.005 each, 0.02 is three of both
    assert np.mean(here.bends >= advice.bend) == pytest.approx(0.95, abs=0.02)
    assert advice.start_depth == pytest.approx(min(advice.bend, advice.limit or np.inf), abs=1e-3)


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
    found = [go_by(small_fit, small_shop, replace(question, chance=c))[1] for c in (0.5, 0.8, 0.9)]
    limits, depths = ([float(getattr(each, name)[0]) for each in found] for name in ("limit", "start_depth"))
    assert limits[0] > limits[1] > limits[2] and depths[0] >= depths[1] >= depths[2]


def test_a_wider_tolerance_is_deeper(small_fit, small_shop, question):
    found = [go_by(small_fit, small_shop, replace(question, within=w))[1] for w in (0.1, 0.15)]
    assert found[1].limit[0] > found[0].limit[0] + 0.02 and found[1].start_depth[0] >= found[0].start_depth[0]


def test_where_the_chance_is_out_of_reach_there_is_an_answer_and_no_limit(small_fit, small_shop, question, advice):
    found = advise(small_fit, small_shop, replace(question, within=0.001, chance=0.99), draws=2400)
    assert found.limit is None and not found.reached and found.chance < 0.99
    assert found.start_depth == pytest.approx(advise(small_fit, small_shop, question, draws=2400).start_depth)
    assert found.to_json()["limit"] is None and found.to_json()["start_depth"] is not None


def test_the_deepest_depth_looked_at_is_the_most_it_says(small_fit, small_shop, question):
    found = advise(small_fit, small_shop, replace(question, strokes=WIDE, between=(2.0, 3.0)), draws=1200)
    assert found.start_depth == 3.0 and found.high <= 3.0


def test_it_is_never_deeper_than_the_pocket(small_shop, made_fit, question):
    # a sharp bit with a thick glue film: the walls hold the plug high above the floor, deeper than the pocket even
    fit = made_fit(small_shop, size=400, tip_flat_mean=-6.0, z_tip=0.0, allowance_mean=4.0, spread=-3.0, bias=0.0)
    found = advise(fit, small_shop, replace(question, between=(2.0, 4.5), within=0.4), draws=400)
    assert found.start_depth == 4.0 and found.bend > 4.0 and found.floor_gap_needed == 0.0


def test_where_no_stroke_reaches_the_floor_start_depth_does_not_matter(small_shop, made_fit, question):
    # a crest loss of 0.7 mm: the crests of thin strokes never come down on anything
    fit = made_fit(small_shop, size=400, crest_loss_mean=3.6, crest_loss_ratio=-2.0, z_crest=0.0)
    thin = (Stroke(stroke_width=1.2, land_width=6.0), Stroke(stroke_width=2.0, land_width=6.0))
    found = advise(fit, small_shop, replace(question, strokes=thin), draws=400)
    assert not found.matters and found.bend is None and found.start_depth <= 4.0
    if found.limit is None:
        assert found.start_depth == 4.0


def test_the_relief_depth_needed_holds_up_one_plug_in_twenty(small_fit, small_shop, question, advice):
    needed = advice.relief_depth_needed
    shares = []
    for relief in (needed - 0.05, needed + 0.05):
        here = cloud(small_fit, small_shop, replace(question, relief_depth=relief), draws=400, pieces=8)
        law = here.law
        tips = law.tips.asked(advice.start_depth + law.insert_zero_error)
        shares.append(np.mean(law.land > np.maximum(law.wall, tips)))
    assert shares[0] > 0.05 >= shares[1] - 0.02


def test_plug_and_hollow_at_a_hand_made_section(small_shop, made_fit, question):
    # sharp bit, true angle, no errors: the plug of a floor stroke ends at the start depth and leaves P - S hollow
    still = {"tip_flat_mean": -12.0, "z_tip": 0.0, "z_angle": 0.0, "bias": 0.0, "spread": -12.0, "wear_rate": -9.0}
    still |= {"allowance_mean": -2 / 3, "z_allowance": 0.0, "shortfall_mean": -9.0, "opening_sd": -9.0}
    fit = made_fit(small_shop, size=200, **still)
    found = advise(fit, small_shop, replace(question, between=(3.0, 3.5)), draws=200)
    assert found.start_depth == 3.5 and found.trade.hollow == pytest.approx(0.5, abs=0.02)
    assert found.trade.plug_left == pytest.approx(3.5 - small_shop.habits.sanded_off, abs=0.02)
    assert found.trade.hollow_shallowest == pytest.approx(1.0, abs=0.02)
    # a stroke 8 mm wide: 8 mm less twice 3.75 mm times tan(30 degrees), 0.5 mm high, in each metre
    assert found.trade.hollow_ml_per_m == pytest.approx((8 - 2 * 3.75 * np.tan(np.radians(30))) * 0.5, abs=0.1)


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
    assert found.high - found.low > advice.high - advice.low and found.cuts_with_bit == 0
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


def test_long_questions_are_judged_in_parts_alike(small_fit, small_shop, question, monkeypatch):
    whole = cloud(small_fit, small_shop, question, draws=400, pieces=4)
    monkeypatch.setattr("inlaylab.fitting.advice.worst_lines.AT_ONCE", 14)  # seven draws of two strokes at once
    parts = cloud(small_fit, small_shop, question, draws=400, pieces=4)
    npt.assert_allclose(parts.law.seat_level(3.5), whole.law.seat_level(3.5), atol=1e-12)
    npt.assert_allclose(parts.law.smooth_opening, whole.law.smooth_opening, atol=1e-12)


@pytest.mark.long
def test_a_drawing_of_many_strokes_is_answered(small_fit, small_shop, question):
    rng = np.random.default_rng(3)
    strokes = tuple(Stroke(stroke_width=float(w), land_width=3.0) for w in rng.uniform(0.8, 12, 700))
    found = advise(small_fit, small_shop, replace(question, strokes=strokes))
    few = advise(small_fit, small_shop, replace(question, strokes=strokes[:350]))
    assert found.start_depth == pytest.approx(few.start_depth, abs=0.1)
