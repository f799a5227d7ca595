"""
One row in both logs and in what they started from.

A row is one thing through all of its names and numbers: by its id in the rows that both logs started from, or, where
both added it since, by its name or its content. What names another row is compared by the row that it names.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from inlaylab.errors import LogError
from inlaylab.log.merging.common_start import POINTS, Rows, Start
from inlaylab.log.records import KEYS, Row

Key = tuple[str, str, int]
"""Table, whose id it is ("start", "mine" or "theirs"), and the id."""
Side = Literal["mine", "theirs"]

TABLES = ("bits", "pairs", "coupons", "habits", "grooves", "cuts", "readings", "forecasts")
"""In the order in which rows name each other."""
_HOW_TYPED = ("typed", "unit", "origin")


@dataclass(frozen=True, kw_only=True)
class Version:
    """
    A row as one side has it.

    Parameters
    ----------
    row : dict
        Its columns there.
    refs : dict
        Column to the key of the row that it names.
    content, whole : str
        What it says, and that with how it was typed and where it came from; two rows that say the same are equal.
    """

    row: Row
    refs: Mapping[str, Key]
    content: str
    whole: str


@dataclass(kw_only=True)
class Entity:
    """
    One row; a version is None where it is deleted or not there.

    Parameters
    ----------
    start, mine, theirs : Version or None
        Its three versions.
    my_id, their_id : int or None
        Its id in each log, where it has one, even if it is deleted there.
    """

    start: Version | None = None
    mine: Version | None = None
    theirs: Version | None = None
    my_id: int | None = None
    their_id: int | None = None

    def of(self, side: Side) -> Version | None:
        """Return one side's version."""
        return self.mine if side == "mine" else self.theirs


def entities_of(start: Start, mine: Rows) -> dict[Key, Entity]:
    """
    Find out which rows of two logs are one.

    Parameters
    ----------
    start : Start
        Where both were one, with the other log's rows now.
    mine : Rows
        This log's rows now.

    Returns
    -------
    entities : dict
        In the order in which rows name each other.
    """
    found: dict[Key, Entity] = {}
    keys = {side: _Keys() for side in ("start", "mine", "theirs")}
    for table in TABLES:
        for number, row in start.rows[table].items():
            key = (table, "start", number)
            keys["start"].name(key, row)
            entity = found[key] = Entity(start=keys["start"].version(table, row))
            entity.my_id, entity.their_id = start.mine_of.get((table, number)), start.theirs_of.get((table, number))
        known = {entity.my_id: key for key, entity in found.items() if key[0] == table}
        for number, row in mine[table].items():
            key = known.get(number) or (table, "mine", number)
            keys["mine"].name(key, row)
            entity = found.setdefault(key, Entity(my_id=number))
            entity.mine = keys["mine"].version(table, row)
        known = {entity.their_id: key for key, entity in found.items() if key[0] == table}
        added = _Added(table, found)
        for number, row in start.theirs[table].items():
            version = keys["theirs"].version(table, row)
            known_key = known.get(number)
            if known_key is not None and _both_came_back(found[known_key], version, table):
                found[known_key].their_id = None
                known_key = None
            if known_key is None and version is not None:
                known_key = added.find(version)
            key = known_key or (table, "theirs", number)
            keys["theirs"].name(key, row)
            entity = found.setdefault(key, Entity())
            entity.theirs, entity.their_id = version, number
    return found


def _both_came_back(entity: Entity, theirs: Version | None, table: str) -> bool:
    """Tell whether a row that was deleted when both were one has come back in each with a content of its own."""
    mine = entity.mine
    if entity.start is not None or mine is None or theirs is None or table == "habits":
        return False
    return mine.content != theirs.content


class _Keys:
    """The keys of the rows of one log, by the names that its other rows use."""

    def __init__(self) -> None:
        self._by_name: dict[tuple[str, str], Key] = {}

    def name(self, key: Key, row: Row) -> None:
        column = KEYS.get(key[0])
        if column:
            self._by_name[column, row[column]] = key

    def version(self, table: str, row: Row) -> Version | None:
        if row["deleted"]:
            return None
        refs = {}
        for column in POINTS.get(table, ()):
            name = row[column]
            if name is not None:
                if (column, name) not in self._by_name:
                    raise LogError(f"row {row['id']} of {table} names a {column} that is not there", value=name)
                refs[column] = self._by_name[column, name]
        said = {name: _without_coupon(name, value) for name, value in row.items() if name not in ("id", "deleted")}
        said |= refs
        content = {name: _as_read(name, value) for name, value in said.items() if name not in _HOW_TYPED}
        return Version(row=row, refs=refs, content=_text(content), whole=_text(said))


def _text(values: object) -> str:
    return json.dumps(values, sort_keys=True, ensure_ascii=False)


def _without_coupon(name: str, value: object) -> object:
    """Take the coupon's name out of its stations and its layout: they say the same under another name."""
    if name not in ("stations", "layout") or not isinstance(value, str) or not value:
        return value
    try:
        inside = json.loads(value)
        for each in inside if name == "stations" else [inside]:
            each.pop("coupon", None)
    except (ValueError, TypeError, AttributeError, RecursionError):
        return value
    return inside


def _as_read(name: str, value: object) -> object:
    """Leave out of stations how they were typed."""
    if name != "stations" or not isinstance(value, list):
        return value
    return [{k: v for k, v in each.items() if k not in _HOW_TYPED} for each in value]


class _Added:
    """Rows of a table that this log has added since both were one, to be found by name or by content."""

    def __init__(self, table: str, found: Mapping[Key, Entity]) -> None:
        self._table = table
        self._keys: dict[object, list[Key]] = defaultdict(list)
        self._entities = found
        for key, entity in found.items():
            if key[:2] == (table, "mine") and entity.mine is not None:
                self._keys[self._sign(entity.mine)].append(key)

    def _sign(self, version: Version) -> object:
        if self._table == "habits":
            return None
        return version.refs["cut"] if self._table == "forecasts" else version.content

    def find(self, version: Version) -> Key | None:
        """Give the row that says the same, once; of a forecast the one of the same cut."""
        keys = self._keys[self._sign(version)]
        return keys.pop(0) if keys else None
