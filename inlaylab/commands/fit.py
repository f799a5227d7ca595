"""``fit`` and ``predict``: what the log teaches, and what cuts that were not made yet will show."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from inlaylab.commands.command import Answer, Command, add_log, add_unit, whole_number
from inlaylab.errors import InputError
from inlaylab.services.open_log import Progress, last_fit, open_fitted, open_shop
from inlaylab.wording.commands import fit as words
from inlaylab.wording.panels.log_and_fit import how_it_was_made

if TYPE_CHECKING:
    from inlaylab.fitting.fit import Fit
    from inlaylab.fitting.model.beliefs import Beliefs

MOST_SEED = 2**31 - 1


def _seed(text: str) -> int:
    return whole_number(text, words.A_SEED, least=0, most=MOST_SEED)


def _add_fit(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    parser.add_argument("--seed", type=_seed, metavar="N", help=words.FIT_OPTIONS["--seed"])
    parser.add_argument("--force", action="store_true", help=words.FIT_OPTIONS["--force"])
    parser.add_argument(
        "--beliefs",
        metavar="FILE",
        help=words.FIT_OPTIONS["--beliefs"],
    )
    add_unit(parser)


def _fit(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting import stored_fit
    from inlaylab.fitting.fit import fit_shop
    from inlaylab.fitting.update import Watch, update

    shop, fingerprint = open_shop(arguments.log)
    if not shop.cuts:
        raise InputError(words.NO_CUTS, where=str(arguments.log), remedy=words.LOG_ONE)
    unit = arguments.unit or shop.habits.unit
    last = last_fit(arguments.log)
    beliefs = _beliefs(arguments.beliefs, last)
    good = _still_good(last, fingerprint, arguments.seed) and last is not None and last.beliefs == beliefs
    if good and last is not None and not arguments.force:
        return Answer(record=last.summary(), text=_told(last, unit, words.STILL_GOOD))
    anew = arguments.force or arguments.seed is not None
    with Progress() as progress:
        if last is None or anew or last.beliefs != beliefs:
            seed = 1 if arguments.seed is None else arguments.seed
            fit = fit_shop(shop, seed=seed, progress=progress, beliefs=beliefs, fingerprint=fingerprint)
        else:
            fit = update(last, shop, fingerprint=fingerprint, watch=Watch(progress=progress))
    stored_fit.save(fit, arguments.log)
    opening = f"{how_it_was_made(fit)} {words.STORED}"
    if not fit.converged:
        opening = words.NOT_SETTLED
        print(f"inlaylab fit: {fit.diagnostics.in_words()}", file=sys.stderr)
    return Answer(record=fit.summary(), text=_told(fit, unit, opening))


def _beliefs(given: str | None, last: Fit | None) -> Beliefs:
    """Give the starting beliefs that were asked for: a file's, the kit's, or those of the last fit."""
    from inlaylab.fitting.model.beliefs import KIT, Beliefs

    if given is None:
        return KIT if last is None else last.beliefs
    return KIT if given == "kit" else Beliefs.read(given)


def _still_good(fit: Fit | None, fingerprint: str, seed: int | None) -> bool:
    if fit is None or not fit.converged or fit.fingerprint != fingerprint:
        return False
    return seed is None or (seed == fit.seed and not fit.updates)


def _told(fit: Fit, unit: str, opening: str) -> str:
    return "\n".join(words.fit_lines(fit, unit, opening=opening))


def _add_predict(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    parser.add_argument(
        "--cuts",
        required=True,
        type=Path,
        metavar="FOLDER",
        help=words.PREDICT_OPTIONS["--cuts"],
    )
    add_unit(parser)


def _predict(arguments: argparse.Namespace) -> Answer:
    from inlaylab.fitting.predict.cuts import predict
    from inlaylab.log.tables.import_export import read_folder

    shop, fit = open_fitted(arguments.log)
    cuts = read_folder(arguments.cuts, known=shop)
    record = predict(fit, shop, cuts).to_json()
    return Answer(record=record, text="\n".join(words.prediction_lines(record, arguments.unit or shop.habits.unit)))


COMMANDS = (
    Command(
        name="fit",
        help=words.FIT,
        add_arguments=_add_fit,
        run=_fit,
        details=words.FIT_DETAILS,
        examples=("fit shop.inlay", "fit shop.inlay --seed 2 --force", "fit shop.inlay --beliefs beliefs.json"),
    ),
    Command(
        name="predict",
        help=words.PREDICT,
        add_arguments=_add_predict,
        run=_predict,
        examples=("predict shop.inlay --cuts planned",),
    ),
)
