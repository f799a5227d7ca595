"""``next-cut``: the test cut that is worth most now, or the measurement that makes one unnecessary."""

import argparse
from typing import TYPE_CHECKING

from inlaylab.commands import question
from inlaylab.commands.command import Answer, Command
from inlaylab.services.open_log import Progress, open_fitted
from inlaylab.units import format_length

if TYPE_CHECKING:
    from inlaylab.fitting.next.next_cut import NextCut


def _next_cut(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.next.next_cut import next_cut
    from inlaylab.wording.answers.next_cut import why

    shop, fit = open_fitted(arguments.log)
    with Progress() as progress:
        found = next_cut(fit, shop, question.ask(arguments, shop), progress=progress)
    unit = arguments.unit or shop.habits.unit
    return Answer(record=found.to_json() | {"why": why(found, unit)}, text=_told(found, unit))


def _told(found: "NextCut", unit: str) -> str:
    """Tell what to measure next to a person, and what it was compared with."""
    from inlaylab.fitting.next.options import MEASURES
    from inlaylab.wording.answers.next_cut import why
    from inlaylab.wording.chances import percent
    from inlaylab.wording.lengths import fine

    lines = [why(found, unit), f"Start depth to go by today: {format_length(found.advised, unit)}."]
    if found.measure == "cut":
        lines.append(
            f"Start depth {format_length(found.start_depth, unit)}, pocket depth "
            f"{format_length(found.pocket_depth, unit)}, relief depth {format_length(found.relief_depth, unit)}, "
            f"coupon: {found.coupon or 'none in the log yet; the command coupon draws one'}."
        )
    if found.stations:
        lines.append(f"Stations that tell most, most useful first: {', '.join(found.stations)}.")
    lines += ["", f"{'compared':<46}{'start depth':>12}{'moves it by':>13}{'saves':>10}{'then near the best':>20}"]
    for each in found.candidates:
        name = (
            MEASURES[each.measure]
            + (f" on {each.coupon}" if each.coupon else "")
            + (", more readings" if each.also else "")
        )
        start = "" if each.start_depth is None else format_length(each.start_depth, unit)
        lines.append(
            f"{name[:45]:<46}{start:>12}{format_length(each.expected_gain, unit):>13}"
            f"{fine(max(0.0, each.worth), unit):>10}{percent(each.near):>20}"
        )
    return "\n".join(lines)


COMMANDS = (
    Command(
        name="next-cut",
        help="say which test cut is worth most now, or whether a loupe, a groove or nothing at all does as well",
        add_arguments=question.add_arguments,
        run=_next_cut,
        details="Fit the log first. The options are those of advise; --coupon names the coupon to cut. Everything is "
        "compared with simply cutting at the present advice.",
        examples=(
            "next-cut shop.inlay --bit sixty --pair walnut-maple --strokes leaf.csv --pocket-depth 4mm "
            "--relief-depth 1.5mm --within 0.1mm --chance 0.9",
            "next-cut shop.inlay --bit sixty --pair walnut-maple --artwork leaf.svg --within 4thou --coupon ladder",
        ),
    ),
)
