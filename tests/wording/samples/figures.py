"""Samples of what `wording.figures` says; the figures are invented."""

import math
from types import SimpleNamespace as Made

import numpy as np
from made_up_answer import advice_result
from wording.samples.answers import _forecast_score
from wording.samples.panels import _coupon_plan, _stacks

from inlaylab.wording.figures import answers, around, artwork, bits, coupons, log, sections

ADVICE = advice_result()
BENDS = tuple(Made(bend=bend, start_depth=3.4, here=0.02, pocket_depth=4.2, hair=0.01) for bend in (3.93, math.inf))
SEAT = {"held_up_by": "wall", "contact_at": (12.0, 3.0)}
SECTION = Made(
    seat=Made(**SEAT, stand_off=-0.12, glue_line=np.array([0.02, 0.03])), start_depth=3.6, pocket_depth=4.0,
    stroke_widths=(1.2, 6.0),
)  # fmt: skip
THROUGH = Made(pocket=np.array([0, 4.0, 4.0]), plug=np.array([-1.0, 3.2, 3.1]), along=np.array([0, 4.0, 8.0]))
CUTS = tuple(
    Made(seat=Made(**SEAT), stand_off=off, held_up_by="wall", fill_rate=rate, worst_glue_line=0.09)
    for off, rate in ((-0.12, 0.964), (0.05, None))
)
READ = tuple(
    Made(station=f"B{place}", glue_line=line, wedge_stop=stop, fill=fill)
    for place, (line, stop, fill) in enumerate(((0.062, None, "filled"), (None, 0.42, None), (None, None, "missing")))
)
RESIDUALS = (
    Made(cut="T01", kind="glue_line", station="B1", off=0.4, suspect=False),
    Made(cut="cut 2", kind="backer_gap", station="", off=5.1, suspect=True),
)
FILLS = Made(
    insert="maple", widths=np.array([0.4, 0.8]), along=np.array([[0, 0.3, 1], [0, 0.7, 1]]), across=np.zeros((2, 3)),
    seen=[(0.5, "along", 1.0)],
)  # fmt: skip
TAUGHT = Made(
    question=Made(bit="sixty", pair="walnut-maple"),
    by_weight=[
        Made(cut="T01", moved=0.021, held_up_by="wall", trusted=True),
        Made(cut="T02", moved=-0.004, held_up_by="floor", trusted=False),
    ],
)
DRIFT = Made(bits=[Made(bit="sixty", flat_new={"q50": 0.08}, flat_now={"q50": 0.11})])
PLACES = (Made(meaning="tip flat", own=(0.09, 0.11, 0.13), share=0.8),)
WHERE = {"told": "glue line", "lost": True}

SAMPLES = {
    answers.bend_alt: lambda unit: [answers.bend_alt(bend, unit) for bend in BENDS],
    answers.bend_at: lambda unit: answers.bend_at(3.93, unit),
    answers.glue_line_alt: lambda unit: [
        answers.glue_line_alt([(1, 0.03), (8, 0.05)], unit, readings=read, closed=0, within=within, suspects=doubted)
        for read, within, doubted in ((1, None, ()), (3, 0.1, ("T1 B1",)))
    ],
    answers.limit: lambda unit: answers.limit(0.9),
    answers.made_of_alt: lambda unit: answers.made_of_alt(ADVICE.made_of, unit),
    answers.now_at: lambda unit: answers.now_at(3.4, unit),
    answers.part_size: lambda unit: [answers.part_size(adds, unit) for adds in (0.0001, 0.03)],
    answers.setting_size: lambda unit: answers.setting_size(ADVICE.settings.now, unit),
    answers.settings_alt: lambda unit: [
        answers.settings_alt(advice_result(turned=turned), unit) for turned in (True, False)
    ],
    answers.settings_ways: lambda unit: [name for _, name, _ in answers.settings_ways(ADVICE, unit)],
    answers.worst_line_alt: lambda unit: [
        answers.worst_line_alt(each, unit) for each in (ADVICE, advice_result(limit=None), advice_result(matters=False))
    ],
    around.film_size: lambda unit: around.film_size(60.0, unit),
    around.glue_alt: lambda unit: around.glue_alt(unit, film=60.0, gap=0.3, void=420.0),
    around.levelling_alt: lambda unit: [around.levelling_alt(stack, unit) for stack in _stacks()],
    around.levelling_heights: lambda unit: [
        name for stack in _stacks() for _, name in around.levelling_heights(stack, unit)
    ],
    around.may_come_off: lambda unit: [around.may_come_off(reserve, unit) for reserve in (0.3, -0.1)],
    around.mirror_title: lambda unit: [around.mirror_title("x", doubled=doubled) for doubled in (True, False)],
    around.sanding_alt: lambda unit: around.sanding_alt([(1.2, 0.3), (0.4, -0.1)], unit, sanded_off=0.3),
    around.tram_alt: lambda unit: around.tram_alt("x", "y", unit, right=0.02, wrong=0.11),
    around.void_size: lambda unit: around.void_size(0.3, 420.0, unit),
    around.worst_line: lambda unit: around.worst_line(0.02, unit),
    around.season_alt: lambda unit: around.season_alt({"across the host's grain": [-0.25, 0, 0.2]}, unit),
    artwork.by_what: lambda unit: artwork.by_what("glue line"),
    artwork.planned_alt: lambda unit: [
        artwork.planned_alt((80, 50), unit, ends=ends, **WHERE)
        for ends in (None, artwork.planned_ends(0.02, 0.2, unit, chances=False))
    ],
    artwork.planned_ends: lambda unit: [
        end for chances in (True, False) for end in artwork.planned_ends(0.02, 0.2, unit, chances=chances)
    ],
    artwork.virtual_cut_alt: lambda unit: [artwork.virtual_cut_alt(cut, unit) for cut in CUTS],
    artwork.virtual_cut_title: lambda unit: artwork.virtual_cut_title(CUTS[0]),
    bits.grooves_alt: lambda unit: [
        bits.grooves_alt(0.012, unit, grooves=3, angle=(60.1, 0.3), tip_flat=(0.1, 0.02), further=further)
        for further in (None, (8.0, 0.1))
    ],
    bits.wear_alt: lambda unit: [
        bits.wear_alt([0.1, 0.2], "tip flat", due_at=due, unsure=30.0) for due in (200.0, math.inf)
    ],
    coupons.coupon_alt: lambda unit: coupons.coupon_alt(_coupon_plan(unit).coupon, unit),
    coupons.coupon_drawing_alt: lambda unit: coupons.coupon_drawing_alt(_coupon_plan(unit), unit),
    coupons.coupon_read_alt: lambda unit: coupons.coupon_read_alt("coupon 1", Made(stations=READ), unit),
    coupons.line_bands: lambda unit: list(coupons.line_bands(0.05, 0.1, unit)),
    coupons.profile_alt: lambda unit: [coupons.profile_alt(one, unit) for one in READ],
    coupons.station_name: lambda unit: coupons.station_name("B1"),
    coupons.station_read: lambda unit: [coupons.station_read(one, unit) for one in READ],
    coupons.with_grain: lambda unit: coupons.with_grain("along"),
    log.beside_others_alt: lambda unit: [
        log.beside_others_alt(Made(places=PLACES, shops=shops), unit) for shops in (0, 30)
    ],
    log.drift_alt: lambda unit: log.drift_alt(DRIFT, unit),
    log.fill_share_alt: lambda unit: log.fill_share_alt(FILLS, unit),
    log.forecasts_alt: lambda unit: [
        log.forecasts_alt(stations, 1) for stations in ((), _forecast_score().cuts[0].stations)
    ],
    log.held_up: lambda unit: [log.held_up(cut) for cut in TAUGHT.by_weight],
    log.known_alt: lambda unit: log.known_alt([log.known_line("sixty", "tip flat", 0.05, 0.11, unit, cuts=1)]),
    log.known_line: lambda unit: [log.known_line("sixty", "tip flat", 0.05, 0.11, unit, cuts=cuts) for cuts in (1, 9)],
    log.name_and_cuts: lambda unit: [log.name_and_cuts("sixty", cuts) for cuts in (0, 1, 9)],
    log.residual_name: lambda unit: [log.residual_name(one) for one in RESIDUALS],
    log.residuals_alt: lambda unit: [log.residuals_alt(some) for some in (RESIDUALS, RESIDUALS[:1])],
    log.seen: lambda unit: log.seen("along"),
    log.taught_alt: lambda unit: log.taught_alt(TAUGHT, unit, most=8),
    log.with_grain: lambda unit: log.with_grain("across"),
    sections.cut_section_alt: lambda unit: [
        sections.cut_section_alt(Made(**vars(THROUGH), sanded_off=0.3, exaggeration=times), unit) for times in (1, 2)
    ],
    sections.cut_section_title: lambda unit: [sections.cut_section_title(Made(exaggeration=times)) for times in (1, 2)],
    sections.lengths_listed: lambda unit: [
        line
        for stand_off, depths in ((-0.1, None), (0.2, (4.0, 3.5)))
        for line in sections.lengths_listed(
            unit, stand_off=stand_off, floor_gap=0.5, backer_gap=1.4, glue_lines=(0.04, 0.12), depths=depths
        )
    ],
    sections.section_alt: lambda unit: sections.section_alt(SECTION, unit),
    sections.title: lambda unit: sections.title("wall"),
}
