"""
What was typed and not saved yet, kept beside the log: it comes back after a restart, a closed tab or another run.

One draft a panel. It holds only what differs from the fields as they stood empty, so that nothing is kept of a form
that was not touched.
"""

from __future__ import annotations

import contextlib
import datetime
import html
import json
import math
import weakref
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import ipywidgets
import traitlets

from inlaylab import units
from inlaylab.errors import InputError
from inlaylab.panels.shared.controls import Words, button
from inlaylab.panels.shared.entries import Entry, InUnit
from inlaylab.panels.shared.length_entries import LengthEntry, LengthsEntry
from inlaylab.services.desk import desk_of, read_note, remove_note, write_note
from inlaylab.wording.panels import shared as words
from inlaylab.wording.panels.log_and_fit import draft_is_back

_Standing = tuple[str, tuple[float, ...] | None]  # what stands in a field: as typed, and its lengths [mm]


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
    empty : callable, optional
        Empties the form for good; called by `throw_away`. Without it every field goes back to how it stood at first.
    state : HasTraits, optional
        What has a `unit`: a draft comes back in the unit in which it was typed.

    Attributes
    ----------
    said : str
        That a draft came back, and when it was typed; blank where none did.
    """

    said = traitlets.Unicode()

    def __init__(
        self,
        log: str | Path,
        panel: str,
        *,
        entries: Callable[[], Mapping[str, Entry]],
        empty: Callable[[], object] | None = None,
        state: InUnit | None = None,
    ):
        super().__init__()
        self.file = desk_of(log) / f"draft_{panel}.json"
        self._entries, self._empty, self._state = entries, empty, state
        self._seen: weakref.WeakSet[Entry] = weakref.WeakSet()
        self._quiet = False
        self._fresh: dict[str, _Standing] = {}

    def begin(self) -> None:
        """Take the fields as they stand for empty, bring back what was typed before, and keep what is typed now."""
        self._fresh = self._standing()
        note = read_note(self.file)
        typed = note.get("typed")
        if isinstance(typed, dict) and typed:
            if self._state is not None and note.get("unit") in units.UNITS:
                self._state.unit = note["unit"]
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
        self._fresh, self.said = self._standing(), ""
        self.watch()
        remove_note(self.file)

    def throw_away(self) -> None:
        """Empty the form and forget the draft."""
        if self._empty is None:
            self._bring_back({name: typed for name, (typed, _) in self._fresh.items()})
        else:
            with self.by_itself():
                self._empty()
        self.settle()

    @contextlib.contextmanager
    def by_itself(self) -> Iterator[None]:
        """Let the kit fill fields: what it puts in counts as the empty form, and nothing of it is kept."""
        before, quiet = self._standing(), self._quiet
        self._quiet = True
        try:
            yield
        finally:
            self._quiet = quiet
            now = self._standing()
            self._fresh |= {name: now[name] for name in now if now[name] != before.get(name)}

    def _standing(self) -> dict[str, _Standing]:
        """What stands in each field."""
        return {name: (entry.typed, _lengths(entry)) for name, entry in self._entries().items()}

    @property
    def touched(self) -> bool:
        """Whether anything was typed that is not in the log."""
        return bool(self._touched())

    def _touched(self) -> dict[str, str]:
        """What was typed by name; a length that only changed its unit was not."""
        now = self._standing()
        return {name: each[0] for name, each in now.items() if not _same(each, self._fresh.get(name, ("", None)))}

    def _bring_back(self, typed: dict[str, str]) -> None:
        self._quiet = True
        try:
            for _ in range(2):  # what is typed first may bring further fields: a coupon its stations
                for name, entry in self._entries().items():
                    if name in typed and entry.typed != typed[name]:
                        entry.typed = typed[name]
        finally:
            self._quiet = False

    def _keep(self, change: traitlets.Bunch | None = None) -> None:
        if self._quiet:
            return
        self.watch()
        typed = self._touched()
        if typed:
            at = datetime.datetime.now().astimezone().isoformat(timespec="minutes")
            unit = {} if self._state is None else {"unit": self._state.unit}
            write_note(self.file, {"at": at, **unit, "typed": typed})
        else:
            remove_note(self.file)


def _lengths(entry: Entry) -> tuple[float, ...] | None:
    if isinstance(entry, LengthsEntry):
        return entry.mm
    return (entry.mm,) if isinstance(entry, LengthEntry) and entry.mm is not None else None


def _same(one: _Standing, other: _Standing) -> bool:
    """Whether two fields hold the same words, or the same lengths."""
    if one[0] == other[0]:
        return True
    if one[1] is None or other[1] is None or len(one[1]) != len(other[1]):
        return False
    return all(math.isclose(a, b, rel_tol=1e-6) for a, b in zip(one[1], other[1], strict=True))


class Kept(Entry):
    """
    A choice that is no text, such as a tick or the settings of sliders, written as text so that a draft keeps it.

    Parameters
    ----------
    owner : HasTraits
        What it belongs to.
    trait : str
        Its name there.
    write, read : callable
        Turn it into plain values and back; what cannot be read back is left out.
    """

    def __init__(
        self,
        owner: traitlets.HasTraits,
        trait: str,
        *,
        write: Callable[[Any], Any] = lambda value: value,
        read: Callable[[Any], Any] = lambda value: value,
    ):
        self._owner, self._trait, self._write, self._take = owner, trait, write, read
        super().__init__(trait)
        owner.observe(self._follow, trait)
        self._follow()
        self.observe(self._lead, "typed")

    def _follow(self, change: traitlets.Bunch | None = None) -> None:
        self.typed = json.dumps(self._write(getattr(self._owner, self._trait)), sort_keys=True)

    def _lead(self, change: traitlets.Bunch) -> None:
        with contextlib.suppress(ValueError, TypeError, KeyError, InputError, traitlets.TraitError):
            setattr(self._owner, self._trait, self._take(json.loads(self.typed)))


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
        self.throw_away = button(words.THROW, hint=words.THROW_HINT)
        self.throw_away.on_click(lambda _: draft.throw_away())
        super().__init__([self.words, self.throw_away])
        self.layout.flex_flow = "row wrap"
        self.layout.align_items = "center"
        draft.observe(self._show, "said")
        self._show()

    def _show(self, change: traitlets.Bunch | None = None) -> None:
        said = self.draft.said
        self.words.show_html(f'<span role="status">{html.escape(said)}</span>' if said else "", text=said)
        self.layout.display = None if said else "none"
