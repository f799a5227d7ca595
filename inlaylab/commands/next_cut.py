"""``next-cut``: the test cut that is worth most now, or the measurement that makes one unnecessary."""

import argparse

from inlaylab.commands import question
from inlaylab.commands.command import Answer, Command
from inlaylab.services.open_log import Progress, open_fitted
from inlaylab.wording.commands import next_cut as words


def _next_cut(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.next.next_cut import next_cut
    from inlaylab.wording.answers.next_cut import why

    shop, fit = open_fitted(arguments.log)
    with Progress() as progress:
        found = next_cut(fit, shop, question.ask(arguments, shop), progress=progress)
    unit = arguments.unit or shop.habits.unit
    return Answer(record=found.to_json() | {"why": why(found, unit)}, text="\n".join(words.next_lines(found, unit)))


COMMANDS = (
    Command(
        name="next-cut",
        help=words.NEXT_CUT,
        add_arguments=question.add_arguments,
        run=_next_cut,
        details=words.NEXT_CUT_DETAILS,
        examples=(
            "next-cut shop.inlay --bit sixty --pair walnut-maple --strokes leaf.csv --pocket-depth 4mm "
            "--relief-depth 1.5mm --within 0.1mm --chance 0.9",
            "next-cut shop.inlay --bit sixty --pair walnut-maple --artwork leaf.svg --within 4thou --coupon ladder",
        ),
    ),
)
