"""
A shop's records as the arrays that the likelihood reads: indices, depths, flags.

`observe` does it once for a fit. Numbers that depend on no latent (path depths, spacings)
are worked out here with `inlaylab.models.walls`, so that the likelihood stays small.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from inlaylab.bench.coupons import Station
from inlaylab.bench.cuts import Cut
from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.fitting.model.cut_arrays import CutArrays, Names, cut_arrays
from inlaylab.models.filling import STATES
from inlaylab.models.walls import half_tangent, path_depth


@dataclass(frozen=True, kw_only=True)
class Observations:
    """
    All that the likelihood needs of a shop.

    ``rows`` maps the name of a likelihood term to its arrays; each has ``row``, the index of the reading in
    ``shop.readings`` (or -1), so that suspects can be traced back.
    """

    names: Names
    nominal_angles: np.ndarray
    cuts: CutArrays
    rows: dict[str, dict[str, np.ndarray]]


def observe(shop: Shop) -> Observations:
    """
    Turn a shop into arrays.

    Parameters
    ----------
    shop : Shop
        A checked log.

    Returns
    -------
    observations : Observations
        Order of names as in the shop.

    Examples
    --------
    >>> from inlaylab.bench.shop import Shop
    >>> observe(Shop()).cuts.bit.size
    0
    """
    species = tuple(dict.fromkeys(s for pair in shop.pairs for s in (pair.host, pair.insert)))
    setups = tuple(dict.fromkeys((g.bit, g.date or "") for g in shop.grooves))
    names = Names(
        bits=tuple(b.bit for b in shop.bits),
        pairs=tuple(p.pair for p in shop.pairs),
        species=species,
        cuts=tuple(c.cut for c in shop.cuts),
        setups=setups,
    )
    cuts = cut_arrays(shop, shop.cuts, names)
    rows = {
        "flat": _flat_rows(shop),
        "groove": _groove_rows(shop, names),
        "glue_line": _station_rows(shop, "glue_line"),
        "fill": _station_rows(shop, "fill"),
        "wedge_stop": _station_rows(shop, "wedge_stop"),
        "outcome": _outcome_rows(shop, cuts),
    }
    for kind in ("backer_gap", "floor_gap", "pocket_depth", "plug_depth"):
        rows[kind] = _plain_rows(shop, kind)
    return Observations(
        names=names, nominal_angles=np.array([b.nominal_angle_deg for b in shop.bits], float), cuts=cuts, rows=rows
    )


def _frame(records: list[dict], columns: tuple[str, ...]) -> dict[str, np.ndarray]:
    whole = ("row", "cut", "bit", "setup", "state", "species", "insert")
    return {c: np.array([r[c] for r in records], int if c in whole else float) for c in columns}


def _flat_rows(shop: Shop) -> dict[str, np.ndarray]:
    found = [{"bit": i, "value": b.tip_flat, "row": -1} for i, b in enumerate(shop.bits) if b.tip_flat is not None]
    return _frame(found, ("row", "bit", "value"))


def _groove_rows(shop: Shop, names: Names) -> dict[str, np.ndarray]:
    setup = {key: i for i, key in enumerate(names.setups)}
    bit = {name: i for i, name in enumerate(names.bits)}
    found = [
        {"row": -1, "bit": bit[g.bit], "setup": setup[(g.bit, g.date or "")], "depth": g.depth, "value": g.width}
        for g in shop.grooves
    ]
    return _frame(found, ("row", "bit", "setup", "depth", "value"))


def _plain_rows(shop: Shop, kind: str) -> dict[str, np.ndarray]:
    at = {c.cut: i for i, c in enumerate(shop.cuts)}
    found = [
        {"row": i, "cut": at[r.cut], "value": r.value, **_method(r)}
        for i, r in enumerate(shop.readings)
        if r.kind == kind and r.value is not None
    ]
    return _frame(found, ("row", "cut", "value", "sd", "picture"))


def _method(reading: Reading) -> dict[str, float]:
    """Standard deviation that a reading states of itself (NaN: none), and whether a picture gave it."""
    sd = getattr(reading, "sd", None)
    return {"sd": np.nan if sd is None else sd, "picture": float(getattr(reading, "method", None) == "picture")}


def station_geometry(cut: Cut, station: Station, shop: Shop) -> dict[str, float]:
    """
    What a reading at a station needs of the geometry.

    Parameters
    ----------
    cut, station, shop
        The cut, the station of its coupon, and the shop that describes both.

    Returns
    -------
    geometry : dict
        ``depths``: D + G of the wall there [mm]; ``finished``: full width after sanding [mm]; ``across``: 1 across
        the grain.

    Examples
    --------
    >>> from inlaylab.bench.bits import Bit
    >>> from inlaylab.bench.coupons import Station
    >>> shop = Shop(bits=(Bit(bit="b", nominal_angle_deg=90),))
    >>> cut = Cut(cut="k", bit="b", pair="p", start_depth=2, pocket_depth=3, relief_depth=1, sanded_off=0.25)
    >>> bar = Station(coupon="c", station="B1", kind="bar", stroke_width=2, land_width=4, grain="across")
    >>> {key: round(value, 3) for key, value in station_geometry(cut, bar, shop).items()}
    {'depths': 2.0, 'finished': 1.5, 'across': 1.0}
    """
    angle = cut.path_angle(shop.bit(cut.bit))
    half, land = station.stroke_width / 2, station.land_width / 2 - (cut.outline_offset or 0.0)
    stroke_depth = path_depth(half_width=half, depth_cap=cut.pocket_depth, path_angle=angle)
    land_depth = path_depth(half_width=land, depth_cap=cut.relief_depth, path_angle=angle)
    sanded = shop.habits.sanded_off if cut.sanded_off is None else cut.sanded_off
    finished = station.stroke_width - 2 * (sanded or 0.0) * half_tangent(angle)
    return {
        "depths": float(stroke_depth + land_depth),
        "finished": float(finished),
        "across": float(station.grain == "across"),
    }


def _station_rows(shop: Shop, kind: str) -> dict[str, np.ndarray]:
    at = {c.cut: i for i, c in enumerate(shop.cuts)}
    instead = dict(_misplaced(shop))
    found = []
    for i, r in enumerate(shop.readings):
        if r.kind != kind or (r.value is None and r.state is None):
            continue
        cut = shop.cuts[at[r.cut]]
        stations = {s.station: s for s in shop.coupon(cut.coupon).stations}
        name = r.station or ""
        here = station_geometry(cut, stations[name], shop)
        other = station_geometry(cut, stations[instead.get(i, name)], shop)
        closed = r.state == "closed"
        found.append(
            {
                "row": i,
                "cut": at[r.cut],
                "closed": closed,
                "cue": i in instead,
                "value": np.nan if r.value is None else r.value,
                "limit": shop.habits.loupe_limit if (r.limit is None and closed) else (r.limit or 0.0),
                "state": STATES.index(r.state) if r.state in STATES else -1,
                **_method(r),
                **here,
                **{f"other_{key}": value for key, value in other.items()},
            }
        )
    geometry = ("depths", "finished", "across")
    columns = (
        "row",
        "cut",
        "closed",
        "cue",
        "value",
        "limit",
        "state",
        "sd",
        "picture",
        *geometry,
        *(f"other_{g}" for g in geometry),
    )
    return _frame(found, columns)


def _misplaced(shop: Shop) -> Iterator[tuple[int, str]]:
    """Readings that stand out of their coupon's order and double another: (row, station that would fit the order)."""
    groups: dict[tuple[str, str], list[int]] = {}
    for i, r in enumerate(shop.readings):
        if r.station is not None and r.kind in ("glue_line", "fill"):
            groups.setdefault((r.cut, r.kind), []).append(i)
    coupon_of = {c.cut: c.coupon for c in shop.cuts}
    for (cut, _), rows in groups.items():
        order = {s.station: n for n, s in enumerate(shop.coupon(coupon_of[cut]).stations)}
        stations = list(order)
        places = [order[shop.readings[i].station or ""] for i in rows]
        for k, i in enumerate(rows):
            if places.count(places[k]) < 2:
                continue
            before = places[k - 1] if k else -1
            after = places[k + 1] if k + 1 < len(places) else len(stations)
            if before < places[k] < after:
                continue
            room = [n for n in range(before + 1, after) if n not in places]
            if room:
                yield i, stations[room[0]]


def _outcome_rows(shop: Shop, cuts: CutArrays) -> dict[str, np.ndarray]:
    """Cuts without a measured glue line: their outcome is the worst line, known to lie in an interval."""
    read = {r.cut for r in shop.readings if r.kind == "glue_line"}
    tight, hairline = shop.habits.tight_below, shop.habits.hairline_below
    spans = {
        "tight": (-np.inf, tight),
        "hairline": (tight, hairline),
        "open": (hairline, np.inf),
        "proud": (tight, np.inf),
    }
    found = [
        {"row": -1, "cut": i, "low": spans[c.outcome][0], "high": spans[c.outcome][1]}
        for i, c in enumerate(shop.cuts)
        if c.outcome in spans and c.cut not in read
    ]
    out = _frame(found, ("row", "cut", "low", "high"))
    depths = (cuts.stroke_depth + cuts.land_depth)[out["cut"]]
    return out | {"depths": np.where(cuts.real[out["cut"]], depths, depths[:, :1])}
