"""``forecasts``: what was expected of each cut before it was read, against what was read."""

import argparse
from pathlib import Path

from inlaylab.commands.command import Answer, Command, add_log, add_unit
from inlaylab.services.open_log import Progress, open_shop


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    parser.add_argument("--replay", action="store_true", help="forecast every cut anew from the cuts before it")
    parser.add_argument("--last", type=_count, metavar="N", help="only the last N cuts that were read")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="seed of the fits of a replay (1 if left out)")
    parser.add_argument("--figure", type=Path, metavar="FILE.png", help="also draw it")
    add_unit(parser)


def _count(text: str) -> int:
    if not text.isdecimal() or int(text) == 0:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of cuts")
    return int(text)


def _forecasts(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.review.forecast_score import score
    from inlaylab.services.forecasts import kept_score, replayed_score
    from inlaylab.wording.forecasts import cut_line, forecast_lines

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
        lines.append(f"Work them out afterwards with `inlaylab forecasts {arguments.log} --replay`.")
    if arguments.figure:
        from inlaylab.figures.forecasts import forecasts

        arguments.figure.write_bytes(forecasts(found, unit=unit).png())
        lines.append(f"Drawn to {arguments.figure}.")
    return Answer(record=found.to_json(), text="\n".join([*lines, *(cut_line(cut, unit) for cut in found.cuts)]))


COMMANDS = (
    Command(
        name="forecasts",
        help="say what was forecast of each cut before it was read, against what was read",
        add_arguments=_add_arguments,
        run=_forecasts,
        details="Forecasts are kept as cuts are saved, from the fit that was there then. --replay needs none: it fits "
        "the log as it was after each cut and forecasts the next one; Ctrl-C stops it.",
        examples=("forecasts shop.inlay", "forecasts shop.inlay --replay --last 10"),
    ),
)
