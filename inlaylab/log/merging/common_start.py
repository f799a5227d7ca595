"""
Where two logs were last one: both keep their history, and its common start is the ancestor of both.

A log's past is its rows and its changes. Each change has a mark, a hash over it and all changes before it, so that two
logs with the same mark were one log up to there. A merge keeps the mark up to which it took the other log in, so that a
second merge begins from the first.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from inlaylab.log.history import Change
from inlaylab.log.records import KEYS, Row

Rows = dict[str, dict[int, Row]]
"""Table to id to columns; deleted rows are there, too."""

Names = Mapping[str, Mapping[int, tuple[str, str]]]

POINTS = {"grooves": ("bit",), "cuts": ("bit", "pair", "coupon"), "readings": ("cut",), "forecasts": ("cut",)}
"""Tables whose rows name rows of other tables, and in which columns."""


@dataclass(frozen=True, kw_only=True)
class Past:
    """
    A log's rows and all that was done to them.

    Parameters
    ----------
    rows : Rows
        As they are now.
    changes : tuple of Change
        Oldest first.
    marks : tuple of str
        One for each number of changes from none to all.
    """

    rows: Rows
    changes: tuple[Change, ...]
    marks: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Merged:
    """
    What a merge remembers of the log that it took in.

    Parameters
    ----------
    mark : str
        The other log's mark then.
    rows : dict
        Table to id there to id here, of every row that both have.
    names : dict
        Table to id there to (name there, name here), where the two differ.
    """

    mark: str
    rows: Mapping[str, Mapping[int, int]]
    names: Names

    def text(self) -> str:
        """Return it as it is kept with the change."""
        return json.dumps({"mark": self.mark, "rows": self.rows, "names": self.names}, ensure_ascii=False)


@dataclass(frozen=True, kw_only=True)
class Start:
    """
    Where two logs were one, and where each row of it is in both.

    Parameters
    ----------
    rows : Rows
        What both held.
    theirs : Rows
        The other log's rows now, under the names that this log gave them.
    mine_of, theirs_of : dict
        (table, id in ``rows``) to the id in this log and in the other; a row that a log never took is not in it.
    at : str
        When, ISO 8601.
    news : bool
        Whether the other log has changed since; False also where the other log has taken this one in.
    names : dict
        Table to the other log's id to (its name there, its name here), where an earlier merge made them differ.
    """

    rows: Rows
    theirs: Rows
    mine_of: Mapping[tuple[str, int], int]
    theirs_of: Mapping[tuple[str, int], int]
    at: str
    news: bool
    names: Names = field(default_factory=dict)


def past_of(rows: Rows, changes: Sequence[Change]) -> Past:
    """
    Make a log's past of what `Work.past` reads.

    Parameters
    ----------
    rows : Rows
        As they are now.
    changes : sequence of Change
        Newest first.

    Returns
    -------
    past : Past
    """
    oldest_first = tuple(reversed(changes))
    marks = [""]
    for change in oldest_first:
        told = [[each.table, each.row, each.before_row, each.after_row] for each in change.rows]
        said = json.dumps([change.at, change.by, change.what, change.undoes, told], sort_keys=True)
        marks.append(hashlib.sha256((marks[-1] + said).encode("utf-8", "surrogatepass")).hexdigest())
    return Past(rows=rows, changes=oldest_first, marks=tuple(marks))


def rows_after(past: Past, count: int) -> Rows:
    """
    Return the rows as they were after the first changes.

    Parameters
    ----------
    past : Past
        A log's.
    count : int
        How many changes.

    Returns
    -------
    rows : Rows

    Notes
    -----
    Goes back from now, change by change. A new name went to every row that names the record (SQLite's ON UPDATE
    CASCADE, which the history does not tell row by row), so an old name goes back to them all.
    """
    rows: Rows = {table: dict(each) for table, each in past.rows.items()}
    for change in reversed(past.changes[count:]):
        for each in reversed(change.rows):
            if each.before_row is None:
                rows[each.table].pop(each.row, None)
                continue
            key = KEYS.get(each.table)
            if key and each.before_row[key] != each.after_row[key]:
                _rename(rows, key, each.after_row[key], each.before_row[key])
            rows[each.table][each.row] = each.before_row
    return rows


def _rename(rows: Rows, key: str, old: str, new: str) -> None:
    """Give rows that name a bit, pair, coupon or cut its other name."""
    for table, keys in POINTS.items():
        if key in keys:
            for number, row in rows[table].items():
                if row[key] == old:
                    rows[table][number] = {**row, key: new}


def common_start(mine: Past, theirs: Past) -> Start | None:
    """
    Find where two logs were last one.

    Parameters
    ----------
    mine, theirs : Past
        This log's and the other's.

    Returns
    -------
    start : Start or None
        None where they never were one.
    """
    found = max(_meetings(mine, theirs), key=lambda each: each[0] + each[1], default=None)
    if found is None:
        return None
    here, there, merged, by_me = found
    newest = mine.changes[here - 1] if by_me else theirs.changes[there - 1]
    rows = rows_after(mine, here) if merged is None or not by_me else rows_after(theirs, there)
    both = {(table, number): number for table, each in rows.items() for number in each}
    if merged is None:
        news = there < len(theirs.changes)
        return Start(rows=rows, theirs=theirs.rows, mine_of=both, theirs_of=both, at=newest.at, news=news)
    held = mine.rows if by_me else theirs.rows
    taken = {
        (table, number): to
        for table, each in merged.rows.items()
        for number, to in each.items()
        if (table, number) in both and to in held[table]
    }
    if by_me:
        return Start(
            rows=_under(merged.names, rows),
            theirs=_under(merged.names, theirs.rows),
            mine_of=taken,
            theirs_of=both,
            at=newest.at,
            news=there < len(theirs.changes),
            names=merged.names,
        )
    names = {t: {merged.rows[t][n]: (b, a) for n, (a, b) in each.items()} for t, each in merged.names.items()}
    return Start(
        rows=rows,
        theirs=_under(names, theirs.rows),
        mine_of=both,
        theirs_of=taken,
        at=newest.at,
        news=False,
        names=names,
    )


def _meetings(mine: Past, theirs: Past) -> Iterator[tuple[int, int, Merged | None, bool]]:
    """Yield every moment at which both were one: changes here and there, the merge, whether it was made here."""
    fork = 0
    for a, b in zip(mine.marks[1:], theirs.marks[1:], strict=False):
        if a != b:
            break
        fork += 1
    if fork:
        yield fork, fork, None, True
    for one, other, by_me in ((mine, theirs, True), (theirs, mine, False)):
        known = {mark: count for count, mark in enumerate(other.marks)}
        for count, change in enumerate(one.changes, start=1):
            merged = None if change.taken_back or not change.merged else _read(change.merged)
            if merged is not None and known.get(merged.mark):
                there = known[merged.mark]
                yield (count, there, merged, True) if by_me else (there, count, merged, False)


def _read(text: str) -> Merged | None:
    """Read what a merge remembers; what a damaged or strange log holds there is passed over."""
    try:
        given = json.loads(text)
        rows = {t: {int(a): int(b) for a, b in each.items()} for t, each in given["rows"].items()}
        names = {t: {int(n): (str(a), str(b)) for n, (a, b) in each.items()} for t, each in given["names"].items()}
        known = all(number in rows[table] for table, each in names.items() for number in each)
        if known and all(len(set(each.values())) == len(each) for each in rows.values()):
            return Merged(mark=str(given["mark"]), rows=rows, names=names)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        pass
    return None


def _under(names: Names, rows: Rows) -> Rows:
    """Give rows the names that another log has given them, where they still have the ones it knew."""
    under: Rows = {table: dict(each) for table, each in rows.items()}
    for table, each in names.items():
        key = KEYS.get(table)
        taken = {row[key] for row in under[table].values()} if key else set()
        for number, (old, new) in each.items():
            row = under.get(table, {}).get(number)
            if key and row is not None and row[key] == old and new not in taken:
                under[table][number] = {**row, key: new}
                if table == "coupons":
                    stations = [{**each, "coupon": new} for each in json.loads(row["stations"])]
                    under[table][number]["stations"] = json.dumps(stations, ensure_ascii=False)
                _rename(under, key, old, new)
                taken = (taken - {old}) | {new}
    return under
