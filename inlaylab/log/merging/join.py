"""
Both sides' changes of two logs that were one: taken into this log in one change, which undo takes back.

Only what both changed in different ways is asked; until all of that is chosen nothing is written.
"""

from __future__ import annotations

import tempfile
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from inlaylab.errors import LogError
from inlaylab.log.change import Work, name_of
from inlaylab.log.file.opening import open_log
from inlaylab.log.file.rescue import copy_log
from inlaylab.log.kept_pictures import copy_photo, copy_pictures
from inlaylab.log.merging.common_start import Start, common_start, past_of
from inlaylab.log.merging.entities import Entity, Key, Side
from inlaylab.log.merging.three_way import Outcome, compare, settle
from inlaylab.log.merging.written import first_word, write
from inlaylab.log.records import RECORDS, Record, to_record
from inlaylab.log.store import Log


@dataclass(frozen=True, kw_only=True)
class Conflict:
    """
    A record that both logs changed in different ways since they were one.

    Parameters
    ----------
    name : str
        What to call it, as "cut k1"; no other conflict has this name.
    table : str
        Its table.
    before, mine, theirs : record or None
        As both had it, and as each has it now; None where it is deleted or was not there.
    needed_by : dict
        Where it is deleted in one log: table to how many rows the other log added to it or changed.
    """

    name: str
    table: str
    before: Record | None
    mine: Record | None
    theirs: Record | None
    needed_by: Mapping[str, int]


@dataclass(frozen=True, kw_only=True)
class Joined:
    """
    What the other log brings, or has brought.

    Parameters
    ----------
    at : str
        When both logs were last one, ISO 8601, UTC.
    conflicts : tuple of Conflict
        What has to be chosen; none once it is merged.
    added, corrected, deleted : dict
        Table to how many of its rows this log gets, sees corrected, and loses; without those that have to be chosen.
    notes : tuple of str
        What the maker should know.
    seen : tuple of (str, str)
        The marks of both logs, so that `join` can tell whether either has changed since.
    """

    at: str
    conflicts: tuple[Conflict, ...]
    added: Mapping[str, int]
    corrected: Mapping[str, int]
    deleted: Mapping[str, int]
    notes: tuple[str, ...]
    seen: tuple[str, str]


class MergeConflict(LogError):  # noqa: N818 - the word says it
    """
    Both logs changed the same records in different ways, and it was not chosen whose to keep; nothing was written.

    Parameters
    ----------
    conflicts : tuple of Conflict
        All of them.
    left : tuple of str
        Names of those that nothing was chosen for.
    """

    def __init__(self, conflicts: tuple[Conflict, ...], left: tuple[str, ...]) -> None:
        self.conflicts = conflicts
        more = f" and {len(left) - 5} more" if len(left) > 5 else ""
        what = "both logs changed these in different ways, and it was not chosen whose to keep"
        super().__init__(what, value=", ".join(left[:5]) + more, allowed="mine or theirs for each")


def look(log_path: str | Path, other_path: str | Path) -> Joined | None:
    """
    Say what a merge of two logs would bring and what has to be chosen; neither is changed.

    Parameters
    ----------
    log_path, other_path : path
        This log and the other maker's.

    Returns
    -------
    joined : Joined or None
        None where the two logs never were one.

    Raises
    ------
    LogError
        Where one of them is no log, or they are the same file.
    """
    _refuse_same(log_path, other_path)
    with _reading(log_path) as log, _reading(other_path) as other:
        pair = _Pair.of(log, other)
        return None if pair is None else pair.told(pair.outcome)


def join(
    log_path: str | Path,
    other_path: str | Path,
    *,
    choices: Mapping[str, Side] | None = None,
    prefix: str = "",
    by: str = "",
    seen: tuple[str, str] | None = None,
) -> Joined | None:
    """
    Take what the other log has changed since both were one into this log: all of it in one change, or nothing.

    Parameters
    ----------
    log_path, other_path : path
        This log, and the other maker's, which is only read.
    choices : mapping, optional
        Name of each conflict (`look`) to "mine" or "theirs".
    prefix : str
        Put before the other log's name of something that both added under one name; the first word of its maker's
        name, or of its file's, if left out.
    by : str
        Who merges, for the history.
    seen : tuple of (str, str), optional
        Of `look`: refuse if either log has changed since.

    Returns
    -------
    joined : Joined or None
        None where the two logs never were one; then nothing was done.

    Raises
    ------
    MergeConflict
        Where something that both changed has no choice.
    LogError
        Where a log cannot be opened or written, or what would come of it does not hold together.
    """
    other_path = Path(other_path)
    _refuse_same(log_path, other_path)
    with (
        _reading(other_path) as other,
        Log.open(log_path) as log,
        log.change(f"merged {other_path.name}", by=by) as work,
    ):
        pair = _Pair.of(work, other)
        if pair is None:
            return None
        if seen is not None and seen != pair.seen:
            raise LogError("a log has changed since both were compared", allowed="comparing them again")
        outcome = settle(pair.outcome, pair.chosen(choices or {}))
        word = first_word(prefix, pair.start.theirs, other_path)
        home, there = log.path.resolve().parent, other_path.resolve().parent
        photo = partial(copy_photo, source=there, target=home)
        notes = write(work, outcome, pair.start, prefix=word, mark=pair.seen[1], photo=photo)
        copy_pictures(log.shop().cuts, there, home)
        return pair.told(outcome, notes=(*notes, *_dropped(outcome)))


def _refuse_same(log_path: str | Path, other_path: str | Path) -> None:
    if Path(log_path).exists() and Path(other_path).exists() and Path(log_path).samefile(other_path):
        raise LogError("both are the same log", value=str(other_path), allowed="another maker's")


@contextmanager
def _reading(path: str | Path) -> Iterator[Work]:
    """Open a copy of a log: the log itself is not brought up to a newer schema, nor kept from who writes to it."""
    with tempfile.TemporaryDirectory() as folder:
        copy = copy_log(path, Path(folder) / "log.inlay")
        with closing(open_log(copy)[0]) as connection:
            yield Work(connection, what="", by="")


@dataclass(frozen=True, kw_only=True)
class _Pair:
    """Both logs, read at one moment each and compared."""

    start: Start
    outcome: Outcome
    names: Mapping[Key, str]
    seen: tuple[str, str]

    @classmethod
    def of(cls, log: Work, other: Work) -> _Pair | None:
        mine, theirs = past_of(*log.past()), past_of(*other.past())
        start = common_start(mine, theirs)
        if start is None:
            return None
        outcome = compare(start, mine.rows)
        return cls(start=start, outcome=outcome, names=_named(outcome), seen=(mine.marks[-1], theirs.marks[-1]))

    def chosen(self, choices: Mapping[str, Side]) -> dict[Key, Side]:
        """Give the choice for every conflict, or refuse."""
        for name, side in choices.items():
            if name not in self.names.values() or side not in ("mine", "theirs"):
                allowed = "; ".join(self.names.values()) or "nothing: no record was changed by both"
                raise LogError("this was not changed by both logs in different ways", value=name, allowed=allowed)
        left = tuple(name for name in self.names.values() if name not in choices)
        if left:
            raise MergeConflict(self.conflicts(), left)
        return {key: choices[name] for key, name in self.names.items()}

    def conflicts(self) -> tuple[Conflict, ...]:
        return tuple(self._conflict(key, name) for key, name in self.names.items())

    def _conflict(self, key: Key, name: str) -> Conflict:
        entity, table = self.outcome.entities[key], key[0]
        before, mine, theirs = (
            None if version is None else to_record(table, version.row)
            for version in (entity.start, entity.mine, entity.theirs)
        )
        needed = Counter(row[0] for row in self.outcome.asked[key])
        return Conflict(name=name, table=table, before=before, mine=mine, theirs=theirs, needed_by=dict(needed))

    def told(self, outcome: Outcome, notes: tuple[str, ...] = ()) -> Joined:
        counts = {word: dict.fromkeys(RECORDS, 0) for word in ("added", "corrected", "deleted")}
        for key, entity in outcome.entities.items():
            open_ = outcome.asked and not {key, *_named_by(entity)}.isdisjoint(outcome.asked)
            word = None if open_ else _what_is_done(outcome, key, entity)
            if word:
                counts[word][key[0]] += 1
        conflicts = self.conflicts() if outcome.asked else ()
        return Joined(at=self.start.at, conflicts=conflicts, notes=notes, seen=self.seen, **counts)


def _named_by(entity: Entity) -> Iterator[Key]:
    for version in (entity.mine, entity.theirs):
        yield from version.refs.values() if version is not None else ()


def _what_is_done(outcome: Outcome, key: Key, entity: Entity) -> str | None:
    becomes = outcome.version(key)
    if becomes is entity.mine:
        return None
    if becomes is not None and entity.mine is not None and becomes.whole == entity.mine.whole:
        return None
    if becomes is None:
        return "deleted"
    return "added" if entity.mine is None else "corrected"


def _named(outcome: Outcome) -> dict[Key, str]:
    """Give each row that is asked about a name that no other has."""
    names: dict[Key, str] = {}
    counts: Counter[str] = Counter()
    for key in sorted(outcome.asked, key=list(outcome.entities).index):
        entity = outcome.entities[key]
        version = entity.mine or entity.theirs or entity.start
        name = name_of(to_record(key[0], version.row)) if version is not None else key[0]
        if version is not None and key[0] == "readings":
            name = name.replace(version.row["kind"], version.row["kind"].replace("_", " "), 1)
        counts[name] += 1
        names[key] = name if counts[name] == 1 else f"{name} ({counts[name]})"
    return names


def _dropped(outcome: Outcome) -> Iterator[str]:
    for key in outcome.dropped:
        version = outcome.entities[key].mine or outcome.entities[key].theirs
        if version is not None:
            cut = version.row["cut"]
            yield f"the forecast of {cut} is left out: the cut is no longer set up as it was when that was made"
