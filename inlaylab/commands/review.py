"""
Looking back: ``taught``, ``drift``, ``beliefs`` and ``forecasts``.

What the cuts taught, how bits wear, who speaks (the log or the kit), and how often the kit was right.
"""

import argparse
from pathlib import Path

from inlaylab.commands import question
from inlaylab.commands.command import Answer, Command, add_log, add_unit, size
from inlaylab.errors import InputError, shown
from inlaylab.services.open_log import Progress, open_fitted, open_shop
from inlaylab.wording.commands import review as words


def _taught(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.review.influence import taught

    shop, fit = open_fitted(arguments.log)
    with Progress() as progress:
        found = taught(fit, shop, question.ask(arguments, shop), progress=progress)
    unit = arguments.unit or shop.habits.unit
    return Answer(record=found.to_json(), text="\n".join(words.taught_lines(found, unit)))


def _add_drift(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    question.add_question(parser, needed=False)
    parser.add_argument("--start-depth", type=size, metavar="L", help=words.DRIFT_OPTIONS["--start-depth"])
    add_unit(parser)


def _drift(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.review.tune_again import retune
    from inlaylab.fitting.review.wear import drift
    from inlaylab.wording.answers.tune_again import tune_again

    shop, fit = open_fitted(arguments.log)
    asked = question.asked(arguments, shop)
    if asked is None and arguments.start_depth is not None:
        raise InputError(words.NO_QUESTION, allowed=words.WHOLE_QUESTION)
    found, unit = drift(fit, shop), arguments.unit or shop.habits.unit
    lines = words.drift_lines(found, unit)
    record = found.to_json()
    if asked is not None:
        due = retune(fit, shop, asked, start_depth=arguments.start_depth)
        record["retune"] = due.to_json()
        lines.append(tune_again(due, chance=asked.chance, unit=unit))
    return Answer(record=record, text="\n".join(lines))


def _add_beliefs(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    add_unit(parser)


def _beliefs(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.review.beliefs import beliefs

    shop, fit = open_fitted(arguments.log)
    found, unit = beliefs(fit), arguments.unit or shop.habits.unit

    return Answer(record=found.to_json(), text="\n".join(words.belief_lines(found, unit)))


def _add_forecasts(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    parser.add_argument("--replay", action="store_true", help=words.FORECASTS_OPTIONS["--replay"])
    parser.add_argument("--last", type=_count, metavar="N", help=words.FORECASTS_OPTIONS["--last"])
    parser.add_argument("--seed", type=int, default=1, metavar="N", help=words.FORECASTS_OPTIONS["--seed"])
    parser.add_argument("--figure", type=Path, metavar="FILE.png", help=words.FORECASTS_OPTIONS["--figure"])
    add_unit(parser)


def _count(text: str) -> int:
    if not text.isdecimal() or int(text) == 0:
        raise argparse.ArgumentTypeError(words.not_a_count(shown(text)))
    return int(text)


def _forecasts(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.review.forecast_score import score
    from inlaylab.services.forecasts import kept_score, replayed_score
    from inlaylab.wording.answers.forecasts import cut_line, forecast_lines

    shop, _ = open_shop(arguments.log)
    if arguments.replay:
        with Progress() as progress:
            found = replayed_score(shop, seed=arguments.seed, progress=progress)
        if arguments.last:
            found = score(shop, [cut.forecast for cut in found.cuts], replayed=True, last=arguments.last)
    else:
        found = kept_score(shop, last=arguments.last)
    unit = arguments.unit or shop.habits.unit
    lines = forecast_lines(found, unit)
    if not found.cuts and len(shop.cuts) > 1:
        lines.append(words.how_to_replay(arguments.log))
    if arguments.figure:
        from inlaylab.figures.forecasts import forecasts

        arguments.figure.write_bytes(forecasts(found, unit=unit).png())
        lines.append(words.drawn(arguments.figure))
    return Answer(record=found.to_json(), text="\n".join([*lines, *(cut_line(cut, unit) for cut in found.cuts)]))


COMMANDS = (
    Command(
        name="taught",
        help=words.TAUGHT,
        add_arguments=question.add_arguments,
        run=_taught,
        details=words.TAUGHT_DETAILS,
        examples=(
            "taught shop.inlay --bit sixty --pair walnut-maple --strokes leaf.csv --pocket-depth 4mm "
            "--relief-depth 1.5mm --within 0.1mm",
        ),
    ),
    Command(
        name="drift",
        help=words.DRIFT,
        add_arguments=_add_drift,
        run=_drift,
        details=words.DRIFT_DETAILS,
        examples=(
            "drift shop.inlay",
            "drift shop.inlay --bit sixty --pair walnut-maple --strokes leaf.csv --pocket-depth 4mm "
            "--relief-depth 1.5mm --within 0.1mm --start-depth 3.7mm",
        ),
    ),
    Command(
        name="beliefs",
        help=words.BELIEFS,
        add_arguments=_add_beliefs,
        run=_beliefs,
        details=words.BELIEFS_DETAILS,
        examples=("beliefs shop.inlay",),
    ),
    Command(
        name="forecasts",
        help=words.FORECASTS,
        add_arguments=_add_forecasts,
        run=_forecasts,
        details=words.FORECASTS_DETAILS,
        examples=("forecasts shop.inlay", "forecasts shop.inlay --replay --last 10"),
    ),
)
