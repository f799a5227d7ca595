"""Samples of what `wording.panels` says; the figures are invented."""

from pathlib import Path
from types import SimpleNamespace as Made

from inlaylab.bench.cuts import Cut
from inlaylab.errors import LogError
from inlaylab.wording.panels import (
    how_it_reckons,
    log_a_test_cut,
    log_and_fit,
    make_a_coupon,
    measure_a_bit,
    merging,
    plan_an_artwork,
    share_findings,
    shared,
    start_here,
)
from inlaylab.wording.panels.around_the_cut import cutting, woods

READ = Made(glue_line=0.062, sd=0.008, fill="filled", wedge_stop=None, why="")
BLANK = Made(glue_line=None, sd=None, fill=None, wedge_stop=None, why="glue and insert look alike")
STOPPED = Made(glue_line=None, sd=None, fill=None, wedge_stop=0.42, why="")
AGREED = tuple(
    Made(pairs=pairs, bias=0.006, bias_sd=0.009, more=more, factor=1.6, learnt=learnt)
    for pairs, more, learnt in ((0, 5, False), (2, 3, False), (4, 1, True), (9, 0, True))
)


def _measure(tip_flat=0.12):
    import numpy as np

    from inlaylab.models.grooves import BitMeasure

    return BitMeasure(
        true_angle=60.4, true_angle_uncertainty=0.31, tip_flat=tip_flat, tip_flat_uncertainty=0.034, correlation=-0.8,
        zero_errors={"2026-03-05": (0.03, 0.04), None: (-0.02, 0.04)}, residuals=np.array([0.01, -0.01]),
        residual_sd=0.014, degrees_of_freedom=1,
    )  # fmt: skip


def _wear(spread):
    from inlaylab.models.wear import wear

    return wear([0, 100, 200], [0.05, 0.08, 0.11], change_allowed=0.1, value_uncertainty=spread)


def _coupon_plan(unit):
    from inlaylab.artwork.sheets.coupon import design_coupon

    sizes = {"pocket_depth": 4.2, "relief_depth": 1.6, "length": 120, "width": 80, "border": 10}
    return design_coupon(name="c1", path_angle=60, unit=unit, **sizes)


BIT = {"sink": (0.11, 0.06), "further": (5.2, 0.22)}


def _stacks():
    from inlaylab.models.levelling import levelling_stack

    usual = {
        "retract": 18, "cut_start": 11, "cut_depth": 6.4, "pass_depth": 1.2, "insert_thickness": 9, "start_depth": 3.4,
        "relief_depth": 1.6, "stand_off": 0.0, "zero_off": 0.1,
    }  # fmt: skip
    changes = ({}, {"cut_depth": 7.0}, {"cut_depth": 6.95}, {"cut_start": 13}, {"cut_depth": 1.2, "pass_depth": 1.2})
    return [levelling_stack(**usual | change) for change in changes]


def _warnings(unit):
    found = [cutting.levelling_warning(stack, unit, pass_depth=0.1) for stack in _stacks()]
    assert len({each.split("would")[-1] for each in found}) > 2
    return found


def _tram(unit):
    from inlaylab.models.around.tram import mirror_line

    return cutting.tram_lines(mirror_line(0.05, 0.30), unit, leans=(0.05, 0.30), right=0.02, wrong=0.11)


def _woods():
    """Give a wood with its own coefficient, one with shrinkage alone and one that nobody knows."""
    from inlaylab.handbook import woods as handbook

    return [handbook.find(name) for name in ("black walnut", "padauk", "moonwood")]


AIR = ((30.0, 95.0), (-1.0, 55.0))

CUT = {"cut": "T06", "bit": "sixty", "pair": "walnut-maple", "pocket_depth": 4.2, "relief_depth": 1.6}
BEFORE = Cut(**CUT, start_depth=3.0)
CHANGED = Made(
    name="cut T06",
    needed_by={},
    before=BEFORE,
    mine=Cut(**CUT, start_depth=2.5, path_angle_deg=60.6),
    theirs=Cut(**CUT, start_depth=2.75, notes="blunt"),
)
CONFLICTS = (CHANGED, Made(name="cut T06", needed_by={"readings": 1}, before=BEFORE, mine=BEFORE, theirs=None))
COUNTS = {"bits": 0, "cuts": 1, "readings": 12}
MERGE = {"at": "2026-03-05T14:02:00+00:00", "corrected": {"cuts": 2}, "deleted": {"cuts": 0}}
NOTHING = Made(at="", added={}, corrected={}, deleted={}, conflicts=(), notes=())
MERGES = (Made(**MERGE, added=COUNTS, conflicts=CONFLICTS, notes=("cut k3 of the other log is Ola k3 here",)), NOTHING)

SAMPLES = {
    plan_an_artwork.failed: lambda unit: plan_an_artwork.failed("the drawing has no closed line"),
    plan_an_artwork.wrote: lambda unit: plan_an_artwork.wrote(["leaf.svg", "leaf.dxf"], "my shop"),
    shared.cannot_open: lambda unit: shared.cannot_open("there is no such log"),
    shared.fault: lambda unit: shared.fault(OSError("the disk is full")),
    shared.works_on: lambda unit: [shared.works_on("oak.inlay", new=new) for new in (True, False)],
    how_it_reckons.up_to_strokes: lambda unit: how_it_reckons.up_to_strokes(6),
    how_it_reckons.widths: lambda unit: [how_it_reckons.widths(number) for number in (1, 9)],
    shared.too_large: lambda unit: shared.too_large("start depth"),
    shared.too_small: lambda unit: shared.too_small("start depth"),
    shared.keep: lambda unit: shared.keep("bit"),
    shared.no_new: lambda unit: shared.no_new("bit"),
    shared.none_yet: lambda unit: shared.none_yet("Cuts in the log"),
    shared.please_fix: lambda unit: shared.please_fix(["start depth", "bit"]),
    shared.redo: lambda unit: [shared.redo(what) for what in ("", "added cut 2")],
    shared.save: lambda unit: shared.save("cut"),
    shared.number_with_unit: lambda unit: [
        shared.number_with_unit(value, unit) for value, unit in ((59.5, "°"), (90, "%"), (120.0, "m"))
    ],
    shared.still_needed: lambda unit: shared.still_needed(["start depth", "bit"]),
    shared.undo: lambda unit: [shared.undo(what) for what in ("", "added cut 2")],
    shared.working: lambda unit: shared.working("25%, about 3 s left"),
    share_findings.other_one: lambda unit: share_findings.other_one("friend.inlay"),
    share_findings.still_to_choose: lambda unit: share_findings.still_to_choose(2),
    share_findings.this_one: lambda unit: share_findings.this_one("shop.inlay"),
    cutting.watch_out: lambda unit: cutting.watch_out("do not run it."),
    log_a_test_cut.closed_at: lambda unit: log_a_test_cut.closed_at("B1"),
    log_a_test_cut.nothing_since: lambda unit: log_a_test_cut.nothing_since(log_a_test_cut.kept("Saved", "cut 2", 9)),
    log_a_test_cut.kept: lambda unit: [log_a_test_cut.kept("Saved", "cut 2", readings) for readings in (0, 1, 24)],
    start_here.with_unit: lambda unit: start_here.with_unit("start depth", unit),
    start_here.depths_line: lambda unit: [
        start_here.depths_line(3.4, 4.2, 1.6, unit, coupon=coupon) for coupon in ("", "coupon 2", "ladder")
    ],
    start_here.holds: lambda unit: [start_here.holds(cuts=n, readings=n, bits=n, pairs=n, coupons=n) for n in (1, 2)],
    merging.conflict_rows: lambda unit: [
        ", ".join(filter(None, row.values())) for each in CONFLICTS for row in merging.conflict_rows(each, unit)
    ],
    merging.counted: lambda unit: [merging.counted(numbers) for numbers in (COUNTS, {})],
    merging.merge_lines: lambda unit: [
        line
        for joined in MERGES
        for done in (True, False)
        for line in merging.merge_lines(joined, other="friend.inlay", done=done)
    ],
    cutting.blank_line: lambda unit: cutting.blank_line(
        "Host", Made(length=130, width=90, thickness=11, volume=128_700), unit
    ),
    cutting.floor_gap_line: lambda unit: [cutting.floor_gap_line(0.8, unit, tallest=tall) for tall in (0.2, 0.9)],
    cutting.levelling_lines: lambda unit: [
        line for stack in _stacks() for line in cutting.levelling_lines(stack, unit, zero_off=0.1)
    ],
    cutting.levelling_warning: _warnings,
    cutting.sanded_line: lambda unit: [
        cutting.sanded_line(1.2, unit, finished=0.85, left=left, ridge=0.1) for left in (0.3, -0.2)
    ],
    cutting.time_line: lambda unit: [
        cutting.time_line("Pocket", metres=4.2, passes=passes, minutes=3.1) for passes in (1, 3)
    ],
    cutting.tram_lines: _tram,
    woods.clamp_lines: lambda unit: [
        line
        for clamps in (None, 1, 4)
        for line in woods.clamp_lines(
            unit, bounds=6000, force=(4100, 8300), clamps=clamps, pressure="hardwood", films=["thin", "thick"]
        )
    ],
    woods.coefficient_line: lambda unit: (
        [
            woods.coefficient_line("host", wood, "radial", worked_out=worked_out)
            for wood, worked_out in zip(_woods(), (None, 0.00115, None), strict=True)
        ]
        + [woods.coefficient_line("insert", _woods()[0], "radial", worked_out=0.00274, own=7.8)]
    ),
    woods.coefficients_meant_for: lambda unit: woods.coefficients_meant_for(6, 14),
    woods.contents_line: lambda unit: woods.contents_line(
        20, unit, contents={"glued": 8.6, "dry": 6.2, "damp": 12.0}, source="a book", certainty="It shows trends."
    ),
    woods.glue_lines: lambda unit: woods.glue_lines(unit, walls=2400, film=0.05, glue=60, void=420),
    woods.movement_line: lambda unit: [
        woods.movement_line("across the host's grain", 100, unit, dry=dry, damp=0.2) for dry in (-0.3, 0.001)
    ],
    woods.no_such_wood: lambda unit: [woods.no_such_wood(name) for name in ("", "moonwood")],
    woods.outside_table: lambda unit: [
        woods.outside_table(unit, humidities=out, celsius=celsius, table=AIR)
        for out, celsius in (((97,), None), ((20, 97), 58.0))
    ],
    woods.temperature: lambda unit: woods.temperature(21, unit),
    woods.wood_lines: lambda unit: woods.wood_lines(_woods()[0], dict.fromkeys(_woods()[0].values, "a value")),
    share_findings.leave_out: lambda unit: share_findings.leave_out("the photos of cuts"),
    share_findings.merged: lambda unit: [
        share_findings.merged("both.inlay", cuts=cuts, bits=1, notes=["oak was already there."]) for cuts in (1, 9)
    ],
    share_findings.page_written: lambda unit: share_findings.page_written(["findings.html", "findings.pdf"]),
    share_findings.progress: lambda unit: [
        share_findings.progress(0.4, left, "working out the answer") for left in (None, 1.2, 8.0)
    ],
    make_a_coupon.added: lambda unit: [make_a_coupon.added("coupon 1", stations) for stations in (1, 12)],
    make_a_coupon.plan_lines: lambda unit: [
        line
        for fitted in (True, False)
        for line in make_a_coupon.plan_lines(_coupon_plan(unit), unit, thin=(0.4, 0.9), thin_from_fit=fitted)
    ],
    make_a_coupon.written: lambda unit: [make_a_coupon.written("coupon 1", names) for names in (["a.svg"], "abc")],
    measure_a_bit.bit_lines: lambda unit: [
        line
        for flat, loupe in ((0.12, True), (-0.02, False))
        for line in measure_a_bit.bit_lines(_measure(flat), unit, loupe=loupe, **BIT)
    ],
    measure_a_bit.groove_added: lambda unit: measure_a_bit.groove_added(4.0, unit),
    measure_a_bit.groove_deleted: lambda unit: measure_a_bit.groove_deleted(4.0, unit),
    measure_a_bit.loupe_kept: lambda unit: measure_a_bit.loupe_kept("sixty", 0.1, unit),
    measure_a_bit.no_answer: lambda unit: measure_a_bit.no_answer("these grooves are all equally deep"),
    measure_a_bit.one_for_each: lambda unit: measure_a_bit.one_for_each(3, 1),
    measure_a_bit.wear_lines: lambda unit: [
        line for spread in (0.002, 0.2) for line in measure_a_bit.wear_lines(_wear(spread), unit)
    ],
    log_a_test_cut.all_taken: lambda unit: [log_a_test_cut.all_taken(stations) for stations in (1, 9)],
    log_a_test_cut.back_in_form: lambda unit: log_a_test_cut.back_in_form("T12"),
    log_a_test_cut.deleted: lambda unit: log_a_test_cut.deleted("T12"),
    log_a_test_cut.left_out: lambda unit: log_a_test_cut.left_out("B3"),
    log_a_test_cut.mode: lambda unit: [log_a_test_cut.mode(name) for name in ("", "T12")],
    log_a_test_cut.pictures_found: lambda unit: [log_a_test_cut.pictures_found(n, "my shop") for n in (0, 1, 4)],
    log_a_test_cut.proposal_taken: lambda unit: log_a_test_cut.proposal_taken("B3", READ, unit),
    log_a_test_cut.typed_stays: lambda unit: log_a_test_cut.typed_stays("B3"),
    log_a_test_cut.understood: lambda unit: [
        log_a_test_cut.understood(0.12, unit, fill="partly"),
        log_a_test_cut.understood(None, unit, closed_below=0.05, fill="filled"),
        log_a_test_cut.understood(0.42, unit, wedge=True),
    ],
    log_and_fit.draft_is_back: lambda unit: [log_and_fit.draft_is_back(at) for at in ("2026-03-05T14:02", "")],
    log_and_fit.first_steps: lambda unit: [
        line for known in (0, 2) for line in log_and_fit.first_steps(bits=known, coupons=known)
    ],
    log_and_fit.how_it_was_made: lambda unit: [
        log_and_fit.how_it_was_made(Made(updates=updates, why_full=why))
        for updates, why in ((0, ""), (3, ""), *((0, why) for why in log_and_fit.WHY_FULL))
    ],
    log_and_fit.log_line: lambda unit: [log_and_fit.log_line(Path("oak.inlay"), cuts) for cuts in (0, 1, 26)],
    log_and_fit.missing_log: lambda unit: log_and_fit.missing_log(LogError("there is no such log", value="a.inlay")),
    log_and_fit.no_answers_yet: lambda unit: [log_and_fit.no_answers_yet(cuts) for cuts in (0, 1, 5)],
    measure_a_bit.no_groove_yet: lambda unit: [measure_a_bit.no_groove_yet(bit) for bit in (None, "sixty")],
    log_a_test_cut.picture_how: lambda unit: [log_a_test_cut.picture_how(found) for found in AGREED],
    log_a_test_cut.picture_agreement: lambda unit: [log_a_test_cut.picture_agreement(found, unit) for found in AGREED],
    log_a_test_cut.picture_proposal: lambda unit: [
        log_a_test_cut.picture_proposal(one, unit) for one in (READ, BLANK, STOPPED)
    ],
}
