"""``advise``: the start depth to use, with its reason and how sure it is."""

import argparse
from typing import Any

from inlaylab.commands import question
from inlaylab.commands.command import Answer, Command
from inlaylab.commands.stored import open_fitted
from inlaylab.units import format_length


def _advise(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.advice import advise

    shop, fit = open_fitted(arguments.log)
    asked = question.ask(arguments, shop)
    advice = advise(fit, shop, asked)
    return Answer(record=advice.to_json(), text=_told(advice, asked, arguments.unit or shop.habits.unit))


def _told(advice: Any, asked: Any, unit: str) -> str:
    """Tell advice to a person: what to set, why, how sure, and what turning a setting would gain."""

    def text(value: float | None) -> str:
        return "-" if value is None else format_length(value, unit)

    if advice.start_depth is None:
        lines = [f"No start depth serves for bit {asked.bit} and pair {asked.pair}.", f"Why: {advice.why}"]
    else:
        lines = [
            f"Start depth {text(advice.start_depth)} for bit {asked.bit}, pair {asked.pair}, "
            f"pocket {text(asked.pocket_depth)}, relief {text(asked.relief_depth)}.",
            f"How sure: {advice.chance:.0%} that every glue line is within {text(asked.within)}; the deepest depth "
            f"that serves lies between {text(advice.low)} and {text(advice.high)} (90 % chance).",
            f"Why: {advice.why}",
            f"What would hold the plug up: {advice.held_up_by}.",
            f"Floor gap needed: {text(advice.floor_gap_needed)}, at any pocket depth.",
        ]
    lines += [f"Note: {warning}" for warning in advice.warnings]
    return "\n".join([*lines, "", *_settings(advice.settings, text)])


def _settings(settings: dict[str, Any], text: Any) -> list[str]:
    """Tell what each way of setting the machine would give, today's first, and which one is worth it."""
    names = {"now": "as asked", "angle": "path angle turned", "offset": "outline offset turned", "both": "both turned"}
    lines = [f"{'settings':<23}{'path angle':>11}{'outline offset':>16}{'start depth':>13}{'worst glue line':>17}"]
    for name, words in names.items():
        if name in settings:
            row = settings[name]
            lines.append(
                f"{words:<23}{f'{row.path_angle_deg:.1f}°':>11}{text(row.outline_offset):>16}"
                f"{text(row.start_depth):>13}{text(row.worst_glue_line):>17}"
            )
    now, turned = settings["now"], settings["turned"]
    same = (now.path_angle_deg, now.outline_offset) == (turned.path_angle_deg, turned.outline_offset)
    verdict = (
        "Turning them would gain less than the eye can see."
        if same
        else f"Worth turning: path angle {turned.path_angle_deg:.1f}°, outline offset {text(turned.outline_offset)}; "
        f"that takes {text(turned.gain_low)} to {text(turned.gain_high)} off the worst glue line."
    )
    return [*lines, f"The worst glue line is the expected one over the artwork. {verdict}"]


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
