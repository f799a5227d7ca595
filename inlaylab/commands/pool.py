"""``pool``: what many shops know together, as starting beliefs for the next fit."""

import argparse
from pathlib import Path

from inlaylab.commands.command import Answer, Command, add_unit, whole_number
from inlaylab.errors import InputError
from inlaylab.services.open_log import Progress
from inlaylab.wording.commands import pool as words


def _workers(text: str) -> int:
    return whole_number(text, words.A_NUMBER_OF_WORKERS, least=1, most=1024)


def _add_pool(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", metavar="FILE", nargs="+", type=Path, help=words.OPTIONS["files"])
    parser.add_argument("--out", required=True, type=Path, metavar="BELIEFS.json", help=words.OPTIONS["--out"])
    parser.add_argument("--dask", metavar="ADDRESS", help=words.OPTIONS["--dask"])
    parser.add_argument("--workers", type=_workers, metavar="N", help=words.OPTIONS["--workers"])
    add_unit(parser)


def _pool(arguments: argparse.Namespace) -> Answer:
    from inlaylab.services.pool import pool
    from inlaylab.wording.answers.pool import pooled_lines

    if arguments.out.suffix.lower() != ".json":
        raise InputError(words.NAME, value=str(arguments.out), allowed=words.A_JSON)
    with Progress() as progress:
        done = pool(arguments.files, arguments.out, dask=arguments.dask, workers=arguments.workers, progress=progress)
    record = {
        "out": str(arguments.out),
        **done.beliefs.record(),
        "fitted": done.fitted,
        "kept": done.kept,
        "stored": done.stored,
        "passed_over": [{"file": file, "why": why} for file, why in done.passed_over],
    }
    return Answer(
        record=record, text="\n".join([words.written(arguments.out), *pooled_lines(done, arguments.unit or "mm")])
    )


COMMANDS = (
    Command(
        name="pool",
        help=words.POOL,
        add_arguments=_add_pool,
        run=_pool,
        details=words.POOL_DETAILS,
        examples=(
            "pool mine.inlay friend.inlay club/*.html --out beliefs.json",
            "pool shops/* --out beliefs.json --dask tcp://192.0.2.7:8786",
        ),
    ),
)
