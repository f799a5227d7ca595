"""What could be measured next: test cuts at several start depths and on several coupons, and what needs no cut."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from inlaylab.bench.coupons import Coupon, Station
from inlaylab.bench.shop import Shop
from inlaylab.fitting.next import simulated_results as results
from inlaylab.fitting.next.coupon_readings import CouponPiece, coupon_piece
from inlaylab.fitting.predict.draws import Scenario
from inlaylab.fitting.predict.question import Question

AROUND = (-0.3, -0.15, 0.15, 0.3)
"""Start depths tried beside the advice. Our choice: far enough that the cut shows it, near enough to be useful. [mm]"""
MOST_COUPONS = 3
"""Coupons of the shop that are tried, newest first; our choice, for the sake of waiting time."""
WHOLE = ("backer_gap", "pocket_depth", "plug_depth")
"""Readings of a whole piece that cost a minute each and no cut of their own."""
ORDINARY = Coupon(
    coupon="ordinary coupon",
    stations=tuple(
        Station(
            coupon="ordinary coupon",
            station=f"B{n}",
            kind="bar",
            stroke_width=width,
            land_width=6.0,
            grain="along",
            unit="mm",
        )
        for n, width in enumerate((0.8, 1.2, 2.0, 3.0, 4.5, 6.0, 9.0), start=1)
    ),
)
"""Taken where the shop has no coupon (the kit's own choice)."""


def groove_depths(pocket_depth: float) -> tuple[float, ...]:
    """
    Depths of three grooves that tell angle and flat apart.

    Parameters
    ----------
    pocket_depth : float
        The deepest. [mm]

    Returns
    -------
    depths : tuple of float
        To half a millimetre. [mm]

    Examples
    --------
    >>> groove_depths(4.0)
    (1.0, 2.0, 4.0)
    """
    return tuple(sorted({max(0.5, round(share * pocket_depth * 2) / 2) for share in (0.25, 0.5, 1.0)}))


MEASURES = {
    "cut": "a test cut",
    "tip_flat": "a loupe on the tip flat",
    "groove": "straight grooves",
    "depth_gauge": "a depth gauge on a pocket and a plug in scrap",
}
"""What can be measured next, in plain words."""


@dataclass(frozen=True, kw_only=True)
class Candidate:
    """
    Something that could be measured next, and what it is expected to do.

    Parameters
    ----------
    measure : str
        ``cut``, ``tip_flat``, ``groove`` or ``depth_gauge``.
    start_depth : float or None
        Start depth of a test cut. [mm]
    coupon : str or None
        Coupon of a test cut.
    also : tuple of str
        Readings of a test cut that the shop does not usually take.
    groove_depths : tuple of float
        Depths of grooves. [mm]
    expected_gain : float
        How far the result is expected to move the advice. [mm]
    worth : float
        Glue line that following the new advice would save on average, and depth that it would not give away, at the
        rule's price of depth; the rank goes by it. [mm]
    worth_error : float
        Its standard error. [mm]
    line_saved : float
        The glue line alone. [mm]
    near : float
        Chance that the advice then lies within 0.10 mm of the right start depth.
    reached : float
        Chance that some start depth then has the chance asked.
    dropped : int
        Results that left too few effective draws.
    """

    measure: str
    start_depth: float | None = None
    coupon: str | None = None
    also: tuple[str, ...] = ()
    groove_depths: tuple[float, ...] = ()
    expected_gain: float = 0.0
    worth: float = 0.0
    worth_error: float = 0.0
    line_saved: float = 0.0
    near: float = 0.0
    reached: float = 0.0
    dropped: int = 0


def usual_readings(shop: Shop) -> tuple[str, ...]:
    """
    Readings of the whole piece that this shop takes of at least every other cut.

    Parameters
    ----------
    shop : Shop
        The log.

    Returns
    -------
    kinds : tuple of str
        The backer gap where nothing is logged yet.

    Examples
    --------
    >>> usual_readings(Shop())
    ('backer_gap',)
    """
    if not shop.cuts:
        return ("backer_gap",)
    taken = {
        kind: {r.cut for r in shop.readings if r.kind == kind} for kind in ("backer_gap", "pocket_depth", "plug_depth")
    }
    return tuple(kind for kind, cuts in taken.items() if 2 * len(cuts) >= len(shop.cuts))


def coupons_to_try(shop: Shop, question: Question) -> list[Coupon]:
    """
    Coupons that a test cut could be made on: the one asked for, or those cut last.

    Parameters
    ----------
    shop : Shop
        The log.
    question : Question
        Names a coupon, or none.

    Returns
    -------
    coupons : list of Coupon
        `ORDINARY` where the shop has none with a bar.

    Examples
    --------
    >>> asked = Question(bit="b", pair="p", pocket_depth=4, relief_depth=1.5, within=0.1)
    >>> [coupon.coupon for coupon in coupons_to_try(Shop(), asked)]
    ['ordinary coupon']
    """
    if question.coupon is not None:
        return [shop.coupon(question.coupon)]
    latest = dict.fromkeys(cut.coupon for cut in reversed(shop.cuts) if cut.coupon)
    names = [*latest, *(c.coupon for c in reversed(shop.coupons) if c.coupon not in latest)]
    with_bars = [c for c in map(shop.coupon, names) if any(s.kind == "bar" for s in c.stations)]
    return with_bars[:MOST_COUPONS] or [ORDINARY]


def candidates(
    shop: Shop, question: Question, world: Scenario, *, start_depth: float, rng: np.random.Generator
) -> Iterator[tuple[Candidate, Callable[[], results.Measurement]]]:
    """
    Every candidate, and how to get its readings.

    Parameters
    ----------
    shop : Shop
        The log.
    question : Question
        What is asked.
    world : Scenario
        Draws of what lasts.
    start_depth : float
        That is advised now; cutting there on the first coupon comes first. [mm]
    rng : Generator
        For the single pieces.

    Yields
    ------
    candidate : Candidate
        Not judged yet.
    measurement : callable
        Gives its readings.

    Notes
    -----
    A loupe's look at the flat is no candidate where the log has one: it keeps one for each bit.
    """
    single, base = results.single_pieces(world.fitted, rng), start_depth
    low, high = question.span
    coupons, usual = coupons_to_try(shop, question), usual_readings(shop)

    def on(coupon: Coupon, kinds: tuple[str, ...]) -> CouponPiece:
        return coupon_piece(world, single, shop, question.cut(base), coupon=coupon, kinds=kinds)

    pieces, names = [on(coupon, usual) for coupon in coupons], [coupon.coupon for coupon in coupons]
    around = sorted({round(min(max(base + step, low), high), 3) for step in AROUND} - {base})
    for piece, name in zip(pieces, names, strict=True):
        for start in (base, *around) if name == names[0] else (base,):
            candidate = Candidate(measure="cut", start_depth=start, coupon=name)
            yield candidate, partial(piece.measurement, start)
    also = tuple(kind for kind in WHOLE if kind not in usual)
    if also:
        every = on(coupons[0], (*usual, *also))
        candidate = Candidate(measure="cut", start_depth=base, coupon=names[0], also=also)
        yield candidate, partial(every.measurement, base)
    if shop.bit(question.bit).tip_flat is None:
        yield Candidate(measure="tip_flat"), partial(results.loupe_on_flat, world)
    depths = groove_depths(question.pocket_depth)
    yield Candidate(measure="groove", groove_depths=depths), partial(results.grooves, world, single, depths)
    yield Candidate(measure="depth_gauge"), partial(results.depth_gauge, world, single)
