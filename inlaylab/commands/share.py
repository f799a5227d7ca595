"""``findings``: what is handed to someone else."""

import argparse
from pathlib import Path

from inlaylab.commands import question
from inlaylab.commands.command import Answer, Command, add_log, add_unit
from inlaylab.services.open_log import Progress, open_fitted


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
)
