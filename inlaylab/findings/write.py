"""Write the page: run the findings notebook on a copy of the log, and turn it into one file that holds no program."""

from __future__ import annotations

import dataclasses
import datetime
import json
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from inlaylab.errors import InputError

#: What may be left out of a page, and what that means.
LEAVE_OUT = {
    "names": "the name of the shop and of whoever typed",
    "notes": "the notes of cuts and bits",
    "photos": "the photos of cuts",
}
#: What a page may be made of; anything else in its parts is taken out.
TAGS = {"p", "div", "table", "caption", "thead", "tbody", "tr", "th", "td", "ul", "li", "h2", "h3", "strong", "em"} | {
    "br",
    "span",
    "figure",
    "figcaption",
    "img",
    "code",
    "a",
    "h1",
}
_BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge")
_HERE = Path(__file__).resolve().parent


def write(
    log_path: str | Path,
    out_path: str | Path,
    *,
    question: Any = None,
    leave_out: Iterable[str] = (),
    unit: str | None = None,
    pdf: str | Path | None = None,
    notebook: str | Path | None = None,
    progress: Callable[..., Any] | None = None,
) -> Path:
    """
    Write what a log shows as one page that opens anywhere, without a network.

    Parameters
    ----------
    log_path : path
        The log; it must be fitted as it is now.
    out_path : path
        The page, ending in ``.html``; an older page of this name is replaced when the new one is whole.
    question : fitting.advice.start_depth.Question, optional
        What is answered; the newest cut's bit, pair and coupon if left out.
    leave_out : iterable of str
        Words of `LEAVE_OUT`.
    unit : str, optional
        The reader's unit; the log's own if left out.
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
    from inlaylab.fitting.predict.likely_question import usual_question

    out, left = Path(out_path), _checked(out_path, leave_out)
    browser = find_browser() if pdf else None
    if pdf and browser is None:
        raise InputError("no browser to print with", allowed="an installed Chromium, or no PDF")
    _need_notebooks()
    tell = progress or (lambda *_: None)
    tell(0.0, 15.0, "copying the log")
    with tempfile.TemporaryDirectory(prefix="inlaylab-findings-") as folder:
        shop = _copy(Path(log_path), Path(folder), left)
        question = question or usual_question(shop)
        choices = {
            "question": dataclasses.asdict(question),
            "leave_out": sorted(left),
            "unit": unit or shop.habits.unit,
            "written": datetime.date.today().isoformat(),
        }
        (Path(folder) / "page.json").write_text(json.dumps(choices), encoding="utf-8")
        tell(0.1, 12.0, "running the findings notebook")
        executed = _execute(Path(folder))
        tell(0.8, 2.0, "writing the page")
        page = _render(executed)
        _replace(out, page.encode("utf-8"))
        if notebook is not None:
            _replace(Path(notebook), json.dumps(executed, indent=1, ensure_ascii=False).encode("utf-8"))
    if pdf is not None and browser is not None:
        print_page(out, Path(pdf), browser=browser)
    tell(1.0, 0.0, "done")
    return out


def _checked(out_path: str | Path, leave_out: Iterable[str]) -> set[str]:
    out, left = Path(out_path), set(leave_out)
    if out.suffix.lower() not in (".html", ".htm"):
        raise InputError("name of the page", value=str(out), allowed="a name that ends in .html")
    if not out.resolve().parent.is_dir():
        raise InputError("folder of the page", value=str(out.parent), allowed="a folder that is there")
    unknown = left - set(LEAVE_OUT)
    if unknown:
        raise InputError("what to leave out", value=sorted(unknown)[0], allowed=", ".join(LEAVE_OUT))
    return left


def _need_notebooks() -> None:
    from importlib.util import find_spec

    missing = [name for name in ("nbclient", "nbconvert", "ipykernel", "nh3") if find_spec(name) is None]
    if missing:
        raise InputError(
            "writing a page needs the notebook packages",
            value=", ".join(missing),
            allowed='install them with: python -m pip install "inlaylab[notebooks]"',
        )


def _copy(log_path: Path, folder: Path, left: set[str]) -> Any:
    """Put a copy of the log, without what is left out, and its fit into a folder; give the copy's records."""
    from inlaylab.fitting import stored_fit
    from inlaylab.log.store import Log

    with Log.open(log_path) as log:
        shop, fingerprint = log.shop(), log.fingerprint()
    stored_fit.load(log_path, fingerprint).check()
    if "photos" not in left:
        _copy_photos(shop, log_path.resolve().parent, folder)
    kept = _without(shop, left)
    records = [r for group in ("bits", "pairs", "coupons", "grooves", "cuts", "readings") for r in getattr(kept, group)]
    with Log.make(folder / "log.inlay") as log, log.change("copied for a page") as work:
        work.set_habits(kept.habits)
        for record in records:
            work.add(record)
    shutil.copyfile(stored_fit.path_of(log_path), stored_fit.path_of(folder / "log.inlay"))
    return kept


def _without(shop: Any, left: set[str]) -> Any:
    new = dataclasses.replace
    bits, cuts, habits = shop.bits, shop.cuts, shop.habits
    if "notes" in left:
        bits = tuple(new(bit, notes="", extra={}) for bit in bits)
        cuts = tuple(new(cut, notes="", extra={}) for cut in cuts)
    if "photos" in left:
        cuts = tuple(new(cut, photo="") for cut in cuts)
    if "names" in left:
        habits = new(habits, maker="")
    return new(shop, bits=bits, cuts=cuts, habits=habits)


def _copy_photos(shop: Any, home: Path, folder: Path) -> None:
    """Copy photos that lie in the log's own folder; a path that leads elsewhere is left alone."""
    for number, photo in enumerate(dict.fromkeys(cut.photo for cut in shop.cuts if cut.photo)):
        source = (home / photo).resolve()
        if source.is_relative_to(home) and source.is_file() and source.stat().st_size < 50_000_000:
            target = folder / "photos" / photo
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source, target)
        if number > 200:
            break


def _execute(folder: Path) -> Any:
    """Run the findings notebook in a folder; what goes wrong there is raised here."""
    import nbformat
    from nbclient import NotebookClient
    from nbclient.exceptions import CellExecutionError

    notebook = nbformat.read(_HERE / "template" / "findings.ipynb", as_version=4)
    client = NotebookClient(notebook, timeout=600, kernel_name="python3", resources={"metadata": {"path": str(folder)}})
    try:
        client.execute(stderr=subprocess.DEVNULL)
    except CellExecutionError as fault:
        raise RuntimeError(f"the findings notebook failed: {fault.ename}: {fault.evalue}") from None
    for cell in notebook.cells:
        cell.metadata.pop("execution", None)
    return notebook


def _render(executed: Any) -> str:
    """Turn the executed notebook into one page."""
    import nh3
    from nbconvert import HTMLExporter

    def clean(markup: str) -> str:
        return nh3.clean(
            markup,
            tags=TAGS,
            attributes={"*": {"class", "id"}, "img": {"src", "alt"}, "th": {"scope"}, "div": {"tabindex", "role"}},
            url_schemes={"data"},
            link_rel=None,
        )

    exporter = HTMLExporter(
        template_name="findings", extra_template_basedirs=[str(_HERE / "template")], filters={"clean": clean}
    )
    exporter.environment.globals["css"] = (_HERE / "template" / "page.css").read_text(encoding="utf-8")
    page, _ = exporter.from_notebook_node(executed)
    return str(page)


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
        words = [browser, "--headless", "--disable-gpu", "--no-first-run", "--no-pdf-header-footer"]
        words += ["--disable-background-networking", f"--user-data-dir={home}", f"--print-to-pdf={made}"]
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            words.append("--no-sandbox")  # Chromium refuses its sandbox to the superuser
        words.append(page.resolve().as_uri())
        try:
            subprocess.run(words, capture_output=True, timeout=120, check=False)
        except subprocess.TimeoutExpired:
            raise InputError("the browser took too long to print", value=browser) from None
        if not made.exists():
            raise InputError("the browser printed nothing", value=browser, allowed="an installed Chromium")
        _replace(pdf, made.read_bytes())
