"""
A shop's records as the arrays that the likelihood reads: indices, depths, flags.

`observe` does it once for a fit. Numbers that depend on no latent (path depths, spacings)
are worked out here with `inlaylab.models.walls`, so that the likelihood stays small.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from inlaylab.bench.coupons import Station
from inlaylab.bench.cuts import Cut
from inlaylab.bench.shop import Shop
from inlaylab.fitting.priors import Layout
from inlaylab.models.walls import half_tangent, path_depth

PLAIN_PIECE = ((3.0, 6.0), (8.0, 6.0))
"""Stroke and land widths taken for a cut that names no coupon (the kit's own choice). [mm]"""

STATES = ("missing", "partly", "filled")
WEDGE_FROM, WEDGE_STEP = 0.2, 0.1
"""A wedge enters the seat as strokes from this half-width upward, in these steps. [mm]"""


@dataclass(frozen=True, kw_only=True)
class Names:
    """
    The order of everything that has latents of its own.

    Examples
    --------
    >>> Names(bits=("b1",), pairs=("p1",), species=("maple",), cuts=()).bits
    ('b1',)
    """

    bits: tuple[str, ...]
    pairs: tuple[str, ...]
    species: tuple[str, ...]
    cuts: tuple[str, ...]
    setups: tuple[tuple[str, str], ...] = ()

    def layout(self) -> Layout:
        """Sizes of the latent vector."""
        return Layout(
            bits=len(self.bits),
            pairs=len(self.pairs),
            species=len(self.species),
            cuts=len(self.cuts),
            setups=len(self.setups),
        )


@dataclass(frozen=True, kw_only=True)
class CutArrays:
    """
    Settings of cuts and the strokes that can hold each plug up.

    Strokes are padded with zeros to the longest list; ``real`` marks the true ones.
    Everything with a last axis of strokes has shape (cuts, strokes), the rest (cuts, 1). [mm, degrees]

    Examples
    --------
    >>> sorted(CutArrays.__dataclass_fields__)[:3]
    ['bit', 'floor_width', 'ground_width']
    """

    bit: np.ndarray
    pair: np.ndarray
    insert: np.ndarray
    host: np.ndarray
    used: np.ndarray
    start_depth: np.ndarray
    pocket_depth: np.ndarray
    relief_depth: np.ndarray
    path_angle: np.ndarray
    outline_offset: np.ndarray
    stroke_half_width: np.ndarray
    land_half_width: np.ndarray
    stroke_depth: np.ndarray
    land_depth: np.ndarray
    floor_width: np.ndarray
    ground_width: np.ndarray
    pass_spacing: np.ndarray
    real: np.ndarray
    names: tuple[str, ...] = field(default=())


@dataclass(frozen=True, kw_only=True)
class Observations:
    """
    All that the likelihood needs of a shop.

    ``rows`` maps the name of a likelihood term to its arrays; each has ``row``, the index of the reading in
    ``shop.readings`` (or -1), so that suspects can be traced back.

    Examples
    --------
    >>> sorted(Observations.__dataclass_fields__)
    ['cuts', 'names', 'nominal_angles', 'rows']
    """

    names: Names
    nominal_angles: np.ndarray
    cuts: CutArrays
    rows: dict[str, dict[str, np.ndarray]]


def pieces(cut: Cut, shop: Shop) -> list[tuple[float, float]]:
    """
    Stroke and land half-widths that can hold a cut's plug up.

    Parameters
    ----------
    cut : Cut
        A test cut.
    shop : Shop
        Where its coupon is described.

    Returns
    -------
    pieces : list of (float, float)
        A bar is one pair; a wedge is one for each of its widths; a cut without a coupon is `PLAIN_PIECE`. [mm]

    Examples
    --------
    >>> from inlaylab.bench.shop import Shop
    >>> cut = Cut(cut="k", bit="b", pair="p", start_depth=2, pocket_depth=3, relief_depth=1)
    >>> pieces(cut, Shop())
    [(1.5, 3.0), (4.0, 3.0)]
    """
    if cut.coupon is None:
        return [(stroke / 2, land / 2) for stroke, land in PLAIN_PIECE]
    found: list[tuple[float, float]] = []
    for station in shop.coupon(cut.coupon).stations:
        half, land = station.stroke_width / 2, station.land_width / 2
        if station.kind == "wedge":
            count = max(1, int(np.floor((half - WEDGE_FROM) / WEDGE_STEP + 1e-6)) + 1)
            found += [(min(WEDGE_FROM + WEDGE_STEP * i, half), land) for i in range(count)]
        else:
            found.append((half, land))
    return found


def used_before(shop: Shop, cuts: tuple[Cut, ...]) -> np.ndarray:
    """
    How much each cut's bit had been used before it, in cuts' worth of path.

    Parameters
    ----------
    shop : Shop
        The log: its cuts are the use.
    cuts : tuple of Cut
        In the log or not; a cut without a date comes after the whole log.

    Returns
    -------
    used : array, shape (cuts,)
        Metres of path over the shop's usual metres a cut; the number of earlier cuts where no length is recorded.

    Examples
    --------
    >>> from inlaylab.bench.shop import Shop
    >>> used_before(Shop(), ()).shape
    (0,)
    """
    lengths = [cut.path_length_m for cut in shop.cuts if cut.path_length_m]
    usual = float(np.median(lengths)) if lengths else 1.0
    order = {cut.cut: i for i, cut in enumerate(shop.cuts)}
    late = "9999"

    def place(cut: Cut) -> tuple[str, int]:
        return (cut.date or late, order.get(cut.cut, len(order)))

    worth = [(c.bit, place(c), (c.path_length_m or usual) / usual) for c in shop.cuts]
    return np.array([sum(w for bit, when, w in worth if bit == c.bit and when < place(c)) for c in cuts], float)


def cut_arrays(shop: Shop, cuts: tuple[Cut, ...], names: Names, *, strokes: list | None = None) -> CutArrays:
    """
    Arrays of some cuts, with indices into ``names``.

    Parameters
    ----------
    shop : Shop
        Holds bits, pairs and coupons that the cuts point to.
    cuts : tuple of Cut
        The cuts.
    names : Names
        Order of bits, pairs and species.
    strokes : list of lists of (float, float), optional
        Half-widths for each cut, in place of its coupon's. [mm]

    Returns
    -------
    arrays : CutArrays
        One row a cut.

    Examples
    --------
    >>> from inlaylab.bench.shop import Shop
    >>> cut_arrays(Shop(), (), Names(bits=(), pairs=(), species=(), cuts=())).real.shape
    (0, 1)
    """
    lists = strokes if strokes is not None else [pieces(cut, shop) for cut in cuts]
    longest = max((len(found) for found in lists), default=1)
    half = np.zeros((len(cuts), longest, 2))
    real = np.zeros((len(cuts), longest), bool)
    for i, found in enumerate(lists):
        half[i, : len(found)], real[i, : len(found)] = np.array(found).reshape(-1, 2), True
        half[i, len(found) :] = half[i, 0] if found else 1.0
    stroke, land = half[..., 0], half[..., 1]

    def column(read) -> np.ndarray:
        return np.array([read(cut) for cut in cuts], float).reshape(-1, 1)

    pairs = {name: i for i, name in enumerate(names.pairs)}
    species = {name: i for i, name in enumerate(names.species)}
    bits = {name: i for i, name in enumerate(names.bits)}
    angle = column(lambda c: c.path_angle(shop.bit(c.bit)))
    offset = column(lambda c: c.outline_offset or 0.0)
    pocket, relief = column(lambda c: c.pocket_depth), column(lambda c: c.relief_depth)
    spacing = column(lambda c: c.pass_spacing or 0.0)
    tangent = half_tangent(angle)
    return CutArrays(
        bit=np.array([bits[c.bit] for c in cuts], int),
        pair=np.array([pairs[c.pair] for c in cuts], int),
        insert=np.array([species[shop.pair(c.pair).insert] for c in cuts], int),
        host=np.array([species[shop.pair(c.pair).host] for c in cuts], int),
        used=used_before(shop, cuts),
        start_depth=column(lambda c: c.start_depth),
        pocket_depth=pocket,
        relief_depth=relief,
        path_angle=angle,
        outline_offset=offset,
        stroke_half_width=stroke,
        land_half_width=land,
        stroke_depth=path_depth(half_width=stroke, depth_cap=pocket, path_angle=angle),
        land_depth=path_depth(half_width=land - offset, depth_cap=relief, path_angle=angle),
        floor_width=2 * (stroke - pocket * tangent),
        ground_width=2 * (land - offset - relief * tangent),
        pass_spacing=spacing,
        real=real,
        names=tuple(c.cut for c in cuts),
    )


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
        {"row": i, "cut": at[r.cut], "value": r.value}
        for i, r in enumerate(shop.readings)
        if r.kind == kind and r.value is not None
    ]
    return _frame(found, ("row", "cut", "value"))


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
                **here,
                **{f"other_{key}": value for key, value in other.items()},
            }
        )
    geometry = ("depths", "finished", "across")
    columns = ("row", "cut", "closed", "cue", "value", "limit", "state", *geometry, *(f"other_{g}" for g in geometry))
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
