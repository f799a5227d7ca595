"""A shop's observations as plain arrays, cut by cut, in the form that the compiled functions read."""

from typing import NamedTuple

import numpy as np

from inlaylab.fitting.model.beliefs import KINDS, SHOP, Beliefs
from inlaylab.fitting.model.cut_arrays import CutArrays
from inlaylab.fitting.model.laws import LOG_RANGE, LOW_PENALTY, PICTURE_SD, SLIP_SHARE
from inlaylab.fitting.model.observations import Observations
from inlaylab.fitting.model.priors import Layout
from inlaylab.models.floors import real_spacing
from inlaylab.models.walls import half_tangent

OF_ITS_CUT = ("glue_line", "backer_gap", "floor_gap", "pocket_depth", "plug_depth")
"""Readings that depend on what a single cut brought; their place here is their number in the compiled code."""

OF_WHAT_LASTS = ("groove", "wedge_stop", "fill", "flat")
"""Readings that depend on what lasts alone; numbered likewise."""


class Packed(NamedTuple):
    """
    Everything that the compiled functions read, in few arrays; whole numbers are int64, the rest float64.

    Parameters
    ----------
    sizes : array, shape (5,)
        `SIZES`: how many there are of each.
    priors : array, shape (latents of the shop + 1, 3)
        Centre, spread and law (place in `beliefs.KINDS`), in the order of `beliefs.SHOP`, then the angle's error.
    angles : array, shape (bits,)
        Nominal angles. [degrees]
    cut_at : array, shape (cuts + 1, 7)
        `CUT_AT`; the last row only ends the lists.
    cuts : array, shape (cuts, 12)
        `CUT`.
    tips, lands : array, shape (…, 4)
        Contacts, cut by cut: across, other depth, own depth, real spacing of passes.
    read_at, reads : array, shape (readings of cuts, 4) and (…, 6)
        `READ_AT`, `READ`, cut by cut.
    late_at, lates : array, shape (other readings, 4) and (…, 5)
        `LATE_AT`, `LATE`: readings that depend on what lasts alone.
    """

    sizes: np.ndarray
    priors: np.ndarray
    angles: np.ndarray
    cut_at: np.ndarray
    cuts: np.ndarray
    tips: np.ndarray
    lands: np.ndarray
    read_at: np.ndarray
    reads: np.ndarray
    late_at: np.ndarray
    lates: np.ndarray


SIZES = ("bits", "pairs", "species", "cuts", "setups")
CUT_AT = ("bit", "pair", "insert", "host", "first tip", "first land", "first reading")
CUT = (
    "start_depth", "pocket_depth", "relief_depth", "path tangent", "outline_offset", "used", "least D + G",
    "most D + G", "outcome's low", "outcome's high", "outcome's least D + G", "outcome's most D + G",
)  # fmt: skip
READ_AT, READ = (
    ("kind", "closed", "out of order", "picture"),
    ("value", "low", "anything", "sd", "D + G", "other D + G"),
)
LATE_AT = ("kind", "bit or species", "set-up, or state", "picture, or out of order")
LATE = ("value", "sd, depth, or how many", "across", "other value", "other across")
"""
Columns of the tables of `Packed`; an outcome that does not count has NaN as its low. Strokes of one width, wood and
grain that filled alike are one row that says how many they are.
"""


def pack(seen: Observations, beliefs: Beliefs) -> Packed:
    """
    Put what was seen, and what was believed before, in the compiled functions' form.

    Parameters
    ----------
    seen : Observations
        The shop.
    beliefs : Beliefs
        Starting beliefs.

    Returns
    -------
    packed : Packed
    """
    cuts, layout = seen.cuts, seen.names.layout()
    laws = [beliefs.priors[name] for name in (*SHOP, "angle_error")]
    tip_start, tips = _lists(_tips(cuts))
    land_start, lands = _lists(_lands(cuts))
    read_start, read_at, reads = _readings(seen, layout.cuts)
    late_at, lates = _lasting(seen)
    owners = [np.append(getattr(cuts, name), 0) for name in CUT_AT[:4]]
    return Packed(
        sizes=np.array([getattr(layout, name) for name in SIZES], np.int64),
        priors=np.array([(law.centre, law.spread, KINDS.index(law.kind)) for law in laws], float),
        angles=np.ascontiguousarray(seen.nominal_angles, float),
        cut_at=_whole(*owners, tip_start, land_start, read_start),
        cuts=_settings(seen),
        tips=tips,
        lands=lands,
        read_at=read_at,
        reads=reads,
        late_at=late_at,
        lates=lates,
    )


def _whole(*columns: np.ndarray) -> np.ndarray:
    return np.ascontiguousarray(np.stack(columns, axis=-1), np.int64)


def _figures(*columns: np.ndarray) -> np.ndarray:
    return np.ascontiguousarray(np.stack(columns, axis=-1), float)


def _settings(seen: Observations) -> np.ndarray:
    """Settings of every cut, ends of its D + G, and its outcome where that counts."""
    cuts, rows = seen.cuts, seen.rows["outcome"]
    depths = cuts.stroke_depth + cuts.land_depth
    plain = [getattr(cuts, name)[:, 0] for name in CUT[:3]]
    plain += [np.atleast_1d(half_tangent(cuts.path_angle[:, 0])), cuts.outline_offset[:, 0], cuts.used]
    plain += [np.where(cuts.real, depths, np.inf).min(axis=1, initial=np.inf)]
    plain += [np.where(cuts.real, depths, -np.inf).max(axis=1, initial=-np.inf)]
    out = np.full((4, len(cuts.bit)), np.nan)
    ends = rows["depths"].min(axis=1, initial=np.inf), rows["depths"].max(axis=1, initial=-np.inf)
    out[:, rows["cut"]] = np.stack([rows["low"], rows["high"], *ends])
    return _figures(*plain, *out)


def _tips(cuts: CutArrays) -> list[np.ndarray]:
    """Give half-width + offset + G T0, G, D and the passes' real spacing of every stroke that matters, cut by cut."""
    tangent = half_tangent(cuts.path_angle)
    across = cuts.stroke_half_width + cuts.outline_offset + cuts.land_depth * tangent
    spaced = _spacing(cuts, cuts.stroke_half_width, cuts.stroke_depth, cuts.floor_width)
    return _that_matter(cuts, np.stack([across, cuts.land_depth, cuts.stroke_depth, spaced], axis=-1))


def _lands(cuts: CutArrays) -> list[np.ndarray]:
    """Give half-width + D T0, D, G and the passes' real spacing of every land that matters, cut by cut."""
    tangent = half_tangent(cuts.path_angle)
    across = cuts.land_half_width + cuts.stroke_depth * tangent
    spaced = _spacing(cuts, cuts.land_half_width - cuts.outline_offset, cuts.land_depth, cuts.ground_width)
    return _that_matter(cuts, np.stack([across, cuts.stroke_depth, cuts.land_depth, spaced], axis=-1))


def _spacing(cuts: CutArrays, half: np.ndarray, depth: np.ndarray, width: np.ndarray) -> np.ndarray:
    is_flat = half > depth * half_tangent(cuts.path_angle) + 1e-9
    spacing = np.asarray(real_spacing(flat_width=width, pass_spacing=cuts.pass_spacing))
    return np.where(is_flat, spacing, 0.0)


def _that_matter(cuts: CutArrays, table: np.ndarray) -> list[np.ndarray]:
    """
    Drop what another one of the same cut can only be above, whatever the bit and the woods are.

    With across A, other depth B, own depth D and spacing q a contact asks for
    min(face, (A - t/2)/T - B - k) - D + r(q).
    """
    out = []
    for rows, real in zip(table, cuts.real, strict=True):
        rows = np.unique(rows[real], axis=0)
        a, b, d, q = rows.T
        below = (a[:, None] <= a) & ((b + d)[:, None] >= b + d) & (d[:, None] >= d) & (q[:, None] <= q)
        np.fill_diagonal(below, False)
        # of two that are equal but for rounding the first stays
        both = below & below.T
        lost = (below & ~both).any(axis=1) | (both & np.tri(len(rows), k=-1, dtype=bool)).any(axis=1)
        out.append(rows[~lost])
    return out


def _lists(rows: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    starts = np.concatenate([[0], np.cumsum([len(r) for r in rows])]).astype(np.int64)
    table = np.concatenate(rows) if rows else np.zeros((0, 4))
    return starts, np.ascontiguousarray(table, float)


def _readings(seen: Observations, count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Where each cut's readings begin, `READ_AT` and `READ`, in the order of the cuts."""
    parts = []
    for number, kind in enumerate(OF_ITS_CUT):
        rows = seen.rows[kind]
        size = rows["row"].size
        zero = np.zeros(size)

        def column(name: str, rows: dict = rows, zero: np.ndarray = zero) -> np.ndarray:
            return rows.get(name, zero)

        closed = column("closed") > 0
        value = np.where(closed, column("limit"), column("value"))
        picture = column("picture") > 0
        stated = np.nan_to_num(np.where(picture & np.isnan(rows["sd"]), PICTURE_SD, rows["sd"]))
        low = np.where(~closed & ~picture & (value < 0.5 * column("limit")), LOW_PENALTY, 0.0)
        size_of = np.clip(np.abs(value), 1e-3, 40.0)
        anything = np.log(1 - 2 * SLIP_SHARE) - np.log(size_of) - np.log(LOG_RANGE)
        figures = [value, low, anything, stated, column("depths"), column("other_depths")]
        flags = [np.full(size, number), closed, column("cue") > 0, picture]
        parts.append((rows["cut"], _whole(*flags), _figures(*figures)))
    cut, at, figure = (np.concatenate(column) for column in zip(*parts, strict=True))
    order = np.argsort(cut, kind="stable")
    return np.searchsorted(cut[order], np.arange(count + 1)), at[order], figure[order]


def _lasting(seen: Observations) -> tuple[np.ndarray, np.ndarray]:
    """`LATE_AT` and `LATE` of grooves, wedges, fills and tip flats."""
    groove, wedge, fill, flat = (seen.rows[name] for name in OF_WHAT_LASTS)
    where = [fill[name] for name in ("finished", "across", "other_finished", "other_across")]
    rows = _figures(seen.cuts.insert[fill["cut"]], fill["state"], fill["cue"] > 0, *where)
    alike, many = np.unique(rows, axis=0, return_counts=True)
    wood, state, cue, width, across, other_width, other_across = alike.T

    def blank(rows: dict) -> np.ndarray:
        return np.zeros(rows["row"].size)

    insert = seen.cuts.insert
    at = [
        (groove["bit"], groove["setup"], blank(groove)),
        (insert[wedge["cut"]], blank(wedge), wedge["picture"] > 0),
        (wood, state, cue),
        (flat["bit"], blank(flat), blank(flat)),
    ]
    figures = [
        (groove["value"], groove["depth"], *[blank(groove)] * 3),
        (wedge["value"], np.nan_to_num(wedge["sd"]), wedge["across"], *[blank(wedge)] * 2),
        (width, many, across, other_width, other_across),
        (flat["value"], *[blank(flat)] * 4),
    ]
    kinds = [np.full(len(columns[0]), number) for number, columns in enumerate(at)]
    whole = [_whole(kind, *columns) for kind, columns in zip(kinds, at, strict=True)]
    return np.concatenate(whole), np.concatenate([_figures(*columns) for columns in figures])


class Scale(NamedTuple):
    """
    How latents are turned and stretched.

    Parameters
    ----------
    lasting : array of int, shape (L,)
        Places of what lasts.
    own : array of int, shape (cuts, 3)
        Places of each cut's latents.
    whole : array, shape (L, L)
        W.
    follow : array, shape (cuts, 3, L)
        K.
    single : array, shape (cuts, 3, 3)
        D.
    """

    lasting: np.ndarray
    own: np.ndarray
    whole: np.ndarray
    follow: np.ndarray
    single: np.ndarray


def first_scale(layout: Layout) -> Scale:
    """
    Scale to begin with: every latent as wide as its prior.

    Parameters
    ----------
    layout : Layout
        Sizes of the blocks.

    Returns
    -------
    scale : Scale
    """
    blocks = layout.split(np.arange(layout.size))
    own = np.stack([blocks[name] for name in ("z_host", "z_insert", "z_shortfall")], axis=-1).astype(np.int64)
    lasting = np.setdiff1d(np.arange(layout.size), own).astype(np.int64)
    single = np.broadcast_to(np.eye(3), (layout.cuts, 3, 3)).copy()
    return Scale(
        lasting=lasting,
        own=np.ascontiguousarray(own),
        whole=np.eye(lasting.size),
        follow=np.zeros((layout.cuts, 3, lasting.size)),
        single=single,
    )
