"""``pool``: what many shops know together, as starting beliefs for the next fit."""

import argparse
from pathlib import Path

from inlaylab.commands.command import Answer, Command, add_unit
from inlaylab.errors import InputError
from inlaylab.services.open_log import Progress


def _workers(text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 1024:
        raise argparse.ArgumentTypeError(f"{text} is not a number of workers; write a whole number from 1 to 1024")
    return int(text)


def _add_pool(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "files", metavar="FILE", nargs="+", type=Path, help="logs, folders of tables and findings pages, one a shop"
    )
    parser.add_argument("--out", required=True, type=Path, metavar="BELIEFS.json", help="the beliefs to write")
    parser.add_argument("--dask", metavar="ADDRESS", help="a Dask scheduler to fit on, instead of this machine")
    parser.add_argument("--workers", type=_workers, metavar="N", help="worker processes here, one a core if left out")
    add_unit(parser)


def _pool(arguments: argparse.Namespace) -> Answer:
    from inlaylab.services.pool import pool
    from inlaylab.wording.answers.pool import pooled_lines

    if arguments.out.suffix.lower() != ".json":
        raise InputError("name of the beliefs", value=str(arguments.out), allowed="a name that ends in .json")
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
        record=record, text="\n".join([f"Written: {arguments.out}.", *pooled_lines(done, arguments.unit or "mm")])
    )


COMMANDS = (
    Command(
        name="pool",
        help="learn starting beliefs from many logs, folders or findings pages; `fit --beliefs` begins from them",
        add_arguments=_add_pool,
        run=_pool,
        details="Each shop is fitted on its own. Finished fits are kept beside the beliefs: Ctrl-C stops, and the same "
        "command goes on from there. A file that cannot be used is named and passed over. The beliefs hold no name, "
        "note or single reading of a shop.",
        examples=(
            "pool mine.inlay friend.inlay club/*.html --out beliefs.json",
            "pool shops/* --out beliefs.json --dask tcp://192.0.2.7:8786",
        ),
    ),
)
