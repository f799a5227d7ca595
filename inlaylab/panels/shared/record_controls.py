"""The controls by which a whole record is kept: a small form for a new thing, and save with undo."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets

from inlaylab.panels.shared.controls import Field, MessageLine, Words, button, guarded, row
from inlaylab.panels.shared.entries import ChoiceEntry, Form


class AddForm(ipywidgets.VBox):
    """
    A small form inside a choice, by which a new thing is added to the list.

    Parameters
    ----------
    form : Form
        The fields of the new thing.
    make : callable
        Takes the form's values, keeps the new thing and gives its name.
    choice : ChoiceEntry
        The list it joins; the new one is chosen at once.
    what : str
        What is added, in one word.
    fields : mapping of str to widget, optional
        Views for fields that are not plain text.

    Attributes
    ----------
    fields : dict of str to Field
        The fields by name.
    keep, cancel : ipywidgets.Button
    line : MessageLine
    """

    def __init__(
        self,
        form: Form,
        *,
        make: Callable[[Form], str],
        choice: ChoiceEntry,
        what: str,
        fields: dict[str, Any] | None = None,
    ):
        self.form, self.make, self.choice = form, make, choice
        self.fields = {name: Field(entry) for name, entry in form.entries.items()} | (fields or {})
        self.keep = button(f"Keep this {what}", main=True)
        self.cancel = button(f"No new {what}")
        self.line = MessageLine()
        self.keep.on_click(guarded(self.line, self._keep))
        self.cancel.on_click(guarded(self.line, self._cancel))
        super().__init__([*self.fields.values(), row(self.keep, self.cancel), self.line])
        self.layout.border = "1px solid var(--kit-edge)"
        self.layout.padding = "6px"
        self.layout.width = "100%"

    def _keep(self, _: Any) -> None:
        if not self.form.whole:
            self.line.refuse(self.form.needs)
            return
        name = self.make(self.form)
        if name not in self.choice.options:
            self.choice.options = (*self.choice.options, name)
        self.choice.typed = name
        self.form.clear()
        self.line.done("")

    def _cancel(self, _: Any) -> None:
        self.form.clear()
        self.line.done("")
        self.choice.typed = ""


class SaveUndo(ipywidgets.HBox):
    """
    Save and undo, with what is still needed beside them; save works only when the record is whole.

    Parameters
    ----------
    form : Form
        The record.
    save, undo, clear : callable
        What the buttons do.
    what : str
        What is saved, in one word.

    Attributes
    ----------
    save, undo, clear : ipywidgets.Button
    line : MessageLine
    needs : Words
    """

    def __init__(
        self,
        form: Form,
        *,
        save: Callable[..., Any],
        undo: Callable[..., Any],
        clear: Callable[..., Any],
        what: str = "cut",
    ):
        self.form = form
        self.line = MessageLine()
        self.needs = Words()
        self.save = button(f"Save this {what}", main=True)
        self.undo = button("Undo the last change", hint="takes back what was last saved, corrected or deleted")
        self.clear = button("Empty the form", hint="forgets what was typed and not saved")
        self.save.on_click(guarded(self.line, save))
        self.undo.on_click(guarded(self.line, undo))
        self.clear.on_click(guarded(self.line, clear))
        super().__init__([self.save, self.undo, self.clear, self.needs])
        self.layout.flex_flow = "row wrap"
        self.layout.align_items = "center"
        form.observe(self._look, ["whole", "needs"])
        self._look()

    def _look(self, change: Any = None) -> None:
        self.save.disabled = not self.form.whole
        self.needs.say(self.form.needs, kind="hint")
