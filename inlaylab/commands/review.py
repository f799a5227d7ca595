"""
Looking back: ``taught``, ``drift``, ``beliefs`` and ``forecasts``.

What the cuts taught, how bits wear, who speaks (the log or the kit), and how often the kit was right.
"""

import argparse
from pathlib import Path

from inlaylab.commands import question
from inlaylab.commands.command import Answer, Command, add_log, add_unit, size
from inlaylab.errors import InputError
from inlaylab.services.open_log import Progress, open_fitted, open_shop
from inlaylab.units import format_length
from inlaylab.wording.lengths import fine


def _taught(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.review.influence import taught

    shop, fit = open_fitted(arguments.log)
    with Progress() as progress:
        found = taught(fit, shop, question.ask(arguments, shop), progress=progress)
    unit = arguments.unit or shop.habits.unit
    lines = [
        f"Start depth with all cuts: {format_length(found.advised, unit)}. The cuts that moved it most first:",
        f"{'cut':<14}{'advice without it':>18}{'moved by':>12}{'leverage':>10}{'held up by':>12}{'residuals':>11}  "
        "worst reading",
    ]
    for cut in found.by_weight:
        fits = "" if cut.residual is None else f"{cut.residual:.1f}"
        unsure = "" if cut.trusted else " (unsure)"
        lines.append(
            f"{cut.cut[:13]:<14}{format_length(cut.advised_without, unit):>18}{format_length(cut.moved, unit):>12}"
            f"{cut.leverage:>10.0%}{cut.held_up_by:>12}{fits:>11}  {cut.worst_reading}{unsure}"
        )
    lines.append("Residuals near 1 are as they should be; well above, a reading of that cut does not fit.")
    return Answer(record=found.to_json(), text="\n".join(lines))


def _add_drift(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    question.add_question(parser, needed=False)
    parser.add_argument("--start-depth", type=size, metavar="L", help="as set today; the advice if left out")
    add_unit(parser)


def _drift(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.review.tune_again import retune
    from inlaylab.fitting.review.wear import drift
    from inlaylab.wording.answers.tune_again import tune_again

    shop, fit = open_fitted(arguments.log)
    asked = question.asked(arguments, shop)
    if asked is None and arguments.start_depth is not None:
        raise InputError("--start-depth without a question", allowed="--bit, --pair, --strokes or --artwork, --within")
    found, unit = drift(fit, shop), arguments.unit or shop.habits.unit
    who = "mostly the log" if found.log_speaks else "mostly the starting belief"
    low, middle, high = (1000 * found.wear[key] for key in ("q05", "q50", "q95"))
    lines = [f"Flat gained for each cut's worth of path: {middle:.1f} µm ({low:.1f} to {high:.1f} µm); {who}."]
    for bit in found.bits:
        cuts = "1 cut" if bit.cuts == 1 else f"{bit.cuts} cuts"
        new, now = (fine(flat["q50"], unit) for flat in (bit.flat_new, bit.flat_now))
        lines.append(
            f"  bit {bit.bit}: {cuts}; tip flat {new} when new, {now} now; angle {bit.angle['q50']:.1f}° "
            f"({bit.angle['q05']:.1f} to {bit.angle['q95']:.1f}). {bit.words}"
        )
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

    def told(spread: dict[str, float], own: str) -> str:
        if own == "mm":
            return " to ".join(fine(spread[key], unit) for key in ("q05", "q95"))
        return f"{spread['q05']:.3g} to {spread['q95']:.3g}{'°' if own == 'degrees' else ''}"

    lines = ["90% range before the log, and with it:"]
    for row in found.rows:
        lines.append(f"  {row.meaning}: {told(row.prior, row.unit)}; {told(row.posterior, row.unit)} ({row.words})")
    return Answer(record=found.to_json(), text="\n".join(lines))


def _add_forecasts(parser: argparse.ArgumentParser) -> None:
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
        lines.append(f"Work them out afterwards with `inlaylab forecasts {arguments.log} --replay`.")
    if arguments.figure:
        from inlaylab.figures.forecasts import forecasts

        arguments.figure.write_bytes(forecasts(found, unit=unit).png())
        lines.append(f"Drawn to {arguments.figure}.")
    return Answer(record=found.to_json(), text="\n".join([*lines, *(cut_line(cut, unit) for cut in found.cuts)]))


COMMANDS = (
    Command(
        name="taught",
        help="say what each past cut taught: how it moved the advice, what held its plug up, how well it fits",
        add_arguments=question.add_arguments,
        run=_taught,
        details="Fit the log first. The options are those of advise. Leverage is the share of what is known that "
        "hangs on that one cut.",
        examples=(
            "taught shop.inlay --bit sixty --pair walnut-maple --strokes leaf.csv --pocket-depth 4mm "
            "--relief-depth 1.5mm --within 0.1mm",
        ),
    ),
    Command(
        name="drift",
        help="say how the bits wear, what the evidence is, and with a question when to tune again",
        add_arguments=_add_drift,
        run=_drift,
        details="Fit the log first. Log path lengths to be told in metres, too.",
        examples=(
            "drift shop.inlay",
            "drift shop.inlay --bit sixty --pair walnut-maple --strokes leaf.csv --pocket-depth 4mm "
            "--relief-depth 1.5mm --within 0.1mm --start-depth 3.7mm",
        ),
    ),
    Command(
        name="beliefs",
        help="put the kit's starting beliefs beside what the log made of them",
        add_arguments=_add_beliefs,
        run=_beliefs,
        details="Fit the log first.",
        examples=("beliefs shop.inlay",),
    ),
    Command(
        name="forecasts",
        help="say what was forecast of each cut before it was read, against what was read",
        add_arguments=_add_forecasts,
        run=_forecasts,
        details="Forecasts are kept as cuts are saved, from the fit that was there then. --replay needs none: it fits "
        "the log as it was after each cut and forecasts the next one; Ctrl-C stops it.",
        examples=("forecasts shop.inlay", "forecasts shop.inlay --replay --last 10"),
    ),
)
