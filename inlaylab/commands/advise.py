"""``advise``: the start depth to use, with its reason and how sure it is."""

import argparse
from typing import Any

from inlaylab.commands import question
from inlaylab.commands.command import Answer, Command
from inlaylab.services.open_log import open_fitted
from inlaylab.units import format_length


def _advise(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.advice.start_depth import advise

    shop, fit = open_fitted(arguments.log)
    advice = advise(fit, shop, question.ask(arguments, shop))
    return Answer(record=advice.to_json(), text=_told(advice, arguments.unit or shop.habits.unit))


def _told(advice: Any, unit: str) -> str:
    """Tell advice to a person: what to set, why, how sure, and what turning a setting would gain."""
    from inlaylab.wording.advice import answer_lines

    return "\n".join([*answer_lines(advice, unit), "", *_settings(advice.settings, unit)])


def _settings(settings: dict[str, Any], unit: str) -> list[str]:
    """Tell what each way of setting the machine would give, today's first; the worst line is the expected one."""
    names = {
        "now": "as asked",
        "kept": "last floor gap kept",
        "angle": "path angle turned",
        "offset": "outline offset turned",
        "both": "both turned",
    }
    lines = [f"{'settings':<23}{'path angle':>11}{'outline offset':>16}{'start depth':>13}{'worst glue line':>17}"]
    for name, words in names.items():
        if name in settings:
            row = settings[name]
            start = "none" if row.start_depth is None else format_length(row.start_depth, unit)
            offset, worst = format_length(row.outline_offset, unit), format_length(row.worst_glue_line, unit)
            lines.append(f"{words:<23}{f'{row.path_angle_deg:.1f}°':>11}{offset:>16}{start:>13}{worst:>17}")
    return lines


COMMANDS = (
    Command(
        name="advise",
        help="say which start depth to use, why, and how sure that is",
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
