"""``import``, ``export`` and ``check``: tables into a log, a log into tables, and whether it is sound."""

import argparse
from pathlib import Path
from typing import Any

from inlaylab.commands.command import Answer, Command, add_log, add_unit
from inlaylab.services.open_log import last_fit
from inlaylab.wording.answers.suspects import suspect_line


def _add_import(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("log", metavar="LOG", type=Path, help="the shop's log; made where there is none")
    parser.add_argument(
        "folder",
        metavar="FOLDER",
        type=Path,
        help="folder of tables (bits.csv, cuts.csv and so on), or a findings page",
    )
    parser.add_argument(
        "--prefix", default="", metavar="WORD", help="put before names of a page that the log has given to other things"
    )
    parser.add_argument("--by", default="import", metavar="NAME", help="who brings them, for the log's history")


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
    parser.add_argument("folder", metavar="FOLDER", type=Path, help="a new or empty folder")


def _export(arguments: argparse.Namespace) -> Answer:
    from inlaylab.log.tables.import_export import export_folder

    said = export_folder(arguments.log, arguments.folder)
    files = sorted(path.name for path in arguments.folder.iterdir())
    return Answer(record={"folder": str(arguments.folder), "files": files, "said": said}, text=said)


def _add_check(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    aside = parser.add_mutually_exclusive_group()
    aside.add_argument("--copy", type=Path, metavar="FILE", help="also put a consistent copy here, even while in use")
    aside.add_argument(
        "--recover", type=Path, metavar="FILE", help="read what a damaged log still holds into a new one"
    )
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
    lines = [f"The file of {path.name} is sound." if healthy else f"The file of {path.name} is damaged."]
    if healthy:
        from inlaylab.log.store import Log

        with Log.open(path) as log:
            shop, note = log.shop(), log.note
        found += problems(shop)
        lines += [note] if note else []
        suspects = _suspects(path, shop)
        record["fitted"], record["suspects"] = suspects is not None, [each.to_json() for each in suspects or ()]
        lines += _told(found, suspects, arguments.unit or shop.habits.unit, path)
    else:
        lines += [f"  {problem.what}" for problem in found]
        lines += [] if arguments.recover else ["Read what it still holds with --recover NEW_FILE; it is not touched."]
    record["problems"] = [{"where": problem.where, "what": problem.what} for problem in found]
    if arguments.copy:
        record["copy"] = str(copy_log(path, arguments.copy))
        lines.append(f"Copied to {record['copy']}.")
    if arguments.recover:
        done = recover_log(path, arguments.recover)
        record["recovered"] = {"log": str(done.target), "kept": done.kept, "missing": list(done.missing)}
        lines.append(
            f"Recovered into {done.target}: " + ", ".join(f"{n} {name}" for name, n in done.kept.items()) + "."
        )
        lines += [f"  missing: {what}" for what in done.missing]
    return Answer(record=record, text="\n".join(lines))


def _suspects(path: Path, shop: Any) -> tuple[Any, ...] | None:
    """Name the readings that the fit believes are mistakes; None where the log as it is now has no settled fit."""
    fit = last_fit(path)
    if fit is None or fit.fingerprint != shop.fingerprint() or not fit.converged:
        return None
    from inlaylab.fitting.review.suspects import suspects

    return suspects(fit, shop)


def _told(found: list[Any], suspects: tuple[Any, ...] | None, unit: str, path: Path) -> list[str]:
    lines = ["Nothing contradicts anything else." if not found else "These contradict something else:"]
    lines += [f"  {problem.where}: {problem.what}" for problem in found]
    if suspects is None:
        return [*lines, f"Suspect readings are named after `inlaylab fit {path}`."]
    lines.append("These are probably mistakes; correct them in notebook 3:" if suspects else "No reading is suspect.")
    lines += [f"  {suspect_line(suspect, unit)}." for suspect in suspects]
    return lines


COMMANDS = (
    Command(
        name="import",
        help="add a folder of tables, or a findings page's, to a log, making it where there is none: all or nothing",
        add_arguments=_add_import,
        run=_import,
        details="What the log holds already is passed over; a row that says something else is refused. "
        "A page's names that the log has given to other things get a prefix; an edited page is refused.",
        examples=("import shop.inlay tables", "import shop.inlay friend.html --prefix friend"),
    ),
    Command(
        name="export",
        help="write a log as a folder of tables; importing them again gives an equal log",
        add_arguments=_add_export,
        run=_export,
        examples=("export shop.inlay tables",),
    ),
    Command(
        name="check",
        help="say whether a log's file is sound, what contradicts what, and which readings look like mistakes",
        add_arguments=_add_check,
        run=_check,
        details="Mistakes are named after `inlaylab fit`; nothing is mended by itself.",
        examples=("check shop.inlay", "check shop.inlay --copy backup.inlay", "check broken.inlay --recover new.inlay"),
    ),
)
