"""What a merge comes to, written into this log row by row, under names that are free here."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from itertools import chain, count
from pathlib import Path

from inlaylab.bench.coupons import Coupon
from inlaylab.bench.cuts import Cut
from inlaylab.bench.habits import Habits
from inlaylab.errors import LogError
from inlaylab.log.change import Work
from inlaylab.log.merging.common_start import Merged, Rows, Start
from inlaylab.log.merging.entities import TABLES, Key, Version
from inlaylab.log.merging.three_way import Outcome
from inlaylab.log.records import KEYS, Row, to_record, to_row

LONGEST_PREFIX = 40


def first_word(given: str, theirs: Rows, other: Path) -> str:
    """
    Give the word that is put before the other log's names where they are taken here.

    Parameters
    ----------
    given : str
        By the maker; blank: the first word of the other maker's name, or of the file's.
    theirs : Rows
        The other log's rows.
    other : Path
        Its file.

    Returns
    -------
    word : str

    Raises
    ------
    LogError
        Where it is too long, or cannot be printed.
    """
    maker = " ".join(row.get("maker") or "" for row in theirs["habits"].values() if not row["deleted"])
    word = given.strip() or next(iter(maker.split() or other.stem.split()), "other")[:LONGEST_PREFIX]
    if len(word) > LONGEST_PREFIX or not word.isprintable():
        allowed = f"a word of up to {LONGEST_PREFIX} characters"
        raise LogError("the prefix for the other log's names", value=word, allowed=allowed)
    return word


def write(
    work: Work, outcome: Outcome, start: Start, *, prefix: str, mark: str, photo: Callable[[str], str]
) -> tuple[str, ...]:
    """
    Write everything that becomes of the rows, and how far the other log was taken in.

    Parameters
    ----------
    work : Work
        The change of this log.
    outcome : Outcome
        Of `settle`.
    start : Start
        Where both were one, with the other log's rows.
    prefix : str
        For names that are taken here.
    mark : str
        The other log's mark.
    photo : callable
        Brings a photo of the other log here and gives the path that it has here.

    Returns
    -------
    notes : tuple of str
        What got another name.
    """
    writer = _Writer(work, outcome, start, prefix=prefix, photo=photo)
    for table in TABLES:
        for key in outcome.entities:
            if key[0] == table:
                writer.write(key)
    if writer.wrote or outcome.chosen or start.news:
        work.remember_merge(_merged(outcome, start, writer, mark).text())
    return tuple(writer.notes)


class _Writer:
    """Writes rows and knows what each is called here."""

    def __init__(self, work: Work, outcome: Outcome, start: Start, *, prefix: str, photo: Callable[[str], str]) -> None:
        self._work, self._outcome, self._prefix, self._photo = work, outcome, prefix, photo
        rows, _ = work.past()
        self._taken = {
            table: {row[column]: number for number, row in rows[table].items()} for table, column in KEYS.items()
        }
        self._dead = {(table, number) for table, each in rows.items() for number, row in each.items() if row["deleted"]}
        self.ids: dict[Key, int] = {}
        self.names: dict[Key, str] = {}
        self.renamed: dict[Key, tuple[str, str]] = {}
        self.notes: list[str] = []
        self.wrote = False
        self._habits = (
            _sanded_off(start.theirs["habits"].values()),
            _sanded_off(
                version.row for key in outcome.entities if key[0] == "habits" and (version := outcome.version(key))
            ),
        )
        before = _sanded_off(rows["habits"].values())
        if self._habits[1] != before:
            self.notes.append(f"sanded off, where a cut says nothing, is now {self._habits[1]:g} mm; it was {before:g}")

    def write(self, key: Key) -> None:
        """Write one row if it is not so already; what it names must be written before."""
        entity, version = self._outcome.entities[key], self._outcome.version(key)
        table, mine = key[0], entity.mine
        if entity.my_id is not None:
            self.ids[key] = entity.my_id
        if mine is not None and table in KEYS:
            self.names[key] = mine.row[KEYS[table]]
        if version is None:
            if mine is not None:
                self._put(key, {"deleted": 1})
        elif mine is None or version.whole != mine.whole:
            changes: Row = {column: self.names[ref] for column, ref in version.refs.items()}
            record = to_record(table, version.row)
            if table in KEYS:
                changes[KEYS[table]] = self._called(key, version.row[KEYS[table]])
            if isinstance(record, Coupon):
                named = tuple(replace(station, coupon=changes["coupon"]) for station in record.stations)
                record = replace(record, coupon=changes["coupon"], stations=named)
            elif isinstance(record, Cut):
                record = replace(self._cut(record, mine), **changes)
            else:
                record = replace(record, **changes)
            self._put(key, {**to_row(record), "deleted": 0})

    def _cut(self, cut: Cut, mine: Version | None) -> Cut:
        """Give a cut of the other log with what it meant there: what was sanded off, and its photo."""
        if cut.sanded_off is None and self._habits[0] != self._habits[1]:
            cut = replace(cut, sanded_off=self._habits[0])
        if mine is not None and mine.row["photo"] == cut.photo:
            return cut
        photo = self._photo(cut.photo) if cut.photo else ""
        if photo != cut.photo:
            self.notes.append(f"photo {cut.photo} of the other log is {photo} here")
        return replace(cut, photo=photo)

    def _put(self, key: Key, columns: Row) -> None:
        self.ids[key] = self._work.put(key[0], columns, self.ids.get(key))
        self.wrote = True

    def _called(self, key: Key, name: str) -> str:
        """Find the name that a row of the other log gets here; a deleted row of its name gives way to it."""
        table, taken, own = key[0], self._taken[key[0]], self.ids.get(key)
        for old in [each for each, number in taken.items() if number == own]:
            del taken[old]
        self._dead.discard((table, own or 0))
        more = (f"{self._prefix} {number} {name}" for number in count(2))
        for called in chain((name, f"{self._prefix} {name}"), more):
            holder = taken.get(called)
            if holder is None:
                break
            if own is None and (table, holder) in self._dead:
                self._dead.discard((table, holder))
                self.ids[key] = holder
                break
        taken[called] = self.ids.get(key, 0)
        self.names[key] = called
        if called != name:
            self.renamed[key] = (name, called)
            self.notes.append(f"{KEYS[table]} {name} of the other log is {called} here")
        return called


def _sanded_off(habits: Iterable[Row]) -> float:
    """Give what a shop takes off where a cut does not say it, in mm."""
    stated = [to_record("habits", row) for row in habits if not row["deleted"]]
    return float((stated[0] if stated else Habits()).sanded_off)


def _merged(outcome: Outcome, start: Start, writer: _Writer, mark: str) -> Merged:
    rows: dict[str, dict[int, int]] = {table: {} for table in TABLES}
    names = {table: dict(start.names.get(table, {})) for table in KEYS}
    for key, entity in outcome.entities.items():
        here = writer.ids.get(key)
        if entity.their_id is None or here is None:
            continue
        rows[key[0]][entity.their_id] = here
        if key in writer.renamed:
            names[key[0]][entity.their_id] = writer.renamed[key]
    known = {table: {n: each for n, each in names[table].items() if n in rows[table]} for table in names}
    return Merged(mark=mark, rows=rows, names=known)
