"""The controls by which a whole record is kept: a small form for a new thing, and save with undo."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets
import traitlets

from inlaylab.panels.shared.controls import Choice, Field, MessageLine, Words, button, guarded, row
from inlaylab.panels.shared.entries import ChoiceEntry, Form
from inlaylab.panels.shared.new_things import NewThing
from inlaylab.services.log_session import LogSession
from inlaylab.wording.panels import shared as words


class AddForm(ipywidgets.VBox):
    """
    The view of a `NewThing`: a small form inside a choice, by which a new thing is added to the list.

    Parameters
    ----------
    new : NewThing
        What is added.
    label_width : str
        Room for the names of the fields.

    Attributes
    ----------
    fields : dict of str to Field
        The fields by name.
    keep, cancel : ipywidgets.Button
    line : MessageLine
    """

    def __init__(self, new: NewThing, *, label_width: str = "10.5em"):
        self.new = new
        self.fields = {
            name: (Choice if isinstance(entry, ChoiceEntry) else Field)(entry, label_width=label_width)
            for name, entry in new.form.entries.items()
        }
        self.keep = button(words.keep(new.what), main=True)
        self.cancel = button(words.no_new(new.what))
        self.line = MessageLine()
        self.keep.on_click(guarded(self.line, self._keep))
        self.cancel.on_click(guarded(self.line, self._cancel))
        super().__init__([*self.fields.values(), row(self.keep, self.cancel), self.line])
        self.layout.border = "1px solid var(--kit-edge)"
        self.layout.padding = "6px"
        self.layout.width = "100%"

    def _keep(self, _: ipywidgets.Button) -> None:
        self.new.keep()
        self.line.done("")

    def _cancel(self, _: ipywidgets.Button) -> None:
        self.new.leave()
        self.line.done("")


class UndoRedo(ipywidgets.HBox):
    """
    Undo and redo of what this panel did since it was opened; each says beforehand what it will do.

    Parameters
    ----------
    session : LogSession
        The panel's way to the log.
    after : callable
        Called with what was done, in words.
    by : callable
        Gives who types.

    Attributes
    ----------
    undo, redo : ipywidgets.Button
    line : MessageLine
        To stand below the buttons.
    """

    def __init__(
        self,
        session: LogSession,
        *,
        after: Callable[[str], object] = lambda said: None,
        by: Callable[[], str] = lambda: "",
    ):
        self.session, self._after, self._by = session, after, by
        self.line = MessageLine()
        self.undo, self.redo = button("Undo"), button("Redo")
        for each in (self.undo, self.redo):
            each.add_class("inlaylab-again")
        self.undo.on_click(guarded(self.line, lambda _: self._turn(words.TAKEN_BACK, session.undo)))
        self.redo.on_click(guarded(self.line, lambda _: self._turn(words.DONE_AGAIN, session.redo)))
        super().__init__([self.undo, self.redo])
        self.layout.flex_flow = "row wrap"
        session.listen(self.look)
        self.look()

    def look(self) -> None:
        """Say what each button would do now."""
        undo, redo = self.session.next_undo(), self.session.next_redo()
        self.undo.description = words.undo(undo)
        self.redo.description = words.redo(redo)
        self.undo.tooltip = words.UNDO_HINT
        self.undo.disabled, self.redo.disabled = not undo, not redo
        self.redo.layout.display = None if redo else "none"

    def _turn(self, word: str, action: Callable[..., str]) -> None:
        what = action(by=self._by())
        self.look()
        said = f"{word}: {what}." if what else words.NOTHING_BACK
        self.line.done(said)
        self._after(said)


def set_waiting(shown: ipywidgets.Button, waiting: bool) -> None:
    """Show a button as one that waits for something typed; it can be pressed all the same, and says what is needed."""
    (shown.add_class if waiting else shown.remove_class)("inlaylab-waiting")


class SaveUndo(ipywidgets.HBox):
    """
    Save and undo, with what is still needed beside them.

    Save can always be pressed: the last field is taken when the mouse leaves it for the button, which comes too late
    to wake a sleeping one. A press on a record that is not whole says what is needed.

    Parameters
    ----------
    form : Form
        The record.
    save, clear : callable
        What the buttons do.
    history : UndoRedo
        Undo and redo, which stand between the two.
    what : str
        What is saved, in one word.

    Attributes
    ----------
    save, clear : ipywidgets.Button
    history : UndoRedo
    line : MessageLine
    needs : Words
    """

    def __init__(
        self,
        form: Form,
        *,
        save: Callable[..., object],
        history: UndoRedo,
        clear: Callable[..., object],
        what: str = "cut",
    ):
        self.form = form
        self.line = MessageLine()
        self.needs = Words()
        self.save = button(words.save(what), main=True)
        self.history = history
        self.clear = button(words.CLEAR, hint=words.CLEAR_HINT)
        self.save.on_click(guarded(self.line, save))
        self.clear.on_click(guarded(self.line, clear))
        super().__init__([self.save, history, self.clear, self.needs])
        self.layout.flex_flow = "row wrap"
        self.layout.align_items = "center"
        form.observe(self._look, ["whole", "needs"])
        self._look()

    def _look(self, change: traitlets.Bunch | None = None) -> None:
        set_waiting(self.save, not self.form.whole)
        self.needs.say(self.form.needs, kind="hint")
        if self.line.error is not None:
            self.line.done("")
