"""Samples of what `wording.answers` says; the figures are invented."""

from types import SimpleNamespace as Made

from inlaylab.services.what_moved import Moved
from inlaylab.wording.answers import by_hand, forecasts, moved, next_cut, pool, start_depth, suspects, tune_again

SETTING = {"path_angle_deg": 60.0, "outline_offset": 0.0, "start_depth": 3.4, "relief_depth": 1.6}
NOW = Made(**SETTING, worst_glue_line=0.12, chance=0.7)
TURNED = Made(**SETTING | {"path_angle_deg": 60.6, "outline_offset": 0.04}, worst_glue_line=0.05, chance=0.95)
CERTAIN = Made(**vars(TURNED) | {"chance": 1.0})
TURNS = tuple(
    Made(what=what, today=today, better=better, gain=0.04, chance_gain=0.2)
    for what, today, better in (("path angle", 60.0, 60.6), ("outline offset", 0.0, 0.04), ("start depth", 3.2, 3.4))
)
PARTS = (Made(cause="wall allowance", adds=0.05), Made(cause="crests", adds=0.03))
ADVICE = Made(
    question=Made(bit="sixty", pair="walnut-maple", within=0.1, chance=0.9, span=(2.2, 4.7), relief_depth=1.6),
    start_depth=3.4, low=3.3, high=3.6, limit=3.7, chance=0.93, reached=True, matters=True, cuts=14, cuts_with_bit=6,
    worst_glue_line=Made(expected=0.07, q05=0.03, q95=0.14), floor_gap_needed=0.8, relief_depth_needed=1.9,
    trade=Made(
        plug_left=3.1, hollow=0.8, hollow_ml_per_m=4.2, plug_left_shallowest=1.9, hollow_shallowest=2.0,
        hollow_ml_per_m_shallowest=9.8,
    ),
    held_up_by="wall", held_up_chance=0.97, made_of=Made(worst_glue_line=0.08, largest_first=PARTS),
    settings=Made(now=NOW, turned=TURNED, turns=TURNS), warnings=("One wood of this pair has no cut in the log.",),
)  # fmt: skip
ADVICES = (
    ADVICE,
    Made(**vars(ADVICE) | {"reached": False, "chance": 0.41, "matters": False, "relief_depth_needed": None}),
    Made(
        **vars(ADVICE)
        | {"chance": 1.0, "settings": Made(now=NOW, turned=Made(**vars(TURNED) | {"chance": 1.0}), turns=TURNS)}
    ),
    Made(**vars(ADVICE) | {"cuts": 1, "settings": Made(now=NOW, turned=NOW, turns=())}),
)
DUE = Made(bit="sixty", due=9.0, due_low=4.0, due_high=float("inf"), use=(0.0, 40.0), metres_per_cut=2.4)
CHOICE = {
    "also": ("backer_gap",), "groove_depths": (1.2, 2.4), "start_depth": 3.4, "expected_gain": 0.12, "line_saved": 0.02,
    "near": 0.8, "reached": 0.4,
}  # fmt: skip
NEXT = {
    "question": ADVICE.question, "advised": 3.4, "near": 0.6, "best_cut": Made(**CHOICE, measure="cut"),
}  # fmt: skip
NEXTS = tuple(
    Made(**NEXT, enough=enough, reached=not enough, candidates=(Made(**CHOICE, measure=measure),))
    for measure in ("cut", "groove", "tip_flat", "depth_gauge")
    for enough in (True, False)
)


def _advised(say):
    return lambda unit: [line for each in ADVICES for line in _lines(say(each, unit))]


def _lines(told):
    return [told] if isinstance(told, str) else list(told)


def _forecast_score(*, read=True):
    """Give one cut that was forecast, and read or not."""
    from inlaylab.bench.bits import Bit
    from inlaylab.bench.coupons import Coupon, Station
    from inlaylab.bench.cuts import Cut, Pair
    from inlaylab.bench.forecasts import Expected, Forecast
    from inlaylab.bench.readings import Reading
    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.review.forecast_score import score

    bar = Station(coupon="c", station="B1", kind="bar", stroke_width=2, land_width=4, grain="along")
    depths = {"start_depth": 3.4, "pocket_depth": 4.2, "relief_depth": 1.6}
    line = Reading(cut="k", kind="glue_line", station="B1", value=0.08, unit="mm")
    shop = Shop(
        bits=[Bit(bit="b", nominal_angle_deg=60)],
        pairs=[Pair(pair="p", host="ash", insert="beech")],
        coupons=[Coupon(coupon="c", stations=[bar])],
        cuts=[Cut(cut="k", bit="b", pair="p", coupon="c", **depths)],
        readings=[line] if read else [],
    )
    expected = Expected(station="B1", q05=0.02, q25=0.04, q50=0.06, q75=0.07, q95=0.1)
    return score(shop, [Forecast(cut="k", made="2026-03-05", within=0.15, chance=0.9, known=4, stations=[expected])])


TURNED_BENDS = tuple(
    Made(bend=bend, start_depth=3.4, here=0.02, pocket_depth=4.2, hair=0.01) for bend in (3.9, 4.3, float("inf"))
)
TURNED_CHANCE = Made(
    question=ADVICE.question, turned_to=3.4, share=0.81, held_up={"wall": 0.9, "floor": 0.1}, start_depth=3.6,
    chance=0.93, bend=3.6, limit=3.8,
)  # fmt: skip
TURNED_CHANCES = (
    TURNED_CHANCE,
    Made(**vars(TURNED_CHANCE) | {"bend": None, "limit": None}),
    Made(**vars(TURNED_CHANCE) | {"bend": 3.7}),
)


def _pooled():
    """Give what two shops taught of two beliefs, and a file that could not be used."""
    from dataclasses import replace

    from inlaylab.fitting.model.beliefs import KIT, Beliefs

    learned = {name: replace(prior, shops=2) for name, prior in KIT.priors.items() if name != "bias"}
    beliefs = Beliefs(priors={**KIT.priors, **learned}, basis="pooled", shops=2, cuts=1, readings=40)
    return Made(beliefs=beliefs, fitted=2, kept=0, stored=1, passed_over=(("oak.inlay", "no cut yet"),))


def _began():
    from inlaylab.fitting.model.beliefs import KIT

    return [pool.began_with(each) for each in (KIT, _pooled().beliefs)]


SUSPECTS = tuple(
    Made(cut="T04", kind="backer_gap", station=station, chance=0.998, cure="looks like the wrong sign", expected=there)
    for station, there in (("B1", 0.42), (None, None))
)

SAMPLES = {
    suspects.looks_like: lambda unit: [suspects.looks_like(each, unit) for each in SUSPECTS],
    suspects.suspect_line: lambda unit: [suspects.suspect_line(each, unit) for each in SUSPECTS],
    pool.began_with: lambda unit: _began(),
    pool.pooled_lines: lambda unit: pool.pooled_lines(_pooled(), unit),
    moved.moved_line: lambda unit: [
        moved.moved_line(Moved(start_depth=3.42, before=before, cut=cut, surprise=surprise), unit)
        for before, cut in ((3.36, "T27"), (3.42, "cut 3"), (3.36, ""))
        for surprise in moved.SURPRISES
    ],
    start_depth.answer_lines: lambda unit: [line for each in ADVICES for line in start_depth.answer_lines(each, unit)],
    start_depth.chance_lines: _advised(start_depth.chance_lines),
    start_depth.depth_lines: _advised(start_depth.depth_lines),
    start_depth.first_lines: _advised(start_depth.first_lines),
    start_depth.headline: _advised(start_depth.headline),
    start_depth.made_of_line: _advised(start_depth.made_of_line),
    start_depth.more_lines: _advised(start_depth.more_lines),
    start_depth.settings_lines: _advised(start_depth.settings_lines),
    start_depth.suggestion: lambda unit: start_depth.suggestion(3.42, unit),
    start_depth.why: lambda _: [start_depth.why(each) for each in ADVICES],
    forecasts.cut_line: lambda unit: [forecasts.cut_line(cut, unit) for cut in _forecast_score().cuts],
    forecasts.forecast_lines: lambda unit: [
        line
        for each in (_forecast_score(), _forecast_score(read=False))
        for line in forecasts.forecast_lines(each, unit)
    ],
    next_cut.why: lambda unit: [next_cut.why(found, unit) for found in NEXTS],
    by_hand.bend_line: lambda unit: [by_hand.bend_line(each, unit) for each in TURNED_BENDS],
    by_hand.chance_lines: lambda unit: [line for each in TURNED_CHANCES for line in by_hand.chance_lines(each, unit)],
    by_hand.held_line: lambda unit: [
        by_hand.held_line(Made(held_up_by=held, stand_off=off), 0.04, unit)
        for held, off in (("wall", -0.17), ("floor", 0.05))
    ],
    tune_again.tune_again: lambda unit: [
        tune_again.tune_again(Made(**vars(DUE), because=because), chance=0.9, unit=unit)
        for because in ("depth", "line", "chance", "nothing")
    ],
}
