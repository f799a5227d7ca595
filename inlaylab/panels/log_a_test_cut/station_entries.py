"""
What is typed at the stations of a coupon.

What may be typed is short, so that a coupon of twelve stations takes
less than a minute: a length for the glue line, ``c`` where it is closed, ``f``, ``p`` or ``m`` where the stroke is
filled, partly filled or missing, and both together where both were looked at (``0.12 p``). Blank is "not read".
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, TypedDict

import traitlets

from inlaylab import units
from inlaylab.bench.readings import Reading
from inlaylab.errors import InputError
from inlaylab.panels.shared.entries import Entry, Held
from inlaylab.panels.shared.length_entries import LengthEntry
from inlaylab.wording.panels import log_a_test_cut as words
from inlaylab.wording.panels.log_a_test_cut import MARKS, READINGS, understood

if TYPE_CHECKING:
    from inlaylab.bench.coupons import Coupon, Station

_CLOSED = ("c", "closed")
_FILLS = {"f": "filled", "p": "partly", "m": "missing", "filled": "filled", "partly": "partly", "missing": "missing"}


class Seen(TypedDict):
    """What was typed at one station: the line, or the width below which nothing was seen, and how the stroke filled."""

    length: units.Length | None
    below: units.Length | None
    closed: bool
    fill: str | None


class StationEntry(Entry):
    """
    What was read at one station.

    Parameters
    ----------
    station : bench.coupons.Station
        Where it is read.
    unit : str
        Unit of numbers typed without one.
    limit : LengthEntry
        The width below which the eye saw nothing; "closed" is recorded with it.

    Examples
    --------
    >>> from inlaylab.bench.coupons import Station
    >>> spot = Station(coupon="c1", station="B1", kind="bar", stroke_width=1.2, land_width=3, grain="along")
    >>> entry = StationEntry(spot, unit="mm", limit=LengthEntry("limit", typed="0.05"))
    >>> entry.typed = "0.12 p"
    >>> entry.shown
    'glue line 0.12 mm, partly filled'
    >>> [reading.kind for reading in entry.readings("k1")]
    ['glue_line', 'fill']
    """

    def __init__(self, station: Station, *, unit: str, limit: LengthEntry):
        self.station, self.unit, self.limit = station, unit, limit
        self._stored: tuple[str, tuple[Reading, ...]] = ("", ())
        super().__init__(station.station)

    def read(self, text: str) -> Seen:
        """Give what was read as a dict, or raise InputError."""
        marks: list[str] = []
        rest: list[str] = []
        for word in text.lower().split():
            (marks if word in _CLOSED or word in _FILLS else rest).append(word)
        found: Seen = {"length": None, "below": None, "closed": False, "fill": None}
        for mark in marks:
            if found["closed"] if mark in _CLOSED else found["fill"]:
                raise InputError(self.label, value=text, allowed=words.ONE_MARK)
            if mark in _CLOSED:
                found["closed"] = True
            else:
                found["fill"] = _FILLS[mark]
        if rest:
            typed = " ".join(rest)
            below = typed.startswith("<")
            found["below" if below else "length"] = self._length(typed.lstrip("< "), text)
            found["closed"] = found["closed"] or below
        self._agree(found, text)
        return found

    def _length(self, typed: str, text: str) -> units.Length:
        try:
            length = units.parse_length(typed, self.unit)
        except InputError as refusal:
            allowed = refusal.allowed if any(c.isdigit() for c in typed) else MARKS
            raise InputError(self.label, value=text, allowed=allowed) from None
        if length.mm < 0:
            raise InputError(self.label, value=text, allowed=words.NOT_BELOW_ZERO)
        return length

    def _agree(self, found: Seen, text: str) -> None:
        if self.station.kind == "wedge":
            if found["closed"] or found["fill"]:
                raise InputError(self.label, value=text, allowed=words.ONLY_WEDGE)
            return
        if found["closed"] and found["length"] is not None:
            raise InputError(self.label, value=text, allowed=words.NOT_BOTH)
        if found["fill"] == "missing" and (found["closed"] or found["length"] is not None):
            raise InputError(self.label, value=text, remedy=words.M_ALONE)
        if found["closed"] and found["below"] is None and self.limit.mm is None:
            raise InputError(self.label, value=text, remedy=words.FIRST_LIMIT)

    def understood(self, value: Seen) -> str:
        """Say what was understood."""
        length, closed = value["length"], value["closed"]
        return understood(
            None if length is None else length.mm,
            self.unit,
            wedge=self.station.kind == "wedge",
            closed_below=self._limit(value) if closed else None,
            fill=value["fill"],
        )

    def clear(self) -> None:
        """Empty the field."""
        self._stored = ("", ())
        super().clear()

    def readings(self, cut: str) -> tuple[Reading, ...]:
        """Give the station's readings as records of a cut; those that were not typed anew are as they were."""
        found = self.value
        if found is None:
            return ()
        if self.typed == self._stored[0]:
            return tuple(replace(reading, cut=cut) for reading in self._stored[1])
        kept = []
        name = self.station.station
        length = found["length"]
        if length is not None:
            kind = "wedge_stop" if self.station.kind == "wedge" else "glue_line"
            typed = {"value": length.typed}
            limit = self.limit.mm if kind == "glue_line" else None
            kept.append(
                Reading(cut=cut, kind=kind, station=name, value=length.mm, limit=limit, unit=length.unit, typed=typed)
            )
        if found["closed"]:
            limit = self._limit(found)
            source = found["below"] or self.limit.value
            typed = {"limit": source.typed}
            kept.append(
                Reading(
                    cut=cut, kind="glue_line", station=name, state="closed", limit=limit, unit=source.unit, typed=typed
                )
            )
        if found["fill"]:
            kept.append(Reading(cut=cut, kind="fill", station=name, state=found["fill"]))
        return tuple(kept)

    def type_readings(self, readings: Iterable[Reading]) -> None:
        """Type stored readings back into the field, as far as one line holds them."""
        readings = tuple(readings)
        words: list[str] = []
        for reading in readings:
            if reading.state == "closed":
                limit, usually = reading.limit, self.limit.mm
                usual = limit is not None and usually is not None and abs(limit - usually) < 1e-9
                words.insert(0, "c" if usual else f"<{_as_typed(reading, 'limit')}")
            elif reading.state:
                words.append(reading.state[0])
            elif reading.value is not None:
                words.insert(0, _as_typed(reading, "value"))
        self.typed = " ".join(words)
        self._stored = (self.typed, readings)

    def _limit(self, found: Seen) -> float:
        return found["below"].mm if found["below"] is not None else float(self.limit.mm or 0.0)


def _as_typed(reading: Reading, field: str) -> str:
    typed = str(reading.typed.get(field, "")).strip()
    if typed and typed[-1].isdigit():
        return f"{typed} {reading.unit}"
    unit = reading.unit or "mm"
    return typed or f"{units.number_text(getattr(reading, field), unit)} {unit}"


class GridState(traitlets.HasTraits):
    """
    The station readings of one coupon.

    Parameters
    ----------
    limit : LengthEntry
        The width below which the eye saw nothing.

    Attributes
    ----------
    coupon : bench.coupons.Coupon or None
    entries : tuple of StationEntry
    said : str
        The stations whose text is refused; a form takes the grid as one of its entries.
    """

    coupon: Held[Coupon | None] = Held()
    entries = traitlets.Tuple()
    unit = traitlets.Unicode("mm")
    said = traitlets.Unicode()
    value: Held[int | None] = Held()
    required = traitlets.Bool(False)
    missing = False
    label = READINGS

    def __init__(self, *, limit: LengthEntry, unit: str = "mm"):
        self.limit = limit
        super().__init__(unit=unit)
        limit.observe(self._limit_changed, "value")

    def show(self, coupon: Coupon | None) -> None:
        """Take the stations of another coupon, or of none; what was typed at stations of the same name is kept."""
        typed = {entry.label: entry.typed for entry in self.entries}
        self.coupon = coupon
        self._build(typed)

    def clear(self) -> None:
        """Empty every station."""
        for entry in self.entries:
            entry.clear()

    def readings(self, cut: str) -> tuple[Reading, ...]:
        """Give the readings of all stations as records of a cut."""
        return tuple(reading for entry in self.entries for reading in entry.readings(cut))

    def type_readings(self, readings: Iterable[Reading]) -> tuple[Reading, ...]:
        """Type stored readings into their stations; give those that one field cannot hold."""
        rest = []
        for entry in self.entries:
            mine = [reading for reading in readings if reading.station == entry.label]
            kinds = [reading.kind for reading in mine]
            first = [reading for i, reading in enumerate(mine) if reading.kind not in kinds[:i]]
            entry.type_readings(first)
            rest += [reading for i, reading in enumerate(mine) if reading.kind in kinds[:i]]
        return tuple(rest)

    def _build(self, typed: dict[str, str]) -> None:
        stations = self.coupon.stations if self.coupon is not None else ()
        entries = tuple(StationEntry(station, unit=self.unit, limit=self.limit) for station in stations)
        for entry in entries:
            entry.observe(self._look, ["said", "value"])
            entry.typed = typed.get(entry.label, "")
        self.entries = entries
        self._look()

    @traitlets.observe("unit")
    def _unit_changed(self, change: traitlets.Bunch) -> None:
        self._build({entry.label: entry.typed for entry in self.entries})

    def _limit_changed(self, change: traitlets.Bunch) -> None:
        for entry in self.entries:
            entry._reread()

    def _look(self, change: traitlets.Bunch | None = None) -> None:
        self.said = ", ".join(entry.label for entry in self.entries if entry.said)
        self.value = sum(entry.value is not None for entry in self.entries) or None
