"""``findings`` and ``notebooks``: what is handed to someone else, and the notebooks to work in."""

import argparse
import importlib.util
import os
import signal
import subprocess
import sys
from pathlib import Path

from inlaylab import share
from inlaylab.commands import question
from inlaylab.commands.command import Answer, Command, add_log, add_unit
from inlaylab.errors import InlaylabError, InputError
from inlaylab.services.open_log import Progress, open_fitted

STOPPED_BY_CTRL_C = 130


def _add_findings(parser: argparse.ArgumentParser) -> None:
    add_log(parser)
    parser.add_argument("--out", required=True, type=Path, metavar="FILE.html", help="the page to write")
    parser.add_argument("--pdf", type=Path, metavar="FILE.pdf", help="print it too, by an installed Chromium")
    parser.add_argument("--notebook", type=Path, metavar="FILE.ipynb", help="keep the executed notebook too")
    parser.add_argument(
        "--leave-out",
        nargs="+",
        default=(),
        choices=("names", "notes", "photos", "days"),
        help="what not to share; without days, dates say only the month",
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
    kilobytes = page.stat().st_size / 1000
    return Answer(
        record={"page": str(page), "bytes": page.stat().st_size, "files": made},
        text=f"Wrote {', '.join(made)}. The page ({kilobytes:.0f} kB) opens anywhere, without a network.",
    )


def _add_notebooks(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "folder", metavar="FOLDER", nargs="?", type=Path, default=Path("my_shop"), help="my_shop if left out"
    )
    parser.add_argument("--only-copy", action="store_true", help="do not open JupyterLab")
    parser.add_argument("--no-browser", action="store_true", help="start JupyterLab without opening a browser")


def _notebooks(arguments: argparse.Namespace) -> Answer:
    if not arguments.only_copy and importlib.util.find_spec("jupyterlab") is None:
        raise InputError(
            "JupyterLab is not installed", allowed='install it with: python -m pip install "inlaylab[notebooks]"'
        )
    copied = share.copy_into(arguments.folder)
    kept = f"; {len(copied.kept)} that were there already are left as they are" if copied.kept else ""
    text = f"{len(copied.new)} files put into {copied.folder}{kept}. Open 0_start_here.ipynb first."
    if not arguments.only_copy:
        print(text, file=sys.stderr, flush=True)
        _open_jupyterlab(arguments)
    record = {"folder": str(copied.folder), "new": _names(copied.new), "kept": _names(copied.kept)}
    return Answer(record=record, text=text if arguments.only_copy else "JupyterLab has ended.")


def _open_jupyterlab(arguments: argparse.Namespace) -> None:
    """Run JupyterLab in the folder until it ends; its own messages go to standard error."""
    words = [sys.executable, "-m", "jupyterlab", f"--ServerApp.root_dir={arguments.folder.resolve()}"]
    words += ["--no-browser"] * arguments.no_browser + arguments.handed_on
    if hasattr(os, "geteuid") and os.geteuid() == 0 and "--allow-root" not in words:
        print("You are root, as in a container; JupyterLab is told to allow it.", file=sys.stderr, flush=True)
        words.append("--allow-root")
    try:
        status = subprocess.run(words, stdout=sys.stderr, check=False, cwd=arguments.folder).returncode
    except KeyboardInterrupt:
        return
    if status not in (0, -signal.SIGINT, -signal.SIGTERM, STOPPED_BY_CTRL_C):
        raise InlaylabError(f"JupyterLab ended with status {status}; its own message stands above")


def _names(paths: tuple[Path, ...]) -> list[str]:
    return [path.as_posix() for path in paths]


COMMANDS = (
    Command(
        name="findings",
        help="write one page that shows what the log teaches and carries its tables; it opens anywhere",
        add_arguments=_add_findings,
        run=_findings,
        details="Fit the log first. Without a question the page answers for the newest cut's bit, pair and coupon. "
        "The page carries the log's tables: `inlaylab import LOG FILE.html` takes them.",
        examples=(
            "findings shop.inlay --out findings.html",
            "findings shop.inlay --out findings.html --leave-out names notes --pdf findings.pdf",
        ),
    ),
    Command(
        name="notebooks",
        help="put the notebooks and the sample shop into a folder (never over a file) and open JupyterLab there",
        add_arguments=_add_notebooks,
        run=_notebooks,
        details="Options that are not listed here are handed on to JupyterLab.",
        examples=("notebooks", "notebooks my_shop --only-copy", "notebooks my_shop --no-browser --port=8899"),
        hands_on=True,
    ),
)
