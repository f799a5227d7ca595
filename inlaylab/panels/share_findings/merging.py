"""Merge with another maker's log: what it brings, what both changed side by side, and whose version to keep."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import ipywidgets
import traitlets

from inlaylab.errors import InputError
from inlaylab.panels.shared import controls
from inlaylab.panels.shared.entries import Held
from inlaylab.wording.panels import share_findings as words
from inlaylab.wording.panels.merging import conflict_rows, merge_lines

if TYPE_CHECKING:
    from inlaylab.log.merging.join import Joined


class MergeState(traitlets.HasTraits):
    """
    A merge in the making; nothing is written until everything that both logs changed is chosen.

    Parameters
    ----------
    log : path
        This log.

    Attributes
    ----------
    other : Path or None
        The log that is looked at.
    seen : log.merging.join.Joined or None
        What it brings.
    choices : dict
        Name of each record that both changed to "mine" or "theirs", as far as chosen.
    done : int or None
        Number of the change that the merge was, until it is taken back.
    """

    seen: Held[Joined | None] = Held()
    choices = traitlets.Dict()
    done: Held[int | None] = Held()

    def __init__(self, log: str | Path):
        super().__init__()
        self.path = Path(log)
        self.other: Path | None = None

    def look(self, other: Path) -> Joined | None:
        """Compare with the other log and forget what was chosen; None where the two never were one."""
        from inlaylab.log.merging.join import look

        self.other, self.choices, self.done = other, {}, None
        self.seen = look(self.path, other)
        return self.seen

    def forget(self) -> None:
        """Forget what was looked at."""
        self.other, self.choices, self.seen, self.done = None, {}, None, None

    def choose(self, name: str, side: Literal["mine", "theirs"]) -> None:
        """Choose whose version of a record to keep."""
        self.choices = {**self.choices, name: side}

    @property
    def left(self) -> int:
        """How many records are still to be chosen."""
        return sum(each.name not in self.choices for each in self.seen.conflicts) if self.seen else 0

    def merge(self, *, prefix: str) -> Joined:
        """
        Take the other log's changes into this log, as one change.

        Raises
        ------
        InputError
            Where nothing was looked at, something is not chosen, or either log has changed since.
        """
        from inlaylab.log.merging.join import join
        from inlaylab.log.store import Log
        from inlaylab.services.updates import updates_of

        if self.seen is None or self.other is None:
            raise InputError(words.NOTHING_LOOKED_AT, remedy=words.LOOK_FIRST)
        with Log.open(self.path) as log:
            before = next(iter(log.history(longest=1)), None)
        merged = join(self.path, self.other, choices=self.choices, prefix=prefix, seen=self.seen.seen)
        if merged is None:
            raise InputError(words.NEVER_ONE, value=self.other.name)
        with Log.open(self.path) as log:
            newest = log.history(longest=1)[0]
        self.seen, self.choices = None, {}
        self.done = None if before is not None and newest.number == before.number else newest.number
        updates_of(self.path).changed()
        return merged

    def take_back(self) -> None:
        """Take the merge back, as one change."""
        from inlaylab.log.store import Log
        from inlaylab.services.updates import updates_of

        with Log.open(self.path) as log:
            log.undo(self.done)
        self.done = None
        updates_of(self.path).changed()


class MergeBox(ipywidgets.VBox):
    """
    The view of a `MergeState`: empty until a log is looked at.

    Parameters
    ----------
    state : MergeState
        What is merged.
    line : MessageLine
        Where to say what was done.
    prefix : callable
        Gives what to put before the other log's names.
    unit : str
        The reader's unit.

    Attributes
    ----------
    words : Words
        What the other log brings.
    picks : dict of str to ipywidgets.RadioButtons
        Whose version to keep, by the name of the record.
    all_mine, all_theirs, take, back : ipywidgets.Button
    """

    def __init__(self, state: MergeState, line: controls.MessageLine, *, prefix: Callable[[], str], unit: str) -> None:
        self.state, self.line, self.unit = state, line, unit
        self._prefix = prefix
        self.words = controls.Words()
        self.picks: dict[str, ipywidgets.RadioButtons] = {}
        self.all_mine = controls.button(words.ALL_MINE, hint=words.OF_BOTH)
        self.all_theirs = controls.button(words.ALL_THEIRS, hint=words.OF_BOTH)
        self.take = controls.button(words.TAKE_CHANGES, hint=words.TAKE_CHANGES_HINT, main=True)
        self.back = controls.button(words.TAKE_BACK, hint=words.TAKE_BACK_HINT)
        self.all_mine.on_click(lambda _: self._all("mine"))
        self.all_theirs.on_click(lambda _: self._all("theirs"))
        self.take.on_click(controls.guarded(line, lambda _: self._merge()))
        self.back.on_click(controls.guarded(line, lambda _: self._take_back()))
        super().__init__([])
        state.observe(lambda _: self._lay_out(), ["seen", "done"])
        state.observe(lambda _: self._count(), "choices")

    def _lay_out(self) -> None:
        seen: Joined | None = self.state.seen
        self.picks = {}
        if seen is None or self.state.other is None:
            self.words.say("")
            self.children = [controls.row(self.back)] if self.state.done is not None else []
            return
        self.words.say("\n".join(merge_lines(seen, other=self.state.other.name, done=False)))
        parts: list[ipywidgets.Widget] = [self.words]
        for conflict in seen.conflicts:
            table = controls.Words()
            rows = conflict_rows(conflict, self.unit)
            table.show_html(controls.table(rows, caption=conflict.name), text=conflict.name)
            table.layout.width = "calc(100% - 8px)"
            self.picks[conflict.name] = self._pick(conflict.name)
            parts += [table, self.picks[conflict.name]]
        if len(seen.conflicts) > 1:
            parts.append(controls.row(self.all_mine, self.all_theirs))
        self._count()
        self.children = [*parts, controls.row(self.take)]

    def _pick(self, name: str) -> ipywidgets.RadioButtons:
        options = [(words.KEEP_MINE, "mine"), (words.TAKE_THEIRS, "theirs")]
        pick = ipywidgets.RadioButtons(options=options, value=None, description=name)
        pick.style.description_width = "10.5em"
        pick.layout.width = "auto"
        pick.observe(lambda change: self._picked(name, change["new"]), "value")
        return pick

    def _picked(self, name: str, side: Literal["mine", "theirs"] | None) -> None:
        if side is not None:
            self.state.choose(name, side)

    def _all(self, side: str) -> None:
        for pick in self.picks.values():
            pick.value = side

    def _count(self) -> None:
        """Nothing can be taken until everything is chosen."""
        left = self.state.left
        self.take.disabled = left > 0
        self.take.tooltip = words.still_to_choose(left) if left else words.TAKE_CHANGES_HINT

    def _merge(self) -> None:
        other = self.state.other
        merged = self.state.merge(prefix=self._prefix())
        said = merge_lines(merged, other=other.name if other is not None else "", done=True)
        self.line.done(" ".join(said))

    def _take_back(self) -> None:
        self.state.take_back()
        self.line.done(words.TAKEN_BACK)
