"""
The tables of a findings page into a log: all of it or nothing, each row with whose page it came from.

Another maker's ``sixty`` is another bit, even if it is sold alike: where a name is taken in the log, the page's gets a
prefix. Only a cut that the log holds already, reading for reading, is the same cut, and its bit the same bit. A pair of
the same two woods is one pair, so that a fit pools over both benches.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from inlaylab.bench.coupons import Coupon
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.bench.habits import Habits
from inlaylab.bench.shop import Shop
from inlaylab.errors import TableError
from inlaylab.log.file.making import making, sweep
from inlaylab.log.references import Placed, same_content
from inlaylab.log.store import Log
from inlaylab.log.tables.import_export import Imported, not_there
from inlaylab.log.tables.page import Carried, read_page

TABLES = ("bits", "grooves", "pairs", "coupons", "cuts", "readings", "forecasts")
LONGEST_PREFIX = 40


@dataclass(frozen=True, kw_only=True)
class _Names:
    """What the page's bits, pairs, coupons and cuts are called in the log, and which are in it already."""

    new: Mapping[str, Mapping[str, str]]
    there: Mapping[str, frozenset[str]]


def import_page(log_path: str | Path, page_path: str | Path, *, by: str = "import", prefix: str = "") -> Imported:
    """
    Add the tables that a findings page carries to a log, making the log where there is none: all or nothing.

    Parameters
    ----------
    log_path, page_path : path
        The log, and the page.
    by : str
        Who brings them, for the history.
    prefix : str
        Put before a name of the page that the log has given to something else; the first word of whose page it is, or
        ``page``, if left out.

    Returns
    -------
    imported : Imported
        What was added. A page that was taken before adds nothing.

    Raises
    ------
    TableError
        Where the page or something in it cannot be taken; then nothing is.
    LogError
        If the log cannot be opened or written.
    """
    log_path = Path(log_path)
    carried = read_page(page_path)
    placed = carried.placed()
    word = _prefix(prefix, carried)
    sweep(log_path)
    if not log_path.exists():
        with suppress(FileExistsError), making(log_path) as temporary:
            with Log.open(temporary) as log:
                imported = _take(log, carried, placed, by=by, prefix=word)
            return imported
    with Log.open(log_path) as log:
        return _take(log, carried, placed, by=by, prefix=word)


def _prefix(given: str, carried: Carried) -> str:
    word = given.strip() or next(iter(carried.whose.split()), "")[:LONGEST_PREFIX] or "page"
    if len(word) > LONGEST_PREFIX or not word.isprintable():
        allowed = f"a word of up to {LONGEST_PREFIX} characters"
        raise TableError("the prefix for the page's names", value=word, allowed=allowed)
    return word


def _take(log: Log, carried: Carried, placed: Placed, *, by: str, prefix: str) -> Imported:
    whose = carried.origin.rpartition(",")[0]
    with log.change(f"imported the findings page of {whose}", by=by) as work:
        known, stated = log.shop(), log.stated_habits()
        empty = stated is None and not (known.bits or known.pairs or known.cuts)
        mine = (placed.habits if empty else stated) or Habits()
        if _taken_before(known, carried.fingerprint):
            return Imported(
                added=dict.fromkeys(TABLES, 0),
                already={table: len(placed.records(table)) for table in TABLES},
                notes=("this page was taken before",),
            )
        names = _names(placed, known, prefix)
        added = {}
        for table in TABLES:
            records = list(_renamed(table, placed.records(table), names))
            if table == "grooves":  # of a bit that is there, with those that are not
                own = [each for each in placed.records(table) if each.bit in names.there["bit"]]
                records += not_there(own, known.grooves)
            if table == "cuts":
                records = [_with_habits(record, placed.habits or Habits(), mine) for record in records]
            for record in records:
                work.add(_from(record, carried.origin))
            added[table] = len(records)
        if placed.habits is not None and empty:
            work.set_habits(placed.habits)
    already = {table: len(placed.records(table)) - count for table, count in added.items()}
    return Imported(
        added=added, already=already, notes=(*placed.notes, *_notes(names, placed.habits or Habits(), mine))
    )


def _taken_before(known: Shop, fingerprint: str) -> bool:
    named: tuple[Any, ...] = (*known.bits, *known.pairs, *known.coupons, *known.cuts)
    return any(record.origin and record.origin.endswith(fingerprint) for record in named)


def _names(placed: Placed, known: Shop, prefix: str) -> _Names:
    """Say what each of the page's names is in the log."""
    cuts = frozenset(cut.cut for cut in placed.records("cuts") if _same_cut(cut, placed, known))
    own = {cut.cut: cut for cut in placed.records("cuts")}
    bits = frozenset(own[name].bit for name in cuts) | _same_unused_bits(placed, known)
    coupons = {coupon.coupon: coupon for coupon in known.coupons}
    same = frozenset(
        each.coupon
        for each in placed.records("coupons")
        if each.coupon in coupons and same_content(each, coupons[each.coupon]) is None
    )
    pairs = _pairs(placed.records("pairs"), known, prefix)
    new = {
        "bit": _free((bit.bit for bit in placed.records("bits")), {bit.bit for bit in known.bits}, bits, prefix),
        "coupon": _free((each.coupon for each in placed.records("coupons")), set(coupons), same, prefix),
        "cut": _free(own, {cut.cut for cut in known.cuts}, cuts, prefix),
        "pair": pairs,
    }
    there = frozenset(name for name, called in pairs.items() if any(called == pair.pair for pair in known.pairs))
    return _Names(new=new, there={"bit": bits, "coupon": same, "cut": cuts, "pair": there})


def _same_unused_bits(placed: Placed, known: Shop) -> frozenset[str]:
    """Bits of the page with which nothing was cut, and which the log describes alike."""
    used = {record.bit for table in ("cuts", "grooves") for record in placed.records(table)}
    there = {bit.bit: bit for bit in known.bits}
    unused = (bit for bit in placed.records("bits") if bit.bit not in used and bit.bit in there)
    return frozenset(bit.bit for bit in unused if same_content(bit, there[bit.bit]) is None)


def _free(names: Iterable[str], taken: set[str], same: frozenset[str], prefix: str) -> dict[str, str]:
    """Give each name, with the prefix where the log has given it to something else."""
    found: dict[str, str] = {}
    for name in names:
        called = name
        if name in taken and name not in same:
            called, number = f"{prefix} {name}", 2
            while called in taken or called in found.values():
                called, number = f"{prefix} {number} {name}", number + 1
        found[name] = called
    return found


def _pairs(pairs: list[Pair], known: Shop, prefix: str) -> dict[str, str]:
    woods = {(pair.host, pair.insert): pair.pair for pair in known.pairs}
    taken = {pair.pair for pair in known.pairs}
    others = [pair.pair for pair in pairs if (pair.host, pair.insert) not in woods]
    called = _free(others, taken, frozenset(), prefix)
    return {pair.pair: woods.get((pair.host, pair.insert)) or called[pair.pair] for pair in pairs}


def _same_cut(cut: Cut, placed: Placed, known: Shop) -> bool:
    """Tell whether the log holds this very cut: the same settings and, reading for reading, the same readings."""
    old = next((each for each in known.cuts if each.cut == cut.cut), None)
    if old is None or same_content(cut, old) is not None:
        return False
    theirs = [reading for reading in placed.records("readings") if reading.cut == cut.cut]
    return _counted(theirs) == _counted(known.readings_of(cut))


def _counted(readings: Iterable[Any]) -> Counter[tuple[object, ...]]:
    return Counter((r.kind, r.station, r.value, r.limit, r.state, r.method, r.sd) for r in readings)


def _renamed(table: str, records: list[Any], names: _Names) -> Iterable[Any]:
    """Give the records of a table that are new, under their names in the log."""
    key = {"grooves": "bit", "readings": "cut", "forecasts": "cut"}.get(table, table[:-1])
    for record in records:
        if getattr(record, key) in names.there[key]:
            continue
        changes: dict[str, Any] = {
            name: called[getattr(record, name)]
            for name, called in names.new.items()
            if getattr(record, name, None) is not None and name in record.__dataclass_fields__
        }
        if isinstance(record, Coupon):
            changes["stations"] = tuple(replace(each, coupon=changes["coupon"]) for each in record.stations)
        yield replace(record, **changes)


def _with_habits(cut: Cut, theirs: Habits, mine: Habits) -> Cut:
    """Write into a cut what its own shop's habit says, where this log's habit says something else."""
    if cut.sanded_off is None and theirs.sanded_off != mine.sanded_off:
        return replace(cut, sanded_off=theirs.sanded_off)
    return cut


def _from(record: Any, origin: str) -> Any:
    """Keep with a record whose page it came from, unless it says so already."""
    if isinstance(record, Coupon):
        stations = (each if each.origin else replace(each, origin=origin) for each in record.stations)
        return replace(record, stations=tuple(stations))
    return record if record.origin else replace(record, origin=origin)


def _notes(names: _Names, theirs: Habits, mine: Habits) -> Iterable[str]:
    for kind, called in names.new.items():
        changed = [f"{name} is {new} here" for name, new in called.items() if new != name]
        if changed:
            more = "" if len(changed) <= 3 else f" and {len(changed) - 3} more likewise"
            yield f"{kind} {', '.join(changed[:3])}{more}"
    for habit in ("tight_below", "hairline_below"):
        a, b = getattr(mine, habit), getattr(theirs, habit)
        if a != b:
            yield f"{habit.replace('_', ' ')} is {a:g} mm in this log and {b:g} mm on the page; this log's is kept"
