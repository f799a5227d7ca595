"""``advise``: the settings to use, start depth first, what to expect of them, and how sure that is."""

import argparse
from typing import TYPE_CHECKING

from inlaylab.commands import question
from inlaylab.commands.command import Answer, Command
from inlaylab.services.open_log import open_fitted
from inlaylab.units import format_length

if TYPE_CHECKING:
    from inlaylab.fitting.advice.settings import Settings


def _advise(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.advice.start_depth import advise
    from inlaylab.wording.answers.start_depth import answer_lines, why

    shop, fit = open_fitted(arguments.log)
    unit = arguments.unit or shop.habits.unit
    advice = advise(fit, shop, question.ask(arguments, shop))
    text = [*answer_lines(advice, unit), "", *_settings(advice.settings, unit)]
    return Answer(record=advice.to_json() | {"why": why(advice, unit)}, text="\n".join(text))


def _settings(settings: "Settings", unit: str) -> list[str]:
    """Tell what each way of setting the machine would give; the worst line is the expected one."""
    from inlaylab.wording.chances import percent
    from inlaylab.wording.lengths import fine

    ways = {"last floor gap kept": settings.kept, "start depth alone": settings.now}
    if settings.turned != settings.now:
        ways["tightest"] = settings.turned
    heads = ("path angle", "outline offset", "relief depth", "start depth", "worst line", "good")
    lines = [f"{'settings':<21}" + "".join(f"{head:>15}" for head in heads)]
    for words, row in ways.items():
        if row is not None:
            lengths = (format_length(x, unit) for x in (row.outline_offset, row.relief_depth, row.start_depth))
            cells = (f"{row.path_angle_deg:.1f}°", *lengths, fine(row.worst_glue_line, unit), percent(row.chance))
            lines.append(f"{words:<21}" + "".join(f"{cell:>15}" for cell in cells))
    return lines


COMMANDS = (
    Command(
        name="advise",
        help="say which settings give the tightest glue lines, start depth first, and how sure that is",
        add_arguments=question.add_arguments,
        run=_advise,
        details="Fit the log first. The strokes of the artwork come from a table or from the drawing itself.",
        examples=(
            "advise shop.inlay --bit sixty --pair walnut-maple --strokes leaf.csv --pocket-depth 4mm "
            "--relief-depth 1.5mm --within 0.1mm --chance 0.9",
            "advise shop.inlay --bit sixty --pair walnut-maple --artwork leaf.svg --pocket-depth 5/32in "
            "--relief-depth 60thou --within 4thou",
        ),
    ),
)
