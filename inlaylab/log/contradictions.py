"""The rules by which records of a shop contradict each other; each yields where and what."""

from __future__ import annotations

import datetime
import re
from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from inlaylab.bench.coupons import Station
from inlaylab.bench.cuts import Cut
from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.models.reach import cutting_height
from inlaylab.models.walls import half_tangent
from inlaylab.units import format_length as say

Said = tuple[str, str]
"""Where, and what."""

FAR_OFF_MM = 1.0
"""A gap that differs from its programmed value by more is probably a slip; our choice, 20 usual zero errors. [mm]"""

FAR_DEPTH_MM = 0.5
"""A depth by gauge that differs by more is probably a slip; our choice, ten usual zero errors. [mm]"""

STAND_OFF_MM = 0.3
"""Two ways to the stand-off should agree within this; our choice, four times what four gauge readings scatter. [mm]"""


HAIR_MM = 0.01
"""Nobody sees a glue line that is wider than an outcome's limit by less. [mm]"""


def contradictions(shop: Shop, *, today: datetime.date, unit: str | None = None) -> Iterator[Said]:
    """
    Find what cannot be as it stands.

    Parameters
    ----------
    shop : Shop
        All records.
    today : date
        Later dates are named.
    unit : str, optional
        The reader's unit; without it lengths are said in the unit of their own row.

    Yields
    ------
    where, what : str, str
        In the order of the cuts.
    """
    yield from _bits(shop, unit)
    yield from _names(shop)
    yield from _dates(shop, today)
    readings: dict[str, list[Reading]] = defaultdict(list)
    for reading in shop.readings:
        readings[reading.cut].append(reading)
    for cut in shop.cuts:
        for rule in (_twice, _outcome, _depths, _gaps, _stations):
            yield from rule(shop, cut, readings[cut.cut], unit or cut.unit)


def _bits(shop: Shop, unit: str | None) -> Iterator[Said]:
    for bit in shop.bits:
        if bit.tip_flat and bit.cutting_diameter and bit.tip_flat >= bit.cutting_diameter:
            yield f"bit {bit.bit}", "its tip flat is as wide as its cutting diameter"
    for groove in shop.grooves:
        bit = shop.bit(groove.bit)
        expected = 2 * groove.depth * float(half_tangent(bit.nominal_angle_deg)) + (bit.tip_flat or 0.0)
        if abs(groove.width - expected) > FAR_OFF_MM:
            width, depth = (say(mm, unit or groove.unit) for mm in (groove.width, groove.depth))
            what = f"a groove {depth} deep and {width} wide does not suit {bit.nominal_angle_deg:g} degrees"
            yield f"bit {bit.bit}", f"{what}: about {say(expected, unit or groove.unit)} is expected"


def _names(shop: Shop) -> Iterator[Said]:
    groups = {
        "bit": [r.bit for r in shop.bits],
        "pair": [r.pair for r in shop.pairs],
        "coupon": [r.coupon for r in shop.coupons],
        "cut": [r.cut for r in shop.cuts],
        "species": sorted({wood for r in shop.pairs for wood in (r.host, r.insert)}),
    }
    for kind, names in groups.items():
        seen: dict[str, str] = {}
        for name in names:
            plain = re.sub(r"[\s_.-]+", "", name.casefold())
            other = seen.setdefault(plain, name)
            if other != name:
                yield f"{kind} {name}", f"its name is nearly that of {kind} {other}"


def _dates(shop: Shop, today: datetime.date) -> Iterator[Said]:
    for cut in shop.cuts:
        if cut.date and cut.date[:10] > today.isoformat():
            yield f"cut {cut.cut}", f"it is dated {cut.date}, after today"
    series: dict[str, list[tuple[int, Cut]]] = defaultdict(list)
    for cut in shop.cuts:
        match = re.fullmatch(r"(.*?)([0-9]{1,9})", cut.cut)
        if match and cut.date:
            series[match[1]].append((int(match[2]), cut))
    for numbered in series.values():
        ordered = [cut for _, cut in sorted(numbered, key=lambda pair: pair[0])]
        for before, after in pairwise(ordered):
            if (after.date or "")[:10] < (before.date or "")[:10]:
                what = f"it is dated {after.date}, before cut {before.cut} of {before.date}"
                yield f"cut {after.cut}", what


def _words(kind: str) -> str:
    return kind.replace("_", " ")


def _twice(_shop: Shop, cut: Cut, readings: list[Reading], unit: str) -> Iterator[Said]:
    groups: dict[tuple[str, str | None, str | None], list[Reading]] = defaultdict(list)
    for reading in readings:
        groups[reading.kind, reading.station, reading.method].append(reading)
    for (kind, station, _), group in groups.items():
        if len(group) > 1:
            said = " and ".join(_result(reading, unit) for reading in group[:5])
            where = f"cut {cut.cut}" + (f", station {station}" if station else "")
            yield where, f"its {_words(kind)} is read {len(group)} times: {said}"


def _result(reading: Reading, unit: str) -> str:
    if reading.value is not None:
        return say(reading.value, unit)
    return str(reading.state) + (f" below {say(reading.limit, unit)}" if reading.limit is not None else "")


def _outcome(shop: Shop, cut: Cut, readings: list[Reading], unit: str) -> Iterator[Said]:
    lines = [reading for reading in readings if reading.kind == "glue_line"]
    if cut.outcome is None or not lines:
        return
    widest = max(lines, key=lambda r: r.value or 0.0)
    limits = {"tight": shop.habits.tight_below, "hairline": shop.habits.hairline_below}
    limit = limits.get(cut.outcome)
    if limit is not None and widest.value is not None and widest.value > limit + HAIR_MM:
        style = "decimal" if say(limit, unit) != say(widest.value, unit) else "fine"
        most, found = say(limit, unit, style), say(widest.value, unit, style)
        what = f"its outcome is {cut.outcome} (up to {most}), but the glue line is {found}"
        yield f"cut {cut.cut}, station {widest.station}", what
    least = max((r.value if r.value is not None else r.limit or 0.0) for r in lines)
    everywhere = cut.coupon is not None and len({r.station for r in lines}) >= _bars(shop, cut)
    if cut.outcome == "open" and everywhere and least <= shop.habits.tight_below:
        yield f"cut {cut.cut}", f"its outcome is open, but no glue line is above {say(least, unit)}"


def _bars(shop: Shop, cut: Cut) -> int:
    return sum(station.kind == "bar" for station in shop.coupon(cut.coupon).stations)


def _depths(shop: Shop, cut: Cut, _readings: list[Reading], unit: str) -> Iterator[Said]:
    where = f"cut {cut.cut}"
    if cut.start_depth > cut.pocket_depth:
        deeper = f"its start depth {say(cut.start_depth, unit)} is deeper than its pocket {say(cut.pocket_depth, unit)}"
        yield where, f"{deeper}: the plug stands on the floor"
    if cut.relief_depth == 0:
        yield where, "its relief depth is 0: the backer lies on the host"
    bit = shop.bit(cut.bit)
    deepest = max(cut.pocket_depth, cut.start_depth + cut.relief_depth)
    if bit.cutting_diameter is not None:
        reach = float(
            cutting_height(
                cutting_diameter=bit.cutting_diameter, angle=bit.nominal_angle_deg, tip_flat=bit.tip_flat or 0.0
            )
        )
        if deepest > reach + FAR_DEPTH_MM:
            what = f"it is cut {say(deepest, unit)} deep, but the edges of bit {bit.bit} reach {say(reach, unit)}"
            yield where, what
    if cut.sanded_off is not None and cut.sanded_off >= cut.pocket_depth:
        yield (
            where,
            f"{say(cut.sanded_off, unit)} was sanded off a pocket {say(cut.pocket_depth, unit)} deep",
        )


def _gaps(_shop: Shop, cut: Cut, readings: list[Reading], unit: str) -> Iterator[Said]:
    programmed = {
        "backer_gap": (cut.relief_depth, FAR_OFF_MM),
        "floor_gap": (max(cut.pocket_depth - cut.start_depth, 0.0), FAR_OFF_MM),
        "pocket_depth": (cut.pocket_depth, FAR_DEPTH_MM),
        "plug_depth": (cut.start_depth + cut.relief_depth, FAR_DEPTH_MM),
    }
    off: dict[str, float] = {}
    for reading in readings:
        if reading.kind in programmed and reading.value is not None:
            expected, most = programmed[reading.kind]
            off[reading.kind] = reading.value - expected
            if abs(off[reading.kind]) > most:
                read, meant = say(reading.value, unit), say(expected, unit)
                what = f"its {_words(reading.kind)} is {read}, but {meant} was programmed"
                yield f"cut {cut.cut}", what
    if programmed.keys() <= off.keys() and not any(abs(off[kind]) > programmed[kind][1] for kind in programmed):
        from_backer = off["backer_gap"] - off["plug_depth"]
        from_floor = off["floor_gap"] - off["pocket_depth"]
        if abs(from_backer - from_floor) > STAND_OFF_MM:
            ways = f"{say(from_backer, unit)} by the backer gap and {say(from_floor, unit)} by the floor gap"
            yield f"cut {cut.cut}", f"its stand-off is {ways}"


def _stations(shop: Shop, cut: Cut, readings: list[Reading], unit: str) -> Iterator[Said]:
    if cut.coupon is None:
        return
    missing = {r.station for r in readings if r.kind == "fill" and r.state == "missing"}
    lined = {r.station for r in readings if r.kind == "glue_line"}
    stations = {station.station: station for station in shop.coupon(cut.coupon).stations}
    narrowed = 2 * (cut.sanded_off or 0.0) * float(half_tangent(cut.path_angle(shop.bit(cut.bit))))
    for name in sorted(missing & lined, key=str):
        yield f"cut {cut.cut}, station {name}", "it is marked as missing, but a glue line is read there"
    for reading in readings:
        if reading.station is None:
            continue
        station = stations[reading.station]
        for what in _station(reading, station, unit, narrowed=narrowed):
            yield f"cut {cut.cut}, station {station.station}", what


def _station(reading: Reading, station: Station, unit: str, *, narrowed: float) -> Iterator[str]:
    width, value = station.stroke_width, reading.value
    if reading.kind == "glue_line" and station.kind == "wedge":
        yield "a glue line is read on a wedge; it is taken at the wide end"
    if reading.kind == "glue_line" and value is not None and value > width / 2:
        yield f"its glue line is {say(value, unit)}, wider than half the stroke of {say(width, unit)}"
    if reading.kind == "wedge_stop" and value is not None and value > width:
        yield f"its wedge stop is {say(value, unit)}, wider than the wedge of {say(width, unit)}"
    if reading.state == "filled" and station.kind == "bar" and width <= narrowed:
        yield f"it is marked as filled, but sanding takes {say(narrowed, unit)} off a stroke of {say(width, unit)}"
