"""Samples of what `wording.commands` says; the figures are invented."""

from pathlib import Path
from types import SimpleNamespace as Made

from wording.samples import answers

from inlaylab.wording.commands import (
    advise,
    command,
    coupon,
    fit,
    log,
    next_cut,
    notebooks,
    pool,
    question,
    review,
    share,
    virtual_cut,
)

SPREAD = {"q05": 0.04, "q50": 0.0721, "q95": 0.11}
KEPT = Made(**vars(answers.NOW) | {"start_depth": 3.2})
WAYS = tuple(
    Made(kept=kept, now=answers.NOW, turned=turned)
    for kept, turned in ((KEPT, answers.TURNED), (None, answers.NOW), (KEPT, answers.CERTAIN))
)


def _flat(lines):
    """Take the columns out of a table's lines."""
    return [" ".join(line.split()) for line in lines]


PLAN = Made(
    coupon=Made(coupon="ladder", stations=[Made(stroke_width=width) for width in (1.2, 8.0)]),
    floor_width=4.9,
    notes=("Not all widths have room on this blank.",),
)
READ = Made(
    pixels_per_mm=23.62,
    drawing_fit=0.034,
    warnings=("one corner is out of focus",),
    stations=[
        Made(station="B1", glue_line=0.08, sd=0.02, fill="partly", wedge_stop=None, why=""),
        Made(station="W1", glue_line=None, sd=None, fill=None, wedge_stop=1.42, why=""),
        Made(station="B2", glue_line=None, sd=None, fill=None, wedge_stop=None, why="the woods look alike"),
    ],
)


def _fit(cuts):
    """Give a fit with one quantity of each kind."""
    from inlaylab.fitting.model.beliefs import KIT

    known = {"tip_flat": SPREAD, "true_angle_deg": SPREAD}
    record = {"cuts": cuts, "readings": 40, "seed": 1, "seconds": 31.2, "bits": {"sixty": known}}
    record |= {"pairs": {"walnut-maple": {"wall_allowance": SPREAD}}, "species": {"maple": {"crests_lost": SPREAD}}}
    record |= {"shop": dict.fromkeys(KIT.priors, SPREAD)}
    agree = Made(in_words=lambda: "The chains agree.")
    return Made(summary=lambda: record, beliefs=KIT, diagnostics=agree)


PREDICTED = {
    "glue_lines": [{"cut": "k9", "station": "B1", **SPREAD, "closed_chance": chance} for chance in (0.0, 1.0)],
    "fills": [{"cut": "k9", "station": station, "filled_chance": 1.0} for station in ("B1", "W1")],
    "backer_gaps": [{"cut": "k9", **SPREAD}],
}
TAUGHT = Made(
    advised=3.4,
    by_weight=[
        Made(
            cut=cut, advised_without=3.38, moved=0.02, leverage=0.13, held_up_by="wall", residual=unusual,
            worst_reading="glue_line B1", trusted=trusted,
        )
        for cut, unusual, trusted in (("T01", 1.1, True), ("T02", None, False))
    ],
)  # fmt: skip
DRIFTS = tuple(
    Made(
        log_speaks=speaks,
        wear={"q05": 0.0001, "q50": 0.0021, "q95": 0.004},
        bits=[
            Made(
                bit=name, cuts=cuts, flat_new=SPREAD, flat_now=SPREAD, words="Looks like wear.",
                angle={"q05": 59.8, "q50": 60.3, "q95": 60.9},
            )
            for name, cuts in (("sixty", 1), ("bit 2", 4))
        ],
    )
    for speaks in (True, False)
)  # fmt: skip
BELIEFS = Made(
    rows=[
        Made(
            quantity=key,
            meaning=key.replace("_", " "),
            unit=unit,
            prior=SPREAD,
            posterior=SPREAD,
            words="mostly the log",
        )
        for key, unit in (("bias", "mm"), ("true_angle", "degrees"), ("mistake_chance", ""), ("picture_factor", ""))
    ]
)
CUT = Made(
    seat=Made(contact_at=(12.0, 30.5)),
    stand_off=-0.17,
    held_up_by="wall",
    fill_rate=0.982,
    worst_glue_line=0.04,
    strokes_lost_area=2.0,
    artwork_area=100.0,
    at=[{"x": 12.0, "y": 30.5, "pocket": 4.2, "plug": 3.4}],
)
CUTS = (CUT, Made(**vars(CUT) | {"stand_off": 0.2, "fill_rate": None}))
PROBLEM = Made(where="cut T04", what="the plug is deeper than its board")
SHOWN = '"0.1"'

SAMPLES = {
    advise.settings_table: lambda unit: [line for each in WAYS for line in _flat(advise.settings_table(each, unit))],
    command.below_zero: lambda unit: command.below_zero(SHOWN),
    command.no_unit: lambda unit: command.no_unit(SHOWN, "0.1"),
    command.not_a_chance: lambda unit: command.not_a_chance(SHOWN),
    command.not_a_number: lambda unit: command.not_a_number(SHOWN),
    command.not_above_zero: lambda unit: command.not_above_zero(SHOWN),
    command.not_finite: lambda unit: command.not_finite(SHOWN),
    command.not_whole: lambda unit: command.not_whole(SHOWN, "a port", 1024, 65535),
    command.unknown_words: lambda unit: command.unknown_words("advise", "--bits"),
    coupon.change: lambda unit: [coupon.change(number, "k7") for number in (1, 24)],
    coupon.coupon_lines: lambda unit: coupon.coupon_lines(
        PLAN, unit, files=[Path("host.svg"), Path("insert.svg")], folder=Path("ladder")
    ),
    coupon.layout_of: lambda unit: coupon.layout_of("ladder"),
    coupon.picture_lines: lambda unit: coupon.picture_lines(READ, unit),
    coupon.saved: lambda unit: [coupon.saved(number, "k7", "shop.pictures/a.jpg") for number in (1, 24)],
    fit.fit_lines: lambda unit: [
        line for cuts in (1, 26) for line in _flat(fit.fit_lines(_fit(cuts), unit, opening=fit.STILL_GOOD))
    ],
    fit.prediction_lines: lambda unit: [
        *_flat(fit.prediction_lines(PREDICTED, unit)),
        *fit.prediction_lines(dict.fromkeys(PREDICTED, ()), unit),
    ],
    fit.spread: lambda unit: [fit.spread(SPREAD, own, unit) for own in ("mm", "degrees", "chance", "")],
    fit.ends: lambda unit: [fit.ends(SPREAD, own, unit) for own in ("mm", "degrees", "chance", "")],
    log.check_lines: lambda unit: [
        line
        for found, doubted in (([], None), ([PROBLEM], answers.SUSPECTS), ([], ()))
        for line in _flat(log.check_lines(found, doubted, unit, path=Path("shop.inlay")))
    ],
    log.copied: lambda unit: log.copied("copy.inlay"),
    log.recovered_lines: lambda unit: log.recovered_lines("new.inlay", {"bits": 1, "cuts": 26}, ["the page of cuts"]),
    log.sound: lambda unit: [log.sound("shop.inlay", healthy=healthy) for healthy in (True, False)],
    next_cut.next_lines: lambda unit: [line for each in _nexts() for line in _flat(next_cut.next_lines(each, unit))],
    notebooks.copied: lambda unit: [
        notebooks.copied(new, kept, "shop", first="0_start_here.ipynb") for new, kept in ((1, 1), (20, 0), (0, 20))
    ],
    notebooks.failed: lambda unit: notebooks.failed("JupyterLab", 3),
    notebooks.has_ended: lambda unit: notebooks.has_ended("JupyterLab"),
    notebooks.not_installed: lambda unit: notebooks.not_installed("JupyterLab"),
    pool.written: lambda unit: pool.written("beliefs.json"),
    question.is_missing: lambda unit: question.is_missing("--pocket-depth"),
    question.missing: lambda unit: question.missing(["--bit", "--pair"]),
    question.most_strokes: lambda unit: question.most_strokes(3000),
    question.one_of: lambda unit: [question.one_of(names) for names in ([], ["sixty", "ninety"])],
    review.belief_lines: lambda unit: review.belief_lines(BELIEFS, unit),
    review.drawn: lambda unit: review.drawn("forecasts.png"),
    review.drift_lines: lambda unit: [line for each in DRIFTS for line in review.drift_lines(each, unit)],
    review.how_to_replay: lambda unit: review.how_to_replay("shop.inlay"),
    review.not_a_count: lambda unit: review.not_a_count('"x"'),
    review.taught_lines: lambda unit: _flat(review.taught_lines(TAUGHT, unit)),
    share.holds_both: lambda unit: share.holds_both("shop.inlay"),
    share.made: lambda unit: share.made("both.inlay"),
    share.made_of_both: lambda unit: share.made_of_both("both.inlay", "friend.inlay", cuts=1, bits=2),
    share.wrote: lambda unit: share.wrote(["findings.html"], 480.2),
    virtual_cut.cut_lines: lambda unit: [
        line for each in CUTS for line in virtual_cut.cut_lines(each, unit, source="leaf.svg", fixed=["two ends met"])
    ],
}


def _nexts():
    """Give what to measure next: a cut, with and without a coupon, and a loupe."""
    more = {"coupon": "ladder", "worth": 0.02}
    for each in answers.NEXTS:
        compared = tuple(Made(**vars(one) | more) for one in each.candidates)
        depths = {"start_depth": 3.4, "pocket_depth": 4.2, "relief_depth": 1.6, "measure": compared[0].measure}
        yield Made(**vars(each) | depths | {"candidates": compared, "stations": ("B1", "B4"), "coupon": ""})
