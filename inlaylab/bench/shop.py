"""A shop: everything that lies on the bench, as one frozen bundle that goes from the log to fits and figures."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, TypeVar

from inlaylab.bench.bits import Bit, Groove
from inlaylab.bench.coupons import Coupon
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.bench.fields import as_values, canonical
from inlaylab.bench.forecasts import Forecast
from inlaylab.bench.habits import Habits
from inlaylab.bench.readings import Reading
from inlaylab.errors import RecordError

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

_Record = TypeVar("_Record")


@dataclass(frozen=True, kw_only=True)
class Shop:
    """
    Records of one shop; all lengths in mm.

    Parameters
    ----------
    bits, grooves, pairs, coupons, cuts, readings : tuple of records
        In the order in which they were logged.
    habits : Habits
        The shop's stated habits.
    forecasts : tuple of Forecast
        What was expected of cuts before they were read.

    Examples
    --------
    >>> shop = Shop(bits=(Bit(bit="b1", nominal_angle_deg=60),))
    >>> shop.bit("b1").nominal_angle_deg
    60.0
    """

    bits: tuple[Bit, ...] = ()
    grooves: tuple[Groove, ...] = ()
    pairs: tuple[Pair, ...] = ()
    coupons: tuple[Coupon, ...] = ()
    cuts: tuple[Cut, ...] = ()
    readings: tuple[Reading, ...] = ()
    habits: Habits = field(default_factory=Habits)
    forecasts: tuple[Forecast, ...] = ()

    def __post_init__(self) -> None:
        for name in ("bits", "grooves", "pairs", "coupons", "cuts", "readings", "forecasts"):
            object.__setattr__(self, name, tuple(getattr(self, name)))

    def bit(self, name: str) -> Bit:
        """Return the bit of this name."""
        return _named(self.bits, "bit", name)

    def pair(self, name: str) -> Pair:
        """Return the species pair of this name."""
        return _named(self.pairs, "pair", name)

    def coupon(self, name: str | None) -> Coupon:
        """Return the coupon of this name."""
        return _named(self.coupons, "coupon", name)

    def cut(self, name: str) -> Cut:
        """Return the cut of this name."""
        return _named(self.cuts, "cut", name)

    def readings_of(self, cut: str | Cut) -> tuple[Reading, ...]:
        """
        Return the readings of one cut.

        Parameters
        ----------
        cut : str or Cut
            The cut or its name.

        Returns
        -------
        readings : tuple of Reading
            In the order in which they were logged.
        """
        name = cut.cut if isinstance(cut, Cut) else cut
        return tuple(r for r in self.readings if r.cut == name)

    def with_cuts(self, cuts: Iterable[Cut], readings: Iterable[Reading] = ()) -> Shop:
        """
        Return the same shop with these cuts in place of its own.

        Parameters
        ----------
        cuts : iterable of Cut
            The cuts.
        readings : iterable of Reading
            Their readings.

        Returns
        -------
        shop : Shop
            Bits, grooves, pairs, coupons and habits are the same.
        """
        return replace(self, cuts=tuple(cuts), readings=tuple(readings))

    def fingerprint(self) -> str:
        """
        Return a hash over all content that matters to a fit.

        Returns
        -------
        fingerprint : str
            SHA-256, 64 hexadecimal digits. Notes, photos, units, texts as typed, layouts, origins, forecasts and the
            order of rows do not change it.
        """
        digest = hashlib.sha256()
        for group in ("bits", "grooves", "pairs", "coupons", "cuts", "readings"):
            lines = sorted(_content(record) for record in getattr(self, group))
            digest.update(f"{group} {len(lines)}\n".encode())
            digest.update("\n".join(lines).encode())
        digest.update(_content(self.habits).encode())
        return digest.hexdigest()


_NO_MATTER = ("notes", "photo", "picture", "unit", "typed", "extra", "maker", "layout", "origin")
_WHERE_STATED = ("method", "sd")


def _content(record: DataclassInstance) -> str:
    values = {
        name: value
        for name, value in as_values(record).items()
        if name not in _NO_MATTER and not (name in _WHERE_STATED and value is None)
    }
    if isinstance(record, Coupon):
        values["stations"] = sorted(_content(station) for station in record.stations)
    return canonical(values)


def _named(records: tuple[_Record, ...], kind: str, name: str | None) -> _Record:
    for record in records:
        if getattr(record, kind) == name:
            return record
    names = ", ".join(getattr(record, kind) for record in records[:20]) or f"there is no {kind} yet"
    raise RecordError(f"there is no such {kind}", field=kind, value=name, where="the log", allowed=names)
