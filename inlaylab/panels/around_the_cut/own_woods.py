"""The maker's own woods: those of the log's pairs, and shrinkages that were typed, kept beside the log."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inlaylab.handbook import woods
from inlaylab.panels.around_the_cut.state import Reckoning
from inlaylab.panels.around_the_cut.woods import SAWN
from inlaylab.services.desk import desk_of, read_note, write_note

if TYPE_CHECKING:
    import traitlets

    from inlaylab.bench.cuts import Pair


class OwnWoods:
    """
    What a maker typed of woods that the kit does not list.

    Parameters
    ----------
    log : path
        The log; the list lies beside it.
    pairs : iterable of bench.cuts.Pair
        The log's pairs, whose woods are offered by name.
    """

    def __init__(self, log: str | Path, pairs: Iterable[Pair]):
        self.file = desk_of(log) / "own_woods.json"
        self._in_pairs = dict.fromkeys(wood for pair in pairs for wood in (pair.host, pair.insert))

    def names(self) -> tuple[str, ...]:
        """Give every wood to offer: the log's own first, then those with a shrinkage, then the handbook's."""
        known = (wood.common_name for wood in woods.all_woods())
        return tuple(dict.fromkeys((*self._in_pairs, *self._kept(), *known)))

    def shrinkage(self, name: str, side: str) -> str:
        """
        Give the shrinkage that was typed for a wood.

        Parameters
        ----------
        name : str
            The wood, as typed.
        side : {"tangential", "radial"}
            The direction.

        Returns
        -------
        typed : str
            Blank where none was.
        """
        sides = self._kept().get(_plain(name))
        return str(sides.get(side, "")) if isinstance(sides, dict) else ""

    def keep(self, name: str, side: str, typed: str) -> None:
        """Keep what was typed for a wood in one direction; a blank takes it off the list."""
        kept = self._kept()
        before = kept.get(_plain(name))
        sides = {**(before if isinstance(before, dict) else {}), side: typed.strip()}
        kept[_plain(name)] = {each: text for each, text in sides.items() if text}
        write_note(self.file, {each: texts for each, texts in kept.items() if texts})

    def follow(self, reckoning: Reckoning) -> None:
        """Put a wood's own shrinkage in when it is chosen, and keep what is typed."""
        for part in ("host", "insert"):
            _Part(self, reckoning, part).listen()

    def _kept(self) -> dict[str, Any]:
        return read_note(self.file)


class _Part:
    """One wood of a question: its name, how it was sawn, and its own shrinkage."""

    def __init__(self, own: OwnWoods, reckoning: Reckoning, part: str):
        self.own = own
        self.name, self.sawn, self.shrinkage = (reckoning.form[part + end] for end in ("", "_sawn", "_shrinkage"))
        self.filling = False

    def listen(self) -> None:
        self.fill()
        for entry in (self.name, self.sawn):
            entry.observe(self.fill, "value")
        self.shrinkage.observe(self.keep, "typed")

    def fill(self, change: traitlets.Bunch | None = None) -> None:
        if self.name.value and self.sawn.value:
            self.filling = True
            self.shrinkage.typed = self.own.shrinkage(self.name.value, SAWN[self.sawn.value])
            self.filling = False

    def keep(self, change: traitlets.Bunch) -> None:
        if not self.filling and self.name.value and self.sawn.value and not self.shrinkage.said:
            self.own.keep(self.name.value, SAWN[self.sawn.value], self.shrinkage.typed)


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())
