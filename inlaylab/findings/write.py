"""Write the page: work its parts out, put the tables into it, and keep it as one file that holds no program."""

from __future__ import annotations

import dataclasses
import datetime
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from inlaylab.errors import InputError
from inlaylab.findings.left_out import LEAVE_OUT, without
from inlaylab.findings.page import Page
from inlaylab.services.plain_values import plain_values
from inlaylab.wording.findings import page as words
from inlaylab.wording.findings.page import WORKING, WRITING

if TYPE_CHECKING:
    from inlaylab.fitting.predict.question import Question

_BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge")


def write(
    log_path: str | Path,
    out_path: str | Path,
    *,
    question: Question | None = None,
    leave_out: Iterable[str] = (),
    unit: str | None = None,
    size: tuple[float, float] | None = None,
    pdf: str | Path | None = None,
    notebook: str | Path | None = None,
    progress: Callable[[float, float | None, str], object] | None = None,
) -> Path:
    """
    Write what a log shows as one page that opens anywhere, without a network, and carries its tables.

    Parameters
    ----------
    log_path : path
        The log; it must be fitted as it is now.
    out_path : path
        The page, ending in ``.html``; an older page of this name is replaced when the new one is whole. An older PDF
        or executed notebook of the same name is replaced or deleted too: it might hold what the new page leaves out.
    question : fitting.predict.question.Question, optional
        What is answered; the newest cut's bit, pair and coupon if left out.
    leave_out : iterable of str
        Words of `LEAVE_OUT`.
    unit : str, optional
        The reader's unit; the log's own if left out.
    size : (float, float), optional
        Width and height of the artwork that is asked about, for the sizes of its blanks. [mm]
    pdf, notebook : path, optional
        Where to put the same as a PDF (printed by an installed Chromium) and as the executed notebook.
    progress : callable, optional
        Told the share done, the seconds left and what is being done.

    Returns
    -------
    path : Path
        The page.

    Raises
    ------
    FitMissing
        Where the log has no fit or has changed since.
    NotConverged
        Where its fit cannot be trusted.
    InputError
        Where a name is not what it must be, or no browser is there to print with.
    """
    from inlaylab.findings.contents import Rendered
    from inlaylab.log.tables.page import seal

    out = _checked(out_path)
    browser = find_browser() if pdf else None
    if pdf and browser is None:
        raise InputError(words.NO_BROWSER, allowed=words.BROWSER_OR_NO_PDF)
    tell = progress or (lambda *_: None)
    tell(0.0, 3.0, WORKING)
    page = open_page(log_path, question=question, leave_out=leave_out, unit=unit, size=size)
    data = _data(page, log_path)
    rendered = Rendered(page)
    as_notebook = rendered.notebook() if notebook is not None else ""
    tell(0.9, 0.3, WRITING)
    _replace(out, seal(rendered.html(data)).encode("utf-8"))
    _forget(out, kept=(pdf, notebook))
    if notebook is not None:
        _replace(Path(notebook), as_notebook.encode("utf-8"))
    if pdf is not None and browser is not None:
        print_page(out, Path(pdf), browser=browser)
    tell(1.0, 0.0, "done")
    return out


def open_page(
    log_path: str | Path,
    *,
    question: Question | None = None,
    leave_out: Iterable[str] = (),
    unit: str | None = None,
    size: tuple[float, float] | None = None,
) -> Page:
    """
    Open a log and its fit as a page in the making.

    Parameters
    ----------
    log_path, question, leave_out, unit, size
        As in `write`.

    Returns
    -------
    page : Page
        Its parts are worked out when they are asked for.

    Raises
    ------
    FitMissing, NotConverged, InputError
        As in `write`.
    """
    from inlaylab.fitting import stored_fit
    from inlaylab.fitting.predict.likely_question import usual_question
    from inlaylab.log.store import Log

    left = frozenset(leave_out)
    if unknown := left - set(LEAVE_OUT):
        raise InputError(words.WHAT_LEFT_OUT, value=min(unknown), allowed=", ".join(LEAVE_OUT))
    with Log.open(log_path) as log:
        shop = log.shop()
    fit = stored_fit.load(log_path, shop.fingerprint())
    fit.check()
    shop = without(shop, left)
    return Page(
        shop,
        fit,
        question or usual_question(shop),
        unit=unit or shop.habits.unit,
        leave_out=left,
        written=_today("days" in left),
        home=Path(log_path).resolve().parent,
        size=size,
    )


def _data(page: Page, log_path: str | Path) -> str:
    """Give what the page carries: its tables, the question, the answer and the versions."""
    from inlaylab.log.store import Log
    from inlaylab.log.tables.page import data_block, tables_of

    with Log.open(log_path) as log:
        states_habits = log.stated_habits() is not None
    files = tables_of(page.shop, page.shop.habits if states_habits else None)
    said = {
        "question": dataclasses.asdict(page.asked),
        "answer": plain_values(page.advice.to_json()),
        "fit": plain_values(page.fit.summary()),
        "versions": page.versions,
        "left_out": sorted(page.leave_out),
    }
    for stroke in said["question"]["strokes"]:
        stroke.pop("extra", None)
    return data_block(files, whose=page.shop.habits.maker, written=page.written, said=said)


def _today(only_month: bool) -> str:
    return datetime.date.today().isoformat()[: 7 if only_month else 10]


def _checked(out_path: str | Path) -> Path:
    out = Path(out_path)
    if out.suffix.lower() not in (".html", ".htm"):
        raise InputError(words.PAGE_NAME, value=str(out), allowed=words.A_PAGE_NAME)
    if not out.resolve().parent.is_dir():
        raise InputError(words.PAGE_FOLDER, value=str(out.parent), allowed=words.A_FOLDER)
    return out


def _forget(page: Path, *, kept: Iterable[str | Path | None]) -> None:
    """Delete the PDF and the executed notebook of an earlier page of this name, unless they are written anew."""
    from inlaylab.wording.findings.page import DOCUMENT, TITLE

    new = {Path(path).resolve() for path in kept if path is not None}
    for path, sign in ((page.with_suffix(".pdf"), DOCUMENT), (page.with_suffix(".executed.ipynb"), TITLE)):
        if path.resolve() not in new and path.is_file() and sign.encode("ascii") in path.read_bytes():
            path.unlink()


def _replace(path: Path, content: bytes) -> None:
    """Write a file whole or not at all."""
    fresh = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        fresh.write_bytes(content)
        fresh.replace(path)
    finally:
        fresh.unlink(missing_ok=True)


def find_browser() -> str | None:
    """Give the path of an installed Chromium, or None."""
    given = os.environ.get("INLAYLAB_BROWSER", "")
    return next((found for name in (given, *_BROWSERS) if name and (found := shutil.which(name))), None)


def print_page(page: Path, pdf: Path, *, browser: str) -> None:
    """
    Print a page to a PDF.

    Parameters
    ----------
    page, pdf : Path
        From and to.
    browser : str
        An installed Chromium.

    Raises
    ------
    InputError
        Where the browser makes no PDF.
    """
    with tempfile.TemporaryDirectory(prefix="inlaylab-print-") as home:
        made = Path(home) / "page.pdf"
        line = [browser, "--headless", "--disable-gpu", "--no-first-run", "--no-pdf-header-footer"]
        line += ["--disable-background-networking", f"--user-data-dir={home}", f"--print-to-pdf={made}"]
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            line.append("--no-sandbox")  # Chromium refuses its sandbox to the superuser
        line.append(page.resolve().as_uri())
        try:
            subprocess.run(line, capture_output=True, timeout=120, check=False)
        except subprocess.TimeoutExpired:
            raise InputError(words.TOO_LONG, value=browser) from None
        if not made.exists():
            raise InputError(words.PRINTED_NOTHING, value=browser, allowed=words.A_BROWSER)
        _replace(pdf, made.read_bytes())
