"""Samples of what `wording.artwork` says; the figures are invented."""

from types import SimpleNamespace as Made

from wording.samples.answers import ADVICE

from inlaylab.wording.artwork import answer, plan

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
    return Made(
        worst_glue_line=(0.04, 0.08, 0.15), expected_worst=0.09, within_chance=0.88, stand_off=(-0.4, -0.2, -0.05),
        limit=lambda share, across: 0.9 if across else 0.5,
    )  # fmt: skip


SAMPLES = {
    plan.cost_lines: lambda unit: plan.cost_lines(WORKED, **COSTS, unit=unit),
    plan.drawing_line: lambda unit: plan.drawing_line(DRAWING, 1.5, unit),
    answer.closed_form_lines: lambda unit: answer.closed_form_lines(QUICK, unit, fitted=True),
    answer.cut_lines: lambda unit: answer.cut_lines(CUT, unit),
    answer.level_names: lambda unit: answer.level_names(SETTINGS, -0.1, unit),
    answer.page_lines: lambda unit: answer.page_lines(SETTINGS, unit, mirror="x", bit="ninety"),
    plan.spread_lines: lambda unit: plan.spread_lines(_spread(), ADVICE, unit),
    plan.worked_lines: lambda unit: plan.worked_lines(WORKED, unit),
}
