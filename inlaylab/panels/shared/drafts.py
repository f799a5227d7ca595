"""
What was typed and not saved yet, kept beside the log: it comes back after a restart, a closed tab or another run.

One draft a panel. It holds only what differs from the fields as they stood empty, so that nothing is kept of a form
that was not touched.
"""

from __future__ import annotations

import datetime
import html
import weakref
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import ipywidgets
import traitlets

from inlaylab.panels.shared.controls import Words, button
from inlaylab.panels.shared.entries import Entry
from inlaylab.services.desk import desk_of, read_note, remove_note, write_note
from inlaylab.wording.panels.log_and_fit import draft_is_back


class Draft(traitlets.HasTraits):
    """
    The draft of one panel.

    Parameters
    ----------
    log : path
        The log.
    panel : str
        Name of the panel.
    entries : callable
        Gives the fields by name, in the order in which they are to be filled; asked again whenever they may be others.
    empty : callable
        Empties the form for good; called by `throw_away`.

    Attributes
    ----------
    said : str
        That a draft came back, and when it was typed; blank where none did.
    """

    said = traitlets.Unicode()

    def __init__(
        self, log: str | Path, panel: str, *, entries: Callable[[], Mapping[str, Entry]], empty: Callable[[], Any]
    ):
        super().__init__()
        self.file = desk_of(log) / f"draft_{panel}.json"
        self._entries, self._empty = entries, empty
        self._seen: weakref.WeakSet[Entry] = weakref.WeakSet()
        self._quiet = False
        self._fresh: dict[str, str] = {}

    def begin(self) -> None:
        """Take the fields as they stand for empty, bring back what was typed before, and keep what is typed now."""
        self._fresh = self._typed()
        note = read_note(self.file)
        typed = note.get("typed")
        if isinstance(typed, dict) and typed:
            self._bring_back({str(name): str(text) for name, text in typed.items()})
            self.said = draft_is_back(str(note.get("at", "")))
        self.watch()

    def watch(self) -> None:
        """Keep what is typed into fields that were not there before, too."""
        for entry in self._entries().values():
            if entry not in self._seen:
                self._seen.add(entry)
                entry.observe(self._keep, "typed")

    def settle(self) -> None:
        """Forget the draft: what stands in the fields now is the empty form."""
        self._fresh, self.said = self._typed(), ""
        self.watch()
        remove_note(self.file)

    def throw_away(self) -> None:
        """Empty the form and forget the draft."""
        self._quiet = True
        try:
            self._empty()
        finally:
            self._quiet = False
        self.settle()

    def _typed(self) -> dict[str, str]:
        return {name: entry.typed for name, entry in self._entries().items()}

    def _bring_back(self, typed: dict[str, str]) -> None:
        self._quiet = True
        try:
            for _ in range(2):  # what is typed first may bring further fields: a coupon its stations
                for name, entry in self._entries().items():
                    if name in typed and entry.typed != typed[name]:
                        entry.typed = typed[name]
        finally:
            self._quiet = False

    def _keep(self, change: Any = None) -> None:
        if self._quiet:
            return
        self.watch()
        typed = {name: text for name, text in self._typed().items() if text != self._fresh.get(name, "")}
        if typed:
            at = datetime.datetime.now().astimezone().isoformat(timespec="minutes")
            write_note(self.file, {"at": at, "typed": typed})
        else:
            remove_note(self.file)


class DraftLine(ipywidgets.HBox):
    """
    Says that a draft came back, with a button that throws it away.

    Attributes
    ----------
    words : Words
    throw_away : ipywidgets.Button
    """

    def __init__(self, draft: Draft):
        self.draft = draft
        self.words = Words()
        self.throw_away = button("Throw it away", hint="empties the form; the log is not changed")
        self.throw_away.on_click(lambda _: draft.throw_away())
        super().__init__([self.words, self.throw_away])
        self.layout.flex_flow = "row wrap"
        self.layout.align_items = "center"
        draft.observe(self._show, "said")
        self._show()

    def _show(self, change: Any = None) -> None:
        said = self.draft.said
        self.words.show_html(f'<span role="status">{html.escape(said)}</span>' if said else "", text=said)
        self.layout.display = None if said else "none"
