"""``fit`` and ``predict``: what the log teaches, and what cuts that were not made yet will show."""

import argparse
from pathlib import Path
from typing import Any

from inlaylab.commands.command import Answer, Command, add_log, add_unit
from inlaylab.commands.stored import Progress, open_fitted, open_shop, stored_fit
from inlaylab.errors import InputError
from inlaylab.units import format_length

MOST_SEED = 2**31 - 1


def _seed(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) > MOST_SEED:
        raise argparse.ArgumentTypeError(f"{text} is not a seed; write a whole number from 0 to {MOST_SEED}")
    return int(text)


def _add_fit(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    parser.add_argument("--seed", type=_seed, metavar="N", help="seed of the random numbers, 1 if left out")
    parser.add_argument("--force", action="store_true", help="fit again even where the stored fit is still good")
    add_unit(parser)


def _fit(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting import stored_fit as store

    shop, fingerprint = open_shop(arguments.log)
    if not shop.cuts:
        raise InputError("the log has no cuts", where=str(arguments.log), allowed="log at least one test cut first")
    unit = arguments.unit or shop.habits.unit
    kept = None if arguments.force else stored_fit(arguments.log, fingerprint)
    if kept is not None and kept.converged and arguments.seed in (None, kept.seed):
        return Answer(record=kept.summary(), text=_summary(kept.summary(), unit, "The stored fit is still good."))
    progress = Progress()
    try:
        fit = store.fit_shop(shop, seed=arguments.seed or 1, progress=progress)
    finally:
        progress.close()
    store.save(fit, arguments.log)
    opening = (
        "Fitted and stored beside the log." if fit.converged else "NOT SETTLED: no advice will be given from this."
    )
    return Answer(record=fit.summary(), text=_summary(fit.summary(), unit, opening))


def _summary(record: dict[str, Any], unit: str, opening: str) -> str:
    """Tell a fit to a person: each lasting quantity with the interval that holds it with 90 % chance."""
    lines = [
        f"{opening} {record['cuts']} cuts, {record['readings']} readings, {record['seconds']:.0f} s, "
        f"seed {record['seed']}.",
        f"Chains agree to R-hat {record['worst_r_hat']:.3f}; at least {record['smallest_ess']:.0f} independent draws; "
        f"{record['divergences']} divergences.",
        "",
        "Middle value, and the interval that holds it with 90 % chance:",
    ]
    for title, quantities in (
        *((f"bit {name}", values) for name, values in record["bits"].items()),
        *((f"pair {name}", values) for name, values in record["pairs"].items()),
        ("shop", record["shop"]),
    ):
        lines.append(f"  {title}")
        for name, spread in quantities.items():
            if isinstance(spread, dict) and "q50" in spread:
                lines.append(f"    {name.removesuffix('_deg').replace('_', ' '):<24}{_spread(name, spread, unit)}")
    return "\n".join(lines)


def _spread(name: str, spread: dict[str, float], unit: str) -> str:
    """Write a quantity with its interval in the unit that its name asks for."""
    low, middle, high = (spread[key] for key in ("q05", "q50", "q95"))
    if name.endswith("_deg"):
        return f"{middle:.2f}° ({low:.2f} to {high:.2f})"
    if name.endswith(("_chance", "_rate", "_share")):
        return f"{middle:.1%} ({low:.1%} to {high:.1%})"
    middle_text, low_text, high_text = (format_length(value, unit) for value in (middle, low, high))
    return f"{middle_text} ({low_text} to {high_text})"


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
    from inlaylab.fitting.prediction import predict
    from inlaylab.log.tables import read_folder

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
        lines.append(f"  {'station':<10}{'glue line (90 % chance)':<40}{'closed':>8}{'filled':>8}")
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
        details="The same log and seed give the same fit. Ctrl-C stops; nothing is stored then.",
        examples=("fit shop.inlay", "fit shop.inlay --seed 2 --force"),
    ),
    Command(
        name="predict",
        help="say what cuts that are not in the log will show",
        add_arguments=_add_predict,
        run=_predict,
        examples=("predict shop.inlay --cuts planned",),
    ),
)
