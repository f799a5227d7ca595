"""Two makers in one panel: their logs side by side or merged, and a page taken into this log."""

from __future__ import annotations

from pathlib import Path

import ipywidgets

from inlaylab.errors import InputError
from inlaylab.findings.compare import compare_rows
from inlaylab.panels.share_findings.merging import MergeBox, MergeState
from inlaylab.panels.shared import controls
from inlaylab.panels.shared.entries import Entry, Form
from inlaylab.wording.lengths import count
from inlaylab.wording.panels import share_findings as words


class TwoLogs(ipywidgets.VBox):
    """
    Compare this log with another, merge both, or take what a findings page carries into this one.

    Parameters
    ----------
    log : path
        This log.
    form : Form
        What is typed, of `two_logs_form`.
    unit : str
        The maker's unit.

    Attributes
    ----------
    fields : dict of str to Field
    compare, merge, take : ipywidgets.Button
    line : MessageLine
    table : Words
    box : MergeBox
        What the other log brings, where both were one log once; logs that never were go into a new one.
    """

    def __init__(self, log: str | Path, form: Form, *, unit: str):
        self.path, self.form, self.unit = Path(log), form, unit
        hints = {"other": words.OTHER_HINT, "prefix": words.PREFIX_HINT, "new": words.NEW_HINT}
        self.fields = {name: controls.Field(entry, hint=hints[name]) for name, entry in self.form.entries.items()}
        self.line = controls.MessageLine()
        self.table = controls.Words()
        self.table.layout.width = "calc(100% - 8px)"
        self.compare = controls.button(words.COMPARE, hint=words.COMPARE_HINT)
        self.merge = controls.button(words.MERGE, hint=words.MERGE_HINT)
        self.take = controls.button(words.TAKE, hint=words.TAKE_HINT)
        self.take.on_click(controls.guarded(self.line, lambda _: self._take()))
        self.compare.on_click(controls.guarded(self.line, lambda _: self._side_by_side()))
        self.merge.on_click(controls.guarded(self.line, lambda _: self._merge()))
        self.box = MergeBox(MergeState(self.path), self.line, prefix=self._prefix, unit=unit)
        self.form["other"].observe(lambda _: self.box.state.forget(), "value")
        buttons = controls.row(self.compare, self.merge, self.take)
        super().__init__([*self.fields.values(), buttons, self.line, self.box, self.table])

    def _prefix(self) -> str:
        return self.form["prefix"].value or ""

    def _whole(self) -> None:
        if not self.form.whole:
            raise InputError(self.form.needs.rstrip("."))

    def _other(self, *, page: bool) -> Path:
        self._whole()
        other = Path(self.form["other"].value)
        if (other.suffix.lower() in (".html", ".htm")) != page:
            allowed = words.A_PAGE if page else words.A_LOG
            raise InputError(words.OTHER_KIND, value=other.name, allowed=allowed)
        return other

    def _side_by_side(self) -> None:
        other = self._other(page=False)
        rows = compare_rows(
            {words.this_one(self.path.name): self.path, words.other_one(other.name): other}, unit=self.unit
        )
        caption = words.COMPARED
        self.table.show_html(controls.table(rows, caption=caption), text=count(len(rows), "row"))
        self.line.done(words.LISTED)

    def _merge(self) -> None:
        from inlaylab.log.merging.by_names import merge

        other = self._other(page=False)
        if self.box.state.look(other) is not None:
            self.line.done(words.LOOKED_AT)
            return
        new = self.path.resolve().parent / _a_new_name(self.form["new"].value or "")
        merged = merge(self.path, other, new, prefix=self._prefix())
        self.line.done(words.merged(new.name, cuts=merged.cuts, bits=merged.bits, notes=merged.notes))

    def _take(self) -> None:
        from inlaylab.log.tables.page_import import import_page
        from inlaylab.services.updates import updates_of

        page = self._other(page=True)
        taken = import_page(self.path, page, prefix=self._prefix())
        self.line.done(" ".join(taken.words().split("\n")))
        updates_of(self.path).changed()


def two_logs_form() -> Form:
    """Give the fields: the other maker's log or findings page, what to put before its names, and the log to make."""
    return Form(
        other=Entry(words.OTHER, required=True, read=_a_file),
        prefix=Entry(words.PREFIX, typed="friend"),
        new=Entry(words.NEW_LOG, typed="both.inlay"),
    )


def _a_file(text: str) -> Path:
    path = Path(text)
    if not path.is_file():
        raise InputError(words.NO_FILE, value=text, allowed=words.A_FILE)
    return path


def _a_new_name(text: str) -> str:
    if not text or Path(text).name != text or text.startswith("."):
        raise InputError(words.NEW_NAME, value=text, allowed=words.A_NEW_NAME)
    return text


def fold(log: str | Path, form: Form, *, unit: str) -> tuple[TwoLogs, controls.Fold]:
    """Give the two logs behind a box to tick."""
    two = TwoLogs(log, form, unit=unit)
    return two, controls.Fold(words.ANOTHER, [two])
