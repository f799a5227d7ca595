"""``fit`` and ``predict``: what the log teaches, and what cuts that were not made yet will show."""

import argparse
import sys
from pathlib import Path
from typing import Any

from inlaylab.commands.command import Answer, Command, add_log, add_unit
from inlaylab.errors import InputError
from inlaylab.services.open_log import Progress, last_fit, open_fitted, open_shop
from inlaylab.units import format_length
from inlaylab.wording.lengths import fine
from inlaylab.wording.panels.log_and_fit import how_it_was_made

MOST_SEED = 2**31 - 1


def _seed(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) > MOST_SEED:
        raise argparse.ArgumentTypeError(f"{text} is not a seed; write a whole number from 0 to {MOST_SEED}")
    return int(text)


def _add_fit(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    parser.add_argument(
        "--seed", type=_seed, metavar="N", help="fit from nothing with this seed of the random numbers, 1 if left out"
    )
    parser.add_argument("--force", action="store_true", help="fit from nothing, whatever is stored beside the log")
    parser.add_argument(
        "--beliefs",
        metavar="FILE",
        help="starting beliefs that `pool` wrote, or `kit` for the kit's own; those of the last fit if left out",
    )
    add_unit(parser)


def _fit(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting import stored_fit
    from inlaylab.fitting.fit import fit_shop
    from inlaylab.fitting.update import Watch, update

    shop, fingerprint = open_shop(arguments.log)
    if not shop.cuts:
        raise InputError("the log has no cuts yet", where=str(arguments.log), allowed="log a test cut, then fit")
    unit = arguments.unit or shop.habits.unit
    last = last_fit(arguments.log)
    beliefs = _beliefs(arguments.beliefs, last)
    good = _still_good(last, fingerprint, arguments.seed) and last is not None and last.beliefs == beliefs
    if good and last is not None and not arguments.force:
        return Answer(record=last.summary(), text=_told(last, unit, "The stored fit is still good."))
    anew = arguments.force or arguments.seed is not None
    with Progress() as progress:
        if last is None or anew or last.beliefs != beliefs:
            seed = 1 if arguments.seed is None else arguments.seed
            fit = fit_shop(shop, seed=seed, progress=progress, beliefs=beliefs, fingerprint=fingerprint)
        else:
            fit = update(last, shop, fingerprint=fingerprint, watch=Watch(progress=progress))
    stored_fit.save(fit, arguments.log)
    opening = f"{how_it_was_made(fit)} It is stored beside the log."
    if not fit.converged:
        opening = "The fit did not settle. It is stored beside the log, but nothing is advised from it."
        print(f"inlaylab fit: {fit.diagnostics.in_words()}", file=sys.stderr)
    return Answer(record=fit.summary(), text=_told(fit, unit, opening))


def _beliefs(given: str | None, last: Any | None) -> Any:
    """Give the starting beliefs that were asked for: a file's, the kit's, or those of the last fit."""
    from inlaylab.fitting.model.beliefs import KIT, Beliefs

    if given is None:
        return KIT if last is None else last.beliefs
    return KIT if given == "kit" else Beliefs.read(given)


def _still_good(fit: Any | None, fingerprint: str, seed: int | None) -> bool:
    if fit is None or not fit.converged or fit.fingerprint != fingerprint:
        return False
    return seed is None or (seed == fit.seed and not fit.updates)


def _told(fit: Any, unit: str, opening: str) -> str:
    """Tell a fit to a person: each lasting quantity with the interval that holds it with 90% chance."""
    from inlaylab.wording.answers.pool import began_with

    record = fit.summary()
    lines = [
        f"{opening} {record['cuts']} cuts, {record['readings']} readings, seed {record['seed']}; "
        f"the fit took {record['seconds']:.0f} s.",
        began_with(fit.beliefs),
        fit.diagnostics.in_words(),
        "",
        "Middle value, and the interval that holds it with 90% chance:",
    ]
    for family in ("bits", "pairs", "species"):
        for name, spreads in record.get(family, {}).items():
            told = (f"{_plain(key)} {_spread(value, _unit_of(key), unit)}" for key, value in spreads.items())
            lines.append(f"  {family.removesuffix('s') if family != 'species' else family} {name}: {', '.join(told)}")
    lines.append("  shop:")
    for name, value in record["shop"].items():
        prior = fit.beliefs.priors.get(name)
        meaning, own = (prior.meaning, prior.unit) if prior else (_plain(name), "mm")
        lines.append(f"    {meaning}: {_spread(value, own, unit)}")
    return "\n".join(lines)


def _plain(key: str) -> str:
    return key.removesuffix("_deg").replace("_", " ")


def _unit_of(key: str) -> str:
    return "degrees" if key.endswith("_deg") else "mm"


def _spread(value: dict[str, float], own: str, unit: str) -> str:
    """Write a quantity with its interval: lengths in the maker's unit, chances in per cent."""
    low, middle, high = (value[key] for key in ("q05", "q50", "q95"))
    if own == "degrees":
        return f"{middle:.2f}° ({low:.2f} to {high:.2f})"
    if own == "mm":
        texts = [fine(each, unit) for each in (middle, low, high)]
        return "{} ({} to {})".format(*texts)
    return f"{middle:.3g} ({low:.3g} to {high:.3g})"


def _add_predict(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    parser.add_argument(
        "--cuts",
        required=True,
        type=Path,
        metavar="FOLDER",
        help="folder with cuts.csv, and with bits.csv, pairs.csv, coupons.csv where the log does not have them",
    )
    add_unit(parser)


def _predict(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.predict.cuts import predict
    from inlaylab.log.tables.import_export import read_folder

    shop, fit = open_fitted(arguments.log)
    cuts = read_folder(arguments.cuts, known=shop)
    record = predict(fit, shop, cuts).to_json()
    return Answer(record=record, text=_prediction(record, arguments.unit or shop.habits.unit))


def _prediction(record: dict[str, Any], unit: str) -> str:
    """Tell a prediction to a person, cut by cut."""
    lines = []
    names = dict.fromkeys(row["cut"] for key in ("glue_lines", "fills", "backer_gaps") for row in record[key])
    for name in names:
        lines += [f"cut {name}"]
        for row in record["backer_gaps"]:
            if row["cut"] == name:
                lines.append(f"  backer gap {_between(row, unit)}")
        fills = {row["station"]: row["filled_chance"] for row in record["fills"] if row["cut"] == name}
        lines.append(f"  {'station':<10}{'glue line (90% chance)':<40}{'closed':>8}{'filled':>8}")
        for row in record["glue_lines"]:
            if row["cut"] == name:
                filled = fills.pop(row["station"], None)
                filled_text = "" if filled is None else f"{filled:.0%}"
                lines.append(
                    f"  {row['station']:<10}{_between(row, unit):<40}{row['closed_chance']:>8.0%}{filled_text:>8}"
                )
        lines += [f"  {station:<10}{'':<48}{filled:>8.0%}" for station, filled in fills.items()]
    return "\n".join(lines) if lines else "Nothing to predict: the folder's cuts have no coupon with stations."


def _between(row: dict[str, Any], unit: str) -> str:
    middle, low, high = (format_length(row[key], unit) for key in ("q50", "q05", "q95"))
    return f"{middle} ({low} to {high})"


COMMANDS = (
    Command(
        name="fit",
        help="fit the log and store the fit beside it; later commands reuse it while the log has not changed",
        add_arguments=_add_fit,
        run=_fit,
        details="A stored fit of an earlier state of the log is brought up to date; where that does not do, a full fit "
        "follows. With --seed or --force it is fitted from nothing, and the same log and seed give the same fit. "
        "Ctrl-C stops; nothing is stored then.",
        examples=("fit shop.inlay", "fit shop.inlay --seed 2 --force", "fit shop.inlay --beliefs beliefs.json"),
    ),
    Command(
        name="predict",
        help="say what cuts that are not in the log will show",
        add_arguments=_add_predict,
        run=_predict,
        examples=("predict shop.inlay --cuts planned",),
    ),
)
