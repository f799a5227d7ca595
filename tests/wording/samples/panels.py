"""Samples of what `wording.panels` says; the figures are invented."""

from pathlib import Path
from types import SimpleNamespace as Made

from inlaylab.errors import LogError
from inlaylab.wording.panels import log_a_test_cut, log_and_fit, make_a_coupon, measure_a_bit, share_findings

READ = Made(glue_line=0.062, sd=0.008, fill="filled", wedge_stop=None, why="")
BLANK = Made(glue_line=None, sd=None, fill=None, wedge_stop=None, why="glue and insert look alike")
STOPPED = Made(glue_line=None, sd=None, fill=None, wedge_stop=0.42, why="")
AGREED = tuple(Made(pairs=pairs, bias=0.006, bias_sd=0.009, more=more) for pairs, more in ((0, 5), (2, 3), (9, 0)))


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

SAMPLES = {
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
    log_and_fit.log_line: lambda unit: [log_and_fit.log_line(Path("oak.inlay"), cuts) for cuts in (0, 1, 26)],
    log_and_fit.missing_log: lambda unit: log_and_fit.missing_log(LogError("there is no such log", value="a.inlay")),
    log_and_fit.no_answers_yet: lambda unit: [log_and_fit.no_answers_yet(cuts) for cuts in (0, 1, 5)],
    measure_a_bit.no_groove_yet: lambda unit: [measure_a_bit.no_groove_yet(bit) for bit in (None, "sixty")],
    log_a_test_cut.picture_agreement: lambda unit: [log_a_test_cut.picture_agreement(found, unit) for found in AGREED],
    log_a_test_cut.picture_proposal: lambda unit: [
        log_a_test_cut.picture_proposal(one, unit) for one in (READ, BLANK, STOPPED)
    ],
}
