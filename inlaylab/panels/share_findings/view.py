"""The panel of notebook 7: choose what to share, and write the page."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import ipywidgets
import traitlets

from inlaylab.errors import InputError
from inlaylab.findings.left_out import LEAVE_OUT
from inlaylab.findings.write import find_browser, write
from inlaylab.panels.share_findings import two_logs
from inlaylab.panels.shared import controls
from inlaylab.panels.shared.drafts import Draft, DraftLine, Kept
from inlaylab.panels.shared.entries import ChoiceEntry, Entry, Form
from inlaylab.panels.shared.fit_box import FitBox, FitState
from inlaylab.services.desk import reader_unit
from inlaylab.services.find_log import find_log
from inlaylab.wording.panels import share_findings as words

if TYPE_CHECKING:
    from collections.abc import Callable

    from inlaylab.fitting.predict.question import Question


class ShareState(traitlets.HasTraits):
    """
    What goes on the page, and where it goes.

    Parameters
    ----------
    log : path
        The log.

    Attributes
    ----------
    fit : FitState
    form : Form
        ``page``: name of the file; ``bit`` and ``pair``: what is asked about, the newest cut's where blank.
    two : Form
        What is asked about another maker's log or page.
    draft : Draft
        What was typed and ticked.
    leave_out : tuple of str
        Words of ``findings.LEAVE_OUT``.
    pdf, notebook : bool
        Whether to write these too.
    written : tuple of Path
        What was written last.
    """

    leave_out = traitlets.Tuple()
    pdf = traitlets.Bool(False)
    notebook = traitlets.Bool(False)
    written = traitlets.Tuple()

    def __init__(self, log: str | Path):
        super().__init__()
        self.path = Path(log)
        self.fit = FitState(self.path)
        self.form = Form(
            bit=ChoiceEntry("bit"),
            pair=ChoiceEntry("species pair"),
            page=Entry(words.PAGE_NAME, required=True, read=_page_name, typed="findings.html"),
        )
        self.two = two_logs.two_logs_form()
        self._list()
        self.fit.observe(lambda _: self._list(), "shop")
        self._ticks = {
            "leave_out": Kept(self, "leave_out", write=list, read=tuple),
            **{name: Kept(self, name) for name in ("pdf", "notebook")},
        }
        self.draft = Draft(self.path, "share_findings", entries=self._entries)
        self.draft.begin()

    def _entries(self) -> dict[str, Entry]:
        """Every field that a draft keeps."""
        return {**self.form.entries, **self._ticks, **{f"two, {name}": e for name, e in self.two.entries.items()}}

    def _list(self) -> None:
        self.form["bit"].options = tuple(bit.bit for bit in self.fit.shop.bits)
        self.form["pair"].options = tuple(pair.pair for pair in self.fit.shop.pairs)

    def question(self) -> Question:
        """Give the question that the page answers."""
        from dataclasses import replace

        from inlaylab.fitting.predict.likely_question import usual_question

        asked = usual_question(self.fit.shop)
        chosen = {name: self.form[name].value for name in ("bit", "pair") if self.form[name].value}
        same_bit = [cut for cut in self.fit.shop.cuts if cut.bit == chosen.get("bit")]
        if same_bit:
            chosen |= {name: getattr(same_bit[-1], name) for name in ("pocket_depth", "relief_depth")}
        return replace(asked, **chosen)

    @property
    def unit(self) -> str:
        """The unit that the maker reads this log in."""
        return reader_unit(self.path, self.fit.shop.habits.unit)

    def write(self, progress: Callable[[float, float | None, str], object] | None = None) -> tuple[Path, ...]:
        """
        Write the page and whatever else was chosen.

        Raises
        ------
        InputError
            Where the name is not one, or the log is not fitted as it is now.
        """
        if not self.form.whole:
            raise InputError(self.form.needs.rstrip("."))
        page = self.path.resolve().parent / self.form["page"].value
        pdf = page.with_suffix(".pdf") if self.pdf else None
        notebook = page.with_suffix(".executed.ipynb") if self.notebook else None
        write(
            self.path,
            page,
            question=self.question(),
            leave_out=self.leave_out,
            unit=self.unit,
            pdf=pdf,
            notebook=notebook,
            progress=progress,
        )
        self.written = tuple(path for path in (page, pdf, notebook) if path is not None)
        return self.written


class ShareFindings:
    """
    The view of a `ShareState`.

    Parameters
    ----------
    log : path, optional
        The maker's log; the sample shop without it.

    Attributes
    ----------
    state : ShareState
    fit : FitBox
    fields : dict of str to Field
    left_out : dict of str to ipywidgets.Checkbox
        By word of what is left out.
    pdf, notebook : ipywidgets.Checkbox
    write : ipywidgets.Button
    line : MessageLine
    draft : DraftLine
    where : Words
        Links to what was written.
    two : TwoLogs
        Another maker's log beside this one.
    view : ipywidgets.VBox
    """

    def __init__(self, log: str | Path | None = None):
        self.state = ShareState(find_log(log))
        state = self.state
        self.fit = FitBox(state.fit)
        self.line = controls.MessageLine()
        self.where = controls.Words()
        self._showing = False
        self.fields = {
            name: controls.Choice(entry) if isinstance(entry, ChoiceEntry) else controls.Field(entry)
            for name, entry in state.form.entries.items()
        }
        self.left_out = {word: _tick(words.leave_out(what)) for word, what in LEAVE_OUT.items()}
        for box in self.left_out.values():
            box.observe(self._choose, "value")
        state.observe(lambda _: self._show_left_out(), "leave_out")
        self._show_left_out()
        can_print = find_browser() is not None
        self.pdf = _tick(words.AS_PDF if can_print else words.NO_BROWSER)
        self.pdf.disabled = not can_print
        self.notebook = _tick(words.AS_NOTEBOOK)
        for name in ("pdf", "notebook"):
            traitlets.link((state, name), (getattr(self, name), "value"))
        self.write = controls.button(words.WRITE, hint=words.WRITE_HINT, main=True)
        self.write.on_click(controls.guarded(self.line, lambda _: self._write()))
        self.two, self.other = two_logs.fold(state.path, state.two, unit=state.unit)
        self.draft = DraftLine(state.draft)
        self.view = controls.panel(
            controls.heading(words.ANSWERS),
            self.fit,
            self.draft,
            controls.heading(words.ASKED),
            self.fields["bit"],
            self.fields["pair"],
            controls.heading(words.LEFT_OUT),
            *self.left_out.values(),
            controls.heading(words.PAGE),
            self.fields["page"],
            self.pdf,
            self.notebook,
            controls.row(self.write),
            self.line,
            self.where,
            controls.heading(words.TWO_MAKERS),
            self.other,
        )

    def _choose(self, change: traitlets.Bunch) -> None:
        if not self._showing:
            self.state.leave_out = tuple(word for word, box in self.left_out.items() if box.value)

    def _show_left_out(self) -> None:
        self._showing = True
        for word, box in self.left_out.items():
            box.value = word in self.state.leave_out
        self._showing = False

    def _write(self) -> None:
        self.write.disabled = True
        try:
            paths = self.state.write(progress=self._tell)
        finally:
            self.write.disabled = False
        self.line.done(words.page_written(path.name for path in paths))
        self.where.show_html(controls.file_links(paths), text=", ".join(path.name for path in paths))

    def _tell(self, done: float, left: float | None, text: str = "") -> None:
        self.line.done(words.progress(done, left, text))


def _tick(label: str) -> ipywidgets.Checkbox:
    box = ipywidgets.Checkbox(description=label, indent=False)
    box.layout.width = "auto"
    return box


def _page_name(text: str) -> str:
    if "." not in text:
        text += ".html"
    plain = Path(text).name == text and not text.startswith(".") and text.isprintable()
    if not plain or not text.lower().endswith((".html", ".htm")):
        raise InputError(words.PAGE_NAME, value=text, allowed=words.A_PAGE_NAME)
    return text
