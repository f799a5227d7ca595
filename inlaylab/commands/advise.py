"""``advise``: the settings to use, start depth first, what to expect of them, and how sure that is."""

import argparse

from inlaylab.commands import question
from inlaylab.commands.command import Answer, Command
from inlaylab.services.open_log import open_fitted
from inlaylab.wording.commands import advise as words


def _advise(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.advice.start_depth import advise
    from inlaylab.wording.answers.start_depth import answer_lines, why

    shop, fit = open_fitted(arguments.log)
    unit = arguments.unit or shop.habits.unit
    advice = advise(fit, shop, question.ask(arguments, shop))
    text = [*answer_lines(advice, unit), "", *words.settings_table(advice.settings, unit)]
    return Answer(record=advice.to_json() | {"why": why(advice)}, text="\n".join(text))


COMMANDS = (
    Command(
        name="advise",
        help=words.ADVISE,
        add_arguments=question.add_arguments,
        run=_advise,
        details=words.ADVISE_DETAILS,
        examples=(
            "advise shop.inlay --bit sixty --pair walnut-maple --strokes leaf.csv --pocket-depth 4mm "
            "--relief-depth 1.5mm --within 0.1mm --chance 0.9",
            "advise shop.inlay --bit sixty --pair walnut-maple --artwork leaf.svg --pocket-depth 5/32in "
            "--relief-depth 60thou --within 4thou",
        ),
    ),
)
