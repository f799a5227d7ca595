"""Cuts as arrays: settings, strokes and lands, and indices into the names of what is fitted."""

from dataclasses import dataclass, field

import numpy as np

from inlaylab.bench.cuts import Cut
from inlaylab.bench.shop import Shop
from inlaylab.fitting.model.priors import SHOP, Layout
from inlaylab.models.walls import half_tangent, path_depth

PLAIN_PIECE = ((3.0, 6.0), (8.0, 6.0))
"""Stroke and land widths taken for a cut that names no coupon (the kit's own choice). [mm]"""


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


LATENTS_OF = {
    "bits": ("z_angle", "z_tip"),
    "pairs": ("z_allowance",),
    "species": ("z_crest", "z_half_filled"),
    "cuts": ("z_host", "z_insert", "z_shortfall"),
    "setups": ("z_setup",),
}
"""Blocks of latents of each list of names."""


def kept_places(old: Names, new: Names) -> np.ndarray:
    """
    Where each latent stood before a log changed.

    Parameters
    ----------
    old, new : Names
        Before and now.

    Returns
    -------
    places : array of int, shape (size now,)
        Its place in the old vector; -1 for what is new.
    """
    now = new.layout()
    before = old.layout()
    was = before.split(np.arange(before.size))
    places = np.full(now.size, -1)
    blocks = now.split(places[None])
    for name in SHOP:
        blocks[name][...] = was[name]
    for group, keys in LATENTS_OF.items():
        known = {name: i for i, name in enumerate(getattr(old, group))}
        for i, name in enumerate(getattr(new, group)):
            for key in keys if name in known else ():
                blocks[key][:, i] = was[key][known[name]]
    return places


@dataclass(frozen=True, kw_only=True)
class CutArrays:
    """
    Settings of cuts and the strokes that can hold each plug up.

    Strokes are padded with zeros to the longest list; ``real`` marks the true ones.
    Everything with a last axis of strokes has shape (cuts, strokes), the rest (cuts, 1). [mm, degrees]
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
