"""Samples of what `wording.panels` says; the figures are invented."""

from pathlib import Path
from types import SimpleNamespace as Made

from inlaylab.bench.cuts import Cut
from inlaylab.errors import LogError
from inlaylab.wording.panels import log_a_test_cut, log_and_fit, measure_a_bit, merging

READ = Made(glue_line=0.062, sd=0.008, fill="filled", wedge_stop=None, why="")
BLANK = Made(glue_line=None, sd=None, fill=None, wedge_stop=None, why="glue and insert look alike")
STOPPED = Made(glue_line=None, sd=None, fill=None, wedge_stop=0.42, why="")
AGREED = tuple(Made(pairs=pairs, bias=0.006, bias_sd=0.009, more=more) for pairs, more in ((0, 5), (2, 3), (9, 0)))

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
