"""Two logs compared with what both were: what one side did is taken, what both did differently is asked."""

from __future__ import annotations

import json
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from inlaylab.errors import LogError
from inlaylab.log.change import FORECAST_FROM, name_of
from inlaylab.log.merging.common_start import Rows, Start
from inlaylab.log.merging.entities import Entity, Key, Side, Version, entities_of
from inlaylab.log.records import to_record


@dataclass(kw_only=True)
class Outcome:
    """
    What becomes of each row.

    Parameters
    ----------
    entities : dict
        By key.
    sides : dict
        Whose version each gets.
    asked : dict
        Key of each row that both changed differently, and the rows that need it where one log has deleted it.
    dropped : list of Key
        Forecasts that are left out because their cut is no longer what they were of.
    chosen : bool
        Whether something was asked and answered.
    """

    entities: dict[Key, Entity]
    sides: dict[Key, Side]
    asked: dict[Key, set[Key]] = field(default_factory=dict)
    dropped: list[Key] = field(default_factory=list)
    chosen: bool = False

    def version(self, key: Key) -> Version | None:
        """Return what a row becomes; None: it is deleted or not taken."""
        return None if key in self.dropped else self.entities[key].of(self.sides[key])


def compare(start: Start, mine: Rows) -> Outcome:
    """
    Decide row by row what can be decided without asking.

    Parameters
    ----------
    start : Start
        Where both were one, with the other log's rows now.
    mine : Rows
        This log's rows now.

    Returns
    -------
    outcome : Outcome
        Rows in ``asked`` have this log's version until `settle` is told what was chosen.
    """
    outcome = Outcome(entities=entities_of(start, mine), sides={})
    for key, entity in outcome.entities.items():
        side = _decided(entity)
        outcome.sides[key] = side or "mine"
        if side is None:
            _ask(outcome, key)
    for key, ref in list(_lacking(outcome, but=set(outcome.asked))):  # taken away by one, needed by what the other did
        outcome.asked.setdefault(ref, set()).add(key)
    return outcome


def settle(outcome: Outcome, chosen: Mapping[Key, Side]) -> Outcome:
    """
    Give every row that was asked about the version that was chosen, with all that hangs on it.

    Parameters
    ----------
    outcome : Outcome
        Of `compare`; left as it is.
    chosen : mapping
        Key of each row in ``asked`` to "mine" or "theirs".

    Returns
    -------
    outcome : Outcome
        Nothing is asked any more.

    Raises
    ------
    LogError
        Where one choice needs a row that another choice takes away.
    """
    settled = Outcome(entities=outcome.entities, sides={**outcome.sides, **chosen}, chosen=bool(chosen))
    kept = {key for key in chosen if settled.version(key) is not None}
    gone = set(chosen) - kept
    for key in chosen:
        _take_with(settled, key)
    turned: set[Key] = set()
    while found := list(_lacking(settled)):
        for key, ref in found:
            if ref not in _lacks(settled, key):
                continue
            fixed = ref in kept or ref in gone
            if key in kept and not fixed:  # what a chosen row needs comes with it
                settled.sides[ref] = settled.sides[key]
                kept.add(ref)
                _take_with(settled, ref)
            elif fixed and key not in kept | turned:  # what needs a row, or its station, that goes is not taken
                turned.add(key)
                settled.sides[key] = _other(settled.sides[key])
                if settled.version(key) is None:
                    gone.add(key)
            else:
                what = f"a choice takes away what {_told(settled, key)} needs"
                raise LogError(what, value=_told(settled, ref), allowed="choosing both from the same log")
    settled.dropped += list(_of_another_cut(settled))
    return settled


def _decided(entity: Entity) -> Side | None:
    for part in ("whole", "content"):
        versions = (entity.start, entity.mine, entity.theirs)
        start, mine, theirs = (None if each is None else getattr(each, part) for each in versions)
        if theirs in (mine, start):
            return "mine"
        if mine == start:
            return "theirs"
    return None


def _other(side: Side) -> Side:
    return "theirs" if side == "mine" else "mine"


def _ask(outcome: Outcome, key: Key) -> None:
    """Ask about a row, or about its whole cut where that was deleted on one side and this row changed on the other."""
    entity = outcome.entities[key]
    if entity.mine is None or entity.theirs is None:
        there = entity.mine or entity.theirs
        cut = there.refs.get("cut") if there is not None else None
        if cut is not None and outcome.entities[cut].of("mine" if entity.mine is None else "theirs") is None:
            outcome.asked.setdefault(cut, set()).add(key)
            return
    outcome.asked.setdefault(key, set())


def _lacking(outcome: Outcome, but: Container[Key] = ()) -> Iterator[tuple[Key, Key]]:
    """Yield each row that stays and a row that it lacks."""
    for key in outcome.entities:
        if key not in but:
            yield from ((key, ref) for ref in _lacks(outcome, key))


def _lacks(outcome: Outcome, key: Key) -> Iterator[Key]:
    """Yield the rows that a row that stays names but that do not, or whose change takes its station away."""
    version = outcome.version(key)
    if version is None:
        return
    missing = [ref for ref in version.refs.values() if outcome.version(ref) is None]
    yield from missing
    if key[0] != "readings" or missing or not version.row["station"]:
        return
    cut = version.refs["cut"]
    now, then = outcome.version(cut), outcome.entities[cut].of(outcome.sides[key])
    coupon = now.refs.get("coupon") if now is not None else None
    there = outcome.version(coupon) if coupon is not None else None
    if coupon is not None and there is None:
        return  # the cut lacks its coupon, which is told of the cut
    kind = _stations(there.row["stations"]).get(version.row["station"]) if there is not None else None
    if kind is None or (version.row["kind"] == "wedge_stop" and kind != "wedge"):
        same = coupon is not None and then is not None and then.refs.get("coupon") == coupon
        yield coupon if coupon is not None and same else cut


@lru_cache(maxsize=1024)
def _stations(text: str) -> Mapping[str, str]:
    """Stations of a coupon as it is kept, with the kind of each."""
    return {each["station"]: each["kind"] for each in json.loads(text)}


def _take_with(outcome: Outcome, cut: Key) -> None:
    """Let the readings and the forecast of a cut that is deleted in one log go the way of the cut."""
    entity = outcome.entities[cut]
    if cut[0] != "cuts" or (entity.mine is None) == (entity.theirs is None):
        return
    gone: Side = "mine" if entity.mine is None else "theirs"
    for key, each in outcome.entities.items():
        hanging = each.of(_other(gone))
        if hanging is not None and hanging.refs.get("cut") == cut and each.of(gone) is None:
            outcome.sides[key] = outcome.sides[cut]


def _of_another_cut(outcome: Outcome) -> Iterator[Key]:
    """Yield forecasts whose cut is no longer programmed as it was when they were made."""
    for key in outcome.entities:
        version = outcome.version(key)
        if key[0] == "forecasts" and version is not None:
            cut = version.refs["cut"]
            then, now = outcome.entities[cut].of(outcome.sides[key]), outcome.version(cut)
            if then is not None and now is not None and _programmed(then) != _programmed(now):
                yield key


def _programmed(version: Version) -> list[object]:
    return [version.refs.get(name) or version.row[name] for name in FORECAST_FROM]


def _told(outcome: Outcome, key: Key) -> str:
    entity = outcome.entities[key]
    version = entity.mine or entity.theirs or entity.start
    return key[0] if version is None else name_of(to_record(key[0], version.row))
