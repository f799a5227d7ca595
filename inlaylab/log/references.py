"""Names in tables: each points to a record of the folder or of the log, and stands for one thing only."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from inlaylab.bench import fields
from inlaylab.bench.coupons import Coupon, Station
from inlaylab.bench.cuts import Cut
from inlaylab.bench.habits import Habits
from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.errors import RecordError, TableError

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

_POINTS = {"grooves": ("bit",), "cuts": ("bit", "pair", "coupon"), "readings": ("cut",), "forecasts": ("cut",)}
"""Tables whose records point to others, and by which fields."""

NOT_CONTENT = ("typed", "unit", "origin")
"""Fields in which two records may differ and still say the same."""


@dataclass(kw_only=True)
class Placed:
    """
    What a folder holds, each record with its place in the tables.

    Parameters
    ----------
    rows : dict
        Table to list of (row number, record); coupons are whole, placed at their first row.
    habits : Habits or None
        The folder's own habits, where it states them.
    notes : list of str
        What was kept though inlaylab has no use for it.
    """

    rows: dict[str, list[tuple[int, Any]]] = field(default_factory=dict)
    habits: Habits | None = None
    notes: list[str] = field(default_factory=list)

    def records(self, table: str) -> list[Any]:
        """Return the records of one table."""
        return [record for _, record in self.rows.get(table, [])]


def whole_coupons(rows: list[tuple[int, Station]]) -> list[tuple[int, Coupon]]:
    """
    Gather stations into coupons.

    Parameters
    ----------
    rows : list of (int, Station)
        Row number and station, in any order.

    Returns
    -------
    rows : list of (int, Coupon)
        Each coupon at the row of its first station.

    Raises
    ------
    TableError
        If a station stands twice on one coupon.
    """
    groups: dict[str, list[tuple[int, Station]]] = {}
    for row, station in rows:
        group = groups.setdefault(station.coupon, [])
        if any(other.station == station.station for _, other in group):
            raise TableError(
                "a station stands twice", value=station.station, file="coupons.csv", row=row, column="station"
            )
        group.append((row, station))
    made = []
    for name, group in groups.items():
        try:
            made.append((group[0][0], Coupon(coupon=name, stations=tuple(station for _, station in group))))
        except RecordError as fault:
            raise TableError(
                fault.what,
                value=fault.value,
                file="coupons.csv",
                row=group[0][0],
                column="coupon",
                allowed=fault.allowed,
            ) from None
    return made


def refuse_twice(rows: Sequence[tuple[int, object]], file: str, key: str) -> None:
    """
    Refuse a name that stands twice in a table.

    Parameters
    ----------
    rows : list of (int, record)
        Row number and record.
    file, key : str
        The table's file and the column of names.

    Raises
    ------
    TableError
        Naming both rows.
    """
    seen: dict[str, int] = {}
    for row, record in rows:
        name = getattr(record, key)
        if name in seen:
            what = f"this {key} stands twice, in row {seen[name]} too,"
            raise TableError(what, value=name, file=file, row=row, column=key, allowed="each name once")
        seen[name] = row


def follow(placed: Placed, known: Shop) -> None:
    """
    Follow every name of a folder to the record it points to.

    Parameters
    ----------
    placed : Placed
        What the folder holds.
    known : Shop
        What names may point to besides.

    Raises
    ------
    TableError
        Naming file, row and column of the first that points nowhere.
    """
    names = {
        key: {getattr(r, key): r for r in (*getattr(known, table), *placed.records(table))}
        for table, key in (("bits", "bit"), ("pairs", "pair"), ("coupons", "coupon"), ("cuts", "cut"))
    }
    for table, keys in _POINTS.items():
        file = f"{table}.json" if table == "forecasts" else f"{table}.csv"
        for row, record in placed.rows.get(table, []):
            for key in keys:
                name = getattr(record, key)
                if name is not None and name not in names[key]:
                    _points_nowhere(file, row, key, name, names[key])
    for row, reading in placed.rows.get("readings", []):
        if reading.station is not None:
            check_station(reading, names["cut"][reading.cut], names["coupon"], file="readings.csv", row=row)


def _points_nowhere(file: str, row: int, key: str, name: str, there: Iterable[str]) -> None:
    allowed = ", ".join(list(there)[:20]) or f"a {key} of {key}s.csv or of the log, which hold none"
    raise TableError(f"there is no such {key}", value=name, file=file, row=row, column=key, allowed=allowed)


def check_station(
    reading: Reading, cut: Cut, coupons: Mapping[str, Coupon], *, file: str = "", row: int | None = None
) -> None:
    """
    Refuse a reading whose station is not on its cut's coupon.

    Parameters
    ----------
    reading : Reading
        Read at a station.
    cut : Cut
        Its cut.
    coupons : mapping
        Coupons by name.
    file, row : str, int
        Place of the reading, for messages.

    Raises
    ------
    TableError
        If the cut has no coupon, the coupon no such station, or the station is of the wrong kind.
    """
    coupon = coupons.get(cut.coupon or "")
    if coupon is None:
        what = f"cut {cut.cut} has no coupon, so no station"
        raise TableError(
            what, value=reading.station, file=file, row=row, column="station", allowed="a coupon for the cut"
        )
    station = next((s for s in coupon.stations if s.station == reading.station), None)
    if station is None:
        allowed = ", ".join(s.station for s in coupon.stations[:20])
        what = f"coupon {coupon.coupon} has no such station"
        raise TableError(what, value=reading.station, file=file, row=row, column="station", allowed=allowed)
    if reading.kind == "wedge_stop" and station.kind != "wedge":
        allowed = ", ".join(s.station for s in coupon.stations if s.kind == "wedge") or "a wedge"
        what = "a wedge_stop is read on a wedge, not on a bar"
        raise TableError(what, value=reading.station, file=file, row=row, column="station", allowed=allowed)


def same_content(one: DataclassInstance, other: DataclassInstance) -> str | None:
    """
    Compare two records apart from how their lengths were typed, where they came from, and a layout only one has.

    Parameters
    ----------
    one, other : records
        Two records of one class.

    Returns
    -------
    field : str or None
        The first field that differs; None where they say the same.
    """
    for name, value in fields.as_values(one).items():
        theirs = getattr(other, name)
        if name in NOT_CONTENT or (name == "layout" and not (value and theirs)):
            continue
        if name == "stations":
            mine = {s.station: s for s in value}
            others = {s.station: s for s in theirs}
            if mine.keys() != others.keys() or any(same_content(s, others[n]) for n, s in mine.items()):
                return "coupon"
        elif value != theirs:
            return name
    return None


def new_rows(placed: Placed, known: Shop, table: str) -> list[tuple[int, Any]]:
    """
    Return the named records of a folder that are not in a shop yet.

    Parameters
    ----------
    placed : Placed
        What the folder holds.
    known : Shop
        What is there already.
    table : {"bits", "pairs", "coupons", "cuts"}
        Which table.

    Returns
    -------
    rows : list of (int, record)
        Row number and record.

    Raises
    ------
    TableError
        If a name is taken there by a record that says something else.
    """
    key = table[:-1]
    there = {getattr(record, key): record for record in getattr(known, table)}
    new = []
    for row, record in placed.rows.get(table, []):
        old = there.get(getattr(record, key))
        if old is None:
            new.append((row, record))
            continue
        differs = same_content(record, old)
        if differs:
            what = f"{key} {getattr(old, key)} is in the log already and says something else"
            mine, theirs = getattr(record, differs), getattr(old, differs)
            allowed = f"the log's {differs} ({theirs}), or another name for the {key}"
            raise TableError(what, value=mine, file=f"{table}.csv", row=row, column=differs, allowed=allowed)
    return new


def new_layouts(placed: Placed, known: Shop) -> list[tuple[Coupon, Coupon]]:
    """
    Find coupons of a log that a folder brings a layout for.

    Parameters
    ----------
    placed : Placed
        What the folder holds.
    known : Shop
        What is in the log.

    Returns
    -------
    coupons : list of (Coupon, Coupon)
        Each as it is in the log, and with its layout.
    """
    there = {coupon.coupon: coupon for coupon in known.coupons if not coupon.layout}
    brought = {coupon.coupon: coupon for coupon in placed.records("coupons") if coupon.layout}
    return [(old, replace(old, layout=brought[name].layout)) for name, old in there.items() if name in brought]


def check_shop(shop: Shop) -> None:
    """
    Refuse a shop in which a name points nowhere.

    Parameters
    ----------
    shop : Shop
        Everything that a log would hold.

    Raises
    ------
    RecordError
        Naming the record, the name and what there is.
    """
    there = {
        "bit": {record.bit for record in shop.bits},
        "pair": {record.pair for record in shop.pairs},
        "coupon": {record.coupon for record in shop.coupons},
        "cut": {record.cut for record in shop.cuts},
    }
    for table, keys in _POINTS.items():
        for record in getattr(shop, table):
            for key in keys:
                name = getattr(record, key)
                if name is not None and name not in there[key]:
                    owner = getattr(record, "cut", None) if key != "cut" else None
                    where = f"cut {owner}" if owner else f"a {type(record).__name__.lower()}"
                    allowed = ", ".join(sorted(there[key])[:20]) or f"a {key} that is in the log"
                    what = f"this {key} is needed and would not be there"
                    raise RecordError(what, field=key, value=name, where=where, allowed=allowed)
    cuts, coupons = {cut.cut: cut for cut in shop.cuts}, {coupon.coupon: coupon for coupon in shop.coupons}
    for reading in shop.readings:
        if reading.station is not None:
            check_station(reading, cuts[reading.cut], coupons)
