"""``import``, ``export`` and ``check``: tables into a log, a log into tables, and whether it is sound."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inlaylab.commands.command import Answer, Command, add_log, add_unit
from inlaylab.services.open_log import last_fit
from inlaylab.wording.commands import log as words

if TYPE_CHECKING:
    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.review.suspects import Suspect


def _add_import(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("log", metavar="LOG", type=Path, help=words.IMPORT_OPTIONS["log"])
    parser.add_argument(
        "folder",
        metavar="FOLDER",
        type=Path,
        help=words.IMPORT_OPTIONS["folder"],
    )
    parser.add_argument("--prefix", default="", metavar="WORD", help=words.IMPORT_OPTIONS["--prefix"])
    parser.add_argument("--by", default="import", metavar="NAME", help=words.IMPORT_OPTIONS["--by"])


def _import(arguments: argparse.Namespace) -> Answer:
    from inlaylab.log.tables.import_export import import_folder
    from inlaylab.log.tables.page_import import import_page

    if arguments.folder.suffix.lower() in (".html", ".htm") and not arguments.folder.is_dir():
        done = import_page(arguments.log, arguments.folder, by=arguments.by, prefix=arguments.prefix)
    else:
        done = import_folder(arguments.log, arguments.folder, by=arguments.by)
    record = {"log": str(arguments.log), "added": done.added, "already": done.already, "notes": list(done.notes)}
    return Answer(record=record, text=done.words())


def _add_export(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    parser.add_argument("folder", metavar="FOLDER", type=Path, help=words.EXPORT_OPTIONS["folder"])


def _export(arguments: argparse.Namespace) -> Answer:
    from inlaylab.log.tables.import_export import export_folder

    said = export_folder(arguments.log, arguments.folder)
    files = sorted(path.name for path in arguments.folder.iterdir())
    return Answer(record={"folder": str(arguments.folder), "files": files, "said": said}, text=said)


def _add_check(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    aside = parser.add_mutually_exclusive_group()
    aside.add_argument("--copy", type=Path, metavar="FILE", help=words.CHECK_OPTIONS["--copy"])
    aside.add_argument("--recover", type=Path, metavar="FILE", help=words.CHECK_OPTIONS["--recover"])
    add_unit(parser)


def _check(arguments: argparse.Namespace) -> Answer:
    from inlaylab.errors import LogError
    from inlaylab.log.file.rescue import copy_log, recover_log
    from inlaylab.log.health import Problem, check_file, problems

    path = arguments.log
    try:
        found = list(check_file(path))
    except LogError as fault:
        if not arguments.recover:
            raise
        found = [Problem(where=path.name, what=fault.what)]
    healthy = not any(problem.where == path.name for problem in found)
    record: dict[str, Any] = {"healthy": healthy, "problems": found, "suspects": [], "fitted": False}
    lines = [words.sound(path.name, healthy=healthy)]
    if healthy:
        from inlaylab.log.store import Log

        with Log.open(path) as log:
            shop, note = log.shop(), log.note
        found += problems(shop, unit=arguments.unit)
        lines += [note] if note else []
        suspects = _suspects(path, shop)
        record["fitted"], record["suspects"] = suspects is not None, [each.to_json() for each in suspects or ()]
        lines += words.check_lines(found, suspects, arguments.unit or shop.habits.unit, path=path)
    else:
        lines += [f"  {problem.what}" for problem in found]
        lines += [] if arguments.recover else [words.HOW_TO_RECOVER]
    record["problems"] = [{"where": problem.where, "what": problem.what} for problem in found]
    if arguments.copy:
        record["copy"] = str(copy_log(path, arguments.copy))
        lines.append(words.copied(record["copy"]))
    if arguments.recover:
        done = recover_log(path, arguments.recover)
        record["recovered"] = {"log": str(done.target), "kept": done.kept, "missing": list(done.missing)}
        lines += words.recovered_lines(done.target, done.kept, done.missing)
    return Answer(record=record, text="\n".join(lines))


def _suspects(path: Path, shop: Shop) -> tuple[Suspect, ...] | None:
    """Name the readings that the fit believes are mistakes; None where the log as it is now has no settled fit."""
    fit = last_fit(path)
    if fit is None or fit.fingerprint != shop.fingerprint() or not fit.converged:
        return None
    from inlaylab.fitting.review.suspects import suspects

    return suspects(fit, shop)


COMMANDS = (
    Command(
        name="import",
        help=words.IMPORT,
        add_arguments=_add_import,
        run=_import,
        details=words.IMPORT_DETAILS,
        examples=("import shop.inlay tables", "import shop.inlay friend.html --prefix friend"),
    ),
    Command(
        name="export",
        help=words.EXPORT,
        add_arguments=_add_export,
        run=_export,
        examples=("export shop.inlay tables",),
    ),
    Command(
        name="check",
        help=words.CHECK,
        add_arguments=_add_check,
        run=_check,
        details=words.CHECK_DETAILS,
        examples=("check shop.inlay", "check shop.inlay --copy backup.inlay", "check broken.inlay --recover new.inlay"),
    ),
)
