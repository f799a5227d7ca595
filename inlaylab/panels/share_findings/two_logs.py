"""Two makers in one panel: their logs side by side or merged, and a page taken into this log."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ipywidgets

from inlaylab.errors import InputError
from inlaylab.findings.compare import compare_rows
from inlaylab.panels.share_findings.merging import MergeBox, MergeState
from inlaylab.panels.shared import controls
from inlaylab.panels.shared.entries import Entry, Form


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
        hints = {"other": "friend.inlay or friend.html", "prefix": "a word", "new": "a new name"}
        self.fields = {name: controls.Field(entry, hint=hints[name]) for name, entry in self.form.entries.items()}
        self.line = controls.MessageLine()
        self.table = controls.Words()
        self.table.layout.width = "100%"
        self.compare = controls.button("Put both side by side", hint="what each fit knows")
        self.merge = controls.button("Merge with the other log", hint="shows first what it brings")
        self.take = controls.button("Take the page into this log", hint="all of its tables or nothing; can be undone")
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
            allowed = "a findings page, which ends in .html" if page else "a log; a page is taken into this log instead"
            raise InputError("this needs another kind of file", value=other.name, allowed=allowed)
        return other

    def _side_by_side(self) -> None:
        other = self._other(page=False)
        rows = compare_rows({f"this: {self.path.name}": self.path, f"other: {other.name}": other}, unit=self.unit)
        caption = "Middle and nine-in-ten interval of what each log knows; blank where a log is not fitted as it is now"
        self.table.show_html(controls.table(rows, caption=caption), text=f"{len(rows)} rows")
        self.line.done("Both logs are listed below.")

    def _merge(self) -> None:
        from inlaylab.log.merging.by_names import merge

        other = self._other(page=False)
        if self.box.state.look(other) is not None:
            self.line.done("What the other log brings is listed below; nothing is changed yet.")
            return
        new = self.path.resolve().parent / _a_new_name(self.form["new"].value or "")
        merged = merge(self.path, other, new, prefix=self._prefix())
        came = f"{merged.cuts} cuts and {merged.bits} bits came from the other log."
        said = f"These two never were one log. {new.name} now holds both: {came}"
        self.line.done(" ".join([said, *merged.notes, "Fit it like any log."]))

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
        other=Entry("the other log or page", required=True, read=_a_file),
        prefix=Entry("before its names", typed="friend"),
        new=Entry("new log, if needed", typed="both.inlay"),
    )


def _a_file(text: str) -> Path:
    path = Path(text)
    if not path.is_file():
        raise InputError("there is no such file", value=text, allowed="a file in this folder, or its whole path")
    return path


def _a_new_name(text: str) -> str:
    if not text or Path(text).name != text or text.startswith("."):
        raise InputError("name of the new log", value=text, allowed="a plain file name, as both.inlay")
    return text


def fold(log: str | Path, form: Form, *, unit: str) -> Any:
    """Give the two logs behind a box to tick."""
    two = TwoLogs(log, form, unit=unit)
    return two, controls.Fold("another maker's log or page: compare, merge, or take it in", [two])
