"""Samples of what `wording.findings` says; the figures are invented."""

from types import SimpleNamespace as Made

from inlaylab.wording.findings import page, sheet

FIT = Made(
    cuts=1, readings=120, seconds=41.2, worst_r_hat=1.0041, smallest_ess=820.0, divergences=1, seed=3,
)  # fmt: skip

SAMPLES = {
    page.comparable: lambda unit: [page.comparable(cuts) for cuts in ([], ["T01", "cut 2"])],
    page.computed: lambda unit: page.computed(FIT).values(),
    page.good_enough: lambda unit: page.good_enough(0.1, unit),
    page.log_holds: lambda unit: [page.log_holds(cuts, 120, "2026-03-05") for cuts in (1, 26)],
    page.no_photo: lambda unit: page.no_photo("cut 2"),
    page.odds: lambda unit: [page.odds(chance) for chance in (0.5, 0.9, 0.99)],
    page.photo_named: lambda unit: page.photo_named("T01"),
    page.sold_as: lambda unit: page.sold_as("sixty", 60.0),
    page.strokes: lambda unit: [page.strokes(*ends, unit) for ends in ((None, None), (1.2, 1.2), (1.2, 8.0))],
    page.widest_read: page.widest_read,
    sheet.blank: lambda unit: sheet.blank("host", (130.0, 90.0, 11.0), unit),
    sheet.blank_around: lambda unit: sheet.blank_around("insert", 12.0, 11.0, unit),
    sheet.board_size: lambda unit: sheet.board_size(118.4, unit),
    sheet.title: lambda unit: sheet.title("sixty", "walnut-maple"),
    sheet.woods: lambda unit: sheet.woods("maple", "walnut"),
}
