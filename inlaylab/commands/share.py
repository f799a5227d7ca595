"""``findings`` and ``merge``: what is handed to another maker, and what another maker's log brings."""

from __future__ import annotations

import argparse
import dataclasses
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inlaylab.commands import question
from inlaylab.commands.command import Answer, Command, add_log, add_unit
from inlaylab.errors import InputError
from inlaylab.services.open_log import Progress, open_fitted
from inlaylab.wording.commands import share as words

if TYPE_CHECKING:
    from inlaylab.log.merging.join import Conflict, Joined
    from inlaylab.log.records import Record

WIDEST = 40
"""Characters of a cell that are shown."""


def _add_findings(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    parser.add_argument("--out", required=True, type=Path, metavar="FILE.html", help=words.FINDINGS_OPTIONS["--out"])
    parser.add_argument("--pdf", type=Path, metavar="FILE.pdf", help=words.FINDINGS_OPTIONS["--pdf"])
    parser.add_argument("--notebook", type=Path, metavar="FILE.ipynb", help=words.FINDINGS_OPTIONS["--notebook"])
    parser.add_argument(
        "--leave-out",
        nargs="+",
        default=(),
        choices=("names", "notes", "photos", "days"),
        help=words.FINDINGS_OPTIONS["--leave-out"],
    )
    question.add_question(parser, needed=False)
    add_unit(parser)


def _findings(arguments: argparse.Namespace) -> Answer:
    from inlaylab.findings import write

    shop, _ = open_fitted(arguments.log)
    with Progress() as progress:
        page = write(
            arguments.log,
            arguments.out,
            question=question.asked(arguments, shop),
            leave_out=arguments.leave_out,
            unit=arguments.unit,
            size=question.artwork_size(arguments),
            pdf=arguments.pdf,
            notebook=arguments.notebook,
            progress=progress,
        )
    made = [str(path) for path in (page, arguments.pdf, arguments.notebook) if path]
    size = page.stat().st_size
    return Answer(record={"page": str(page), "bytes": size, "files": made}, text=words.wrote(made, size / 1000))


def _add_merge(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    parser.add_argument("other", metavar="OTHER", type=Path, help=words.MERGE_OPTIONS["other"])
    parser.add_argument("--out", type=Path, metavar="NEW", help=words.MERGE_OPTIONS["--out"])
    parser.add_argument("--prefix", default="", metavar="WORD", help=words.MERGE_OPTIONS["--prefix"])
    parser.add_argument("--mine", nargs="+", default=[], metavar="RECORD", help=words.MERGE_OPTIONS["--mine"])
    parser.add_argument("--theirs", nargs="+", default=[], metavar="RECORD", help=words.MERGE_OPTIONS["--theirs"])
    parser.add_argument("--rest", choices=("mine", "theirs"), help=words.MERGE_OPTIONS["--rest"])
    parser.add_argument("--look", action="store_true", help=words.MERGE_OPTIONS["--look"])
    parser.add_argument("--by", default="merge", metavar="NAME", help=words.MERGE_OPTIONS["--by"])
    add_unit(parser)


def _merge(arguments: argparse.Namespace) -> Answer:
    from inlaylab.log.merging.join import join, look
    from inlaylab.wording.panels.merging import merge_lines

    seen = look(arguments.log, arguments.other)
    if seen is None:
        return _by_names(arguments)
    unit = arguments.unit or _unit(arguments.log)
    shown = [line for conflict in seen.conflicts for line in _side_by_side(conflict, unit)]
    if arguments.look:
        lines = merge_lines(seen, other=arguments.other.name, done=False)
        return Answer(record={"log": None, "one_log_until": seen.at, **_record(seen)}, text="\n".join([*lines, *shown]))
    choices = {name: "mine" for name in arguments.mine} | {name: "theirs" for name in arguments.theirs}
    twice = next((name for name in arguments.mine if name in arguments.theirs), None)
    if twice is not None:
        raise InputError(words.NAMED_TWICE, value=twice, allowed=words.ONE_OF_THEM)
    if arguments.rest:
        choices = {conflict.name: arguments.rest for conflict in seen.conflicts} | choices
    if any(conflict.name not in choices for conflict in seen.conflicts):
        print("\n".join(shown), file=sys.stderr)
    how: dict[str, Any] = {"choices": choices, "prefix": arguments.prefix, "by": arguments.by}
    if arguments.out is None:
        done = join(arguments.log, arguments.other, **how, seen=seen.seen)
    else:
        done = _into_new(arguments, how)
    if done is None:
        return _by_names(arguments)
    lines = merge_lines(done, other=arguments.other.name, done=True)
    log = arguments.out or arguments.log
    text = [*lines, words.holds_both(log) if arguments.out is None else words.made(log)]
    return Answer(record={"log": str(log), "one_log_until": done.at, **_record(done)}, text="\n".join(text))


def _side_by_side(conflict: Conflict, unit: str) -> list[str]:
    """Lay the two versions of a record out in columns."""
    from inlaylab.wording.panels.merging import conflict_rows

    rows = conflict_rows(conflict, unit)
    table = [["", *list(rows[0])[1:]], *([*row.values()] for row in rows)]
    table = [[cell if len(cell) <= WIDEST else f"{cell[: WIDEST - 1]}…" for cell in line] for line in table]
    widths = [max(len(line[i]) for line in table) for i in range(4)]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)) for line in table]
    return [f"{conflict.name}:", *(f"  {line.rstrip()}" for line in lines)]


def _into_new(arguments: argparse.Namespace, how: dict[str, Any]) -> Joined | None:
    from inlaylab.log.merging.join import join
    from inlaylab.log.merging.new_log import new_log

    with new_log(arguments.log, arguments.out, other_path=arguments.other) as copy:
        return join(copy, arguments.other, **how)


def _by_names(arguments: argparse.Namespace) -> Answer:
    """Merge logs that never were one: nobody can tell which rows are the same, so the other log's get new names."""
    from inlaylab.log.merging.by_names import merge

    if arguments.out is None or arguments.mine or arguments.theirs or arguments.rest or arguments.look:
        raise InputError(words.NEVER_ONE, value=arguments.other.name, allowed=words.OUT_AND_PREFIX)
    done = merge(arguments.log, arguments.other, arguments.out, prefix=arguments.prefix, by=arguments.by)
    added = {"bits": done.bits, "pairs": done.pairs, "cuts": done.cuts}
    said = words.made_of_both(done.path, arguments.other.name, cuts=done.cuts, bits=done.bits)
    record = {"log": str(done.path), "one_log_until": None, "added": added, "notes": list(done.notes), "conflicts": []}
    return Answer(record=record, text="\n".join([said, *done.notes]))


def _unit(path: Path) -> str:
    from inlaylab.log.store import Log

    with Log.open(path) as log:
        return log.shop().habits.unit


def _record(joined: Joined) -> dict[str, object]:
    return {
        "added": dict(joined.added),
        "corrected": dict(joined.corrected),
        "deleted": dict(joined.deleted),
        "notes": list(joined.notes),
        "conflicts": [
            {"record": each.name, **{side: _plain(getattr(each, side)) for side in ("before", "mine", "theirs")}}
            for each in joined.conflicts
        ],
    }


def _plain(record: Record | None) -> dict[str, object] | None:
    return None if record is None else dataclasses.asdict(record)


COMMANDS = (
    Command(
        name="findings",
        help=words.FINDINGS,
        add_arguments=_add_findings,
        run=_findings,
        details=words.FINDINGS_DETAILS,
        examples=(
            "findings shop.inlay --out findings.html",
            "findings shop.inlay --out findings.html --leave-out names notes --pdf findings.pdf",
        ),
    ),
    Command(
        name="merge",
        help=words.MERGE,
        add_arguments=_add_merge,
        run=_merge,
        details=words.MERGE_DETAILS,
        examples=(
            "merge shop.inlay friend.inlay --look",
            'merge shop.inlay friend.inlay --theirs "cut T07" --rest mine',
            "merge shop.inlay club.inlay --out both.inlay --prefix club",
        ),
    ),
)
