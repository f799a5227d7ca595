"""
One sample of every sentence that the wording room says, to be rendered in each unit.

A function that takes a reader's unit belongs here: its name, and a call of it with that unit. The figures are
invented.
"""

from types import SimpleNamespace as Made

from inlaylab.wording import advice, lengths, plan, plan_answer, shop_page

SETTING = {"path_angle_deg": 60.0, "outline_offset": 0.0, "start_depth": 3.4, "worst_glue_line": 0.12}
ADVICE = Made(
    question=Made(bit="sixty", pair="walnut-maple", within=0.1, chance=0.9),
    start_depth=3.4,
    chance=0.93,
    low=3.3,
    high=3.6,
    floor_gap_needed=0.8,
    why="the walls would meet first.",
    held_up_by="wall",
    settings={"now": Made(**SETTING), "turned": Made(**SETTING | {"outline_offset": 0.04, "worst_glue_line": 0.05})},
    warnings=("One wood of this pair has no cut in the log.",),
)
NONE_MEETS = Made(**vars(ADVICE) | {"start_depth": None, "chance": 0.41, "low": None, "high": None})
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


SAMPLES = {
    "advice.answer_lines": lambda unit: [
        *advice.answer_lines(ADVICE, unit, earlier=ADVICE),
        *advice.answer_lines(NONE_MEETS, unit),
    ],
    "lengths.area": lambda unit: lengths.area(6452.0, unit),
    "lengths.between": lambda unit: lengths.between(3.4, 3.8, unit),
    "lengths.both": lambda unit: lengths.both(4.318, unit),
    "lengths.fine": lambda unit: lengths.fine(0.0254, unit),
    "lengths.length": lambda unit: lengths.length(4.318, unit),
    "lengths.path": lambda unit: lengths.path(2500.0, unit),
    "lengths.volume": lambda unit: lengths.volume(100_000.0, unit),
    "plan.cost_lines": lambda unit: plan.cost_lines(WORKED, **COSTS, unit=unit),
    "plan.drawing_line": lambda unit: plan.drawing_line(DRAWING, 1.5, unit),
    "plan_answer.closed_form_lines": lambda unit: plan_answer.closed_form_lines(QUICK, unit, fitted=True),
    "plan_answer.cut_lines": lambda unit: plan_answer.cut_lines(CUT, unit),
    "shop_page.level_names": lambda unit: shop_page.level_names(SETTINGS, -0.1, unit),
    "shop_page.page_lines": lambda unit: shop_page.page_lines(SETTINGS, unit, mirror="x", bit="ninety"),
    "plan.spread_lines": lambda unit: plan.spread_lines(_spread(), ADVICE, unit),
    "plan.worked_lines": lambda unit: plan.worked_lines(WORKED, unit),
}
