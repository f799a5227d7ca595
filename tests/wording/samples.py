"""
One sample of every sentence that the wording room says, to be rendered in each unit.

A function that takes a reader's unit belongs here: its name, and a call of it with that unit. The figures are
invented.
"""

from types import SimpleNamespace as Made

from inlaylab.bench.cuts import Cut
from inlaylab.services.what_moved import Moved
from inlaylab.wording import (
    advice,
    forecasts,
    lengths,
    log_and_fit,
    merging,
    moved,
    next_cut,
    plan,
    plan_answer,
    review,
    turned_by_hand,
)

SETTING = {"path_angle_deg": 60.0, "outline_offset": 0.0, "start_depth": 3.4, "relief_depth": 1.6}
NOW = Made(**SETTING, worst_glue_line=0.12, chance=0.7)
TURNED = Made(**SETTING | {"path_angle_deg": 60.6, "outline_offset": 0.04}, worst_glue_line=0.05, chance=0.95)
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


SETTINGS = Made(
    start_depth=3.4, pocket_depth=4.2, relief_depth=1.6, sanded_off=0.3, path_angle=60.0, rotation=15.0, scale=1.0,
    outline_offset=0.02,
)  # fmt: skip
QUICK = Made(
    seat=Made(stand_off=-0.2, held_up_by="wall"), thinnest=0.7, widest=6.2, worst_glue_line=0.08, filled=0.97,
    smallest_scale=1.2, thicker_scale=1.05,
)  # fmt: skip
CUT = Made(
    held_up_by="floor", stand_off=0.12, fill_rate=0.964, worst_glue_line=0.09, strokes_lost_area=12.0,
    artwork_area=900.0,
)  # fmt: skip
GRAIN = Made(at=lambda turn: 0.4, best=30.0)
MEASURES = Made(
    width=80.0, height=50.0, pocket_rim_length=610.0, pocket_flat_area=900.0, pocket_axis_length=120.0,
    ground_rim_length=640.0, ground_flat_area=2100.0, ground_axis_length=80.0, floor_void=300.0, nose_area=900.0,
    wall_area=2400.0, pocket_volume=3600.0, ground_volume=9000.0,
)  # fmt: skip
WORKED = Made(
    settings=SETTINGS,
    cut=CUT,
    thin=Made(length=140.0, share=0.21, limit=0.6),
    grain=GRAIN,
    measures=MEASURES,
    path_slope=0.577,
)
DRAWING = Made(width=80.0, height=50.0, source="leaf.dxf", mended=("one closed line was taken as an outline",))
COSTS = {"pass_spacing": 0.5, "feed": 1200.0, "border": 15.0, "film": 0.05}


def _spread():
    import numpy as np

    shares = np.array([0.2, 0.95])
    return Made(
        worst_glue_line=(0.04, 0.08, 0.15), expected_worst=0.09, within_chance=0.88, stand_off=(-0.4, -0.2, -0.05),
        finished_widths=np.array([0.5, 0.9]), along=shares, across=shares,
    )  # fmt: skip


READ = Made(glue_line=0.062, sd=0.008, fill="filled", wedge_stop=None, why="")
BLANK = Made(glue_line=None, sd=None, fill=None, wedge_stop=None, why="glue and insert look alike")
STOPPED = Made(glue_line=None, sd=None, fill=None, wedge_stop=0.42, why="")
AGREED = tuple(Made(pairs=pairs, bias=0.006, bias_sd=0.009, more=more) for pairs, more in ((0, 5), (2, 3), (9, 0)))


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

BOTH_CHANGED = {"cut": "T06", "bit": "sixty", "pair": "walnut-maple", "pocket_depth": 4.2, "relief_depth": 1.6}
CONFLICTS = (
    Made(
        name="cut T06", table="cuts", needed_by={}, before=Cut(**BOTH_CHANGED, start_depth=3.0),
        mine=Cut(**BOTH_CHANGED, start_depth=2.5, path_angle_deg=60.6),
        theirs=Cut(**BOTH_CHANGED, start_depth=2.75, notes="blunt"),
    ),
    Made(
        name="cut T06", table="cuts", needed_by={"readings": 1}, before=Cut(**BOTH_CHANGED, start_depth=3.0),
        mine=Cut(**BOTH_CHANGED, start_depth=3.0), theirs=None,
    ),
)  # fmt: skip
SAMPLES = {
    "merging.conflict_lines": lambda unit: [
        line for conflict in CONFLICTS for line in merging.conflict_lines(conflict, unit)
    ],
    "merging.conflict_rows": lambda unit: [
        str(row) for conflict in CONFLICTS for row in merging.conflict_rows(conflict, unit)
    ],
    "moved.moved_line": lambda unit: [
        moved.moved_line(Moved(start_depth=3.42, before=before, cut=cut, surprise=surprise), unit)
        for before, cut in ((3.36, "T27"), (3.42, "cut 3"), (3.36, ""))
        for surprise in moved.SURPRISES
    ],
    "advice.answer_lines": lambda unit: [
        line for each in ADVICES for line in advice.answer_lines(each, unit, earlier=ADVICE)
    ],
    "advice.chance_lines": _advised(advice.chance_lines),
    "advice.depth_lines": _advised(advice.depth_lines),
    "advice.first_lines": _advised(advice.first_lines),
    "advice.headline": _advised(advice.headline),
    "advice.made_of_line": _advised(advice.made_of_line),
    "advice.more_lines": _advised(advice.more_lines),
    "advice.settings_lines": _advised(advice.settings_lines),
    "advice.suggestion": lambda unit: advice.suggestion(3.42, unit),
    "advice.why": _advised(advice.why),
    "forecasts.cut_line": lambda unit: [forecasts.cut_line(cut, unit) for cut in _forecast_score().cuts],
    "forecasts.forecast_lines": lambda unit: [
        line
        for each in (_forecast_score(), _forecast_score(read=False))
        for line in forecasts.forecast_lines(each, unit)
    ],
    "lengths.area": lambda unit: lengths.area(6452.0, unit),
    "lengths.between": lambda unit: lengths.between(3.3, 3.6, unit),
    "lengths.both": lambda unit: lengths.both(4.318, unit),
    "lengths.fine": lambda unit: lengths.fine(0.0254, unit),
    "lengths.length": lambda unit: lengths.length(4.318, unit),
    "lengths.path": lambda unit: lengths.path(2500.0, unit),
    "lengths.volume": lambda unit: lengths.volume(100_000.0, unit),
    "next_cut.why": lambda unit: [next_cut.why(found, unit) for found in NEXTS],
    "log_and_fit.picture_agreement": lambda unit: [log_and_fit.picture_agreement(found, unit) for found in AGREED],
    "log_and_fit.picture_proposal": lambda unit: [
        log_and_fit.picture_proposal(one, unit) for one in (READ, BLANK, STOPPED)
    ],
    "plan.cost_lines": lambda unit: plan.cost_lines(WORKED, **COSTS, unit=unit),
    "plan.drawing_line": lambda unit: plan.drawing_line(DRAWING, 1.5, unit),
    "plan_answer.closed_form_lines": lambda unit: plan_answer.closed_form_lines(QUICK, unit, fitted=True),
    "plan_answer.cut_lines": lambda unit: plan_answer.cut_lines(CUT, unit),
    "plan_answer.level_names": lambda unit: plan_answer.level_names(SETTINGS, -0.1, unit),
    "plan_answer.page_lines": lambda unit: plan_answer.page_lines(SETTINGS, unit, mirror="x", bit="ninety"),
    "plan.spread_lines": lambda unit: plan.spread_lines(_spread(), ADVICE, unit),
    "plan.worked_lines": lambda unit: plan.worked_lines(WORKED, unit),
    "turned_by_hand.bend_line": lambda unit: [turned_by_hand.bend_line(each, unit) for each in TURNED_BENDS],
    "turned_by_hand.chance_lines": lambda unit: [
        line for each in TURNED_CHANCES for line in turned_by_hand.chance_lines(each, unit)
    ],
    "turned_by_hand.held_line": lambda unit: [
        turned_by_hand.held_line(Made(held_up_by=held, stand_off=off), 0.04, unit)
        for held, off in (("wall", -0.17), ("floor", 0.05))
    ],
    "review.tune_again": lambda unit: [
        review.tune_again(Made(**vars(DUE), because=because), chance=0.9, unit=unit)
        for because in ("depth", "line", "chance", "nothing")
    ],
}
