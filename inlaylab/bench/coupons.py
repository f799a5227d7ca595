"""Coupons: the piece that a test cut is made on, its stations, and strokes of an artwork."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass

from inlaylab.bench import checks, fields
from inlaylab.errors import RecordError

KINDS = ("bar", "wedge")
GRAINS = ("along", "across")
MOST_STATIONS = 500


@dataclass(frozen=True, kw_only=True)
class Station:
    """
    A place on a coupon where something is read.

    Parameters
    ----------
    coupon, station : str
        Names of the coupon and of the place on it.
    kind : {"bar", "wedge"}
        A bar has one width; a wedge runs from nothing to its wide end.
    stroke_width : float
        Full width of the stroke; of a wedge at its wide end. [mm]
    land_width : float
        Full width of the land beside it. [mm]
    grain : {"along", "across"}
        How the stroke lies to the insert's grain.
    unit : str
        Unit that its lengths were typed in.
    origin : str, optional
        Whose shared page it came from, and that page's fingerprint.
    typed, extra : dict
        Lengths as typed; columns kept without a use.
    """

    coupon: str = fields.name()
    station: str = fields.name()
    kind: str = fields.choice(*KINDS)
    stroke_width: float = fields.length(high=2000.0, above=True, needed=True)
    land_width: float = fields.length(high=2000.0, above=True, needed=True)
    grain: str = fields.choice(*GRAINS)
    unit: str = fields.unit()
    origin: str | None = fields.origin()
    typed: Mapping[str, str] = fields.typed()
    extra: Mapping[str, str] = fields.extra()

    def __post_init__(self) -> None:
        checks.check(self)


@dataclass(frozen=True, kw_only=True)
class Coupon:
    """
    A coupon: its name and its stations.

    Parameters
    ----------
    coupon : str
        Its name.
    stations : tuple of Station
        At least one, each name once.
    layout : str
        JSON text of the drawing it was cut from, by which a picture of its face can be read; blank if not kept.

    Examples
    --------
    >>> bar = Station(coupon="c1", station="B1", kind="bar", stroke_width=2, land_width=4, grain="along")
    >>> Coupon(coupon="c1", stations=[bar]).station("B1").stroke_width
    2.0
    """

    coupon: str = fields.name()
    stations: tuple[Station, ...] = ()
    layout: str = fields.json_object()

    def __post_init__(self) -> None:
        checks.check(self)
        object.__setattr__(self, "stations", tuple(self.stations))
        where, names = f"coupon {self.coupon}", [s.station for s in self.stations]
        if not 0 < len(names) <= MOST_STATIONS:
            allowed = f"1 to {MOST_STATIONS} stations"
            raise RecordError("the number of stations", field="station", value=len(names), where=where, allowed=allowed)
        for station in self.stations:
            if station.coupon != self.coupon:
                raise RecordError("a station of another coupon", field="coupon", value=station.coupon, where=where)
        twice = next((n for i, n in enumerate(names) if n in names[:i]), None)
        if twice is not None:
            raise RecordError("a station stands twice", field="station", value=twice, where=where)
        self._check_layout(names)

    def _check_layout(self, names: list[str]) -> None:
        """See that a layout is of these stations, and have it bear this coupon's name."""
        if not self.layout:
            return
        layout = json.loads(self.layout)
        drawn = layout.get("stations")
        if not isinstance(drawn, list) or not all(isinstance(each, dict) for each in drawn):
            checks.refuse(self, "layout", "the layout lists no stations", None, "a layout as `coupon` writes it")
        stray = next((each.get("station") for each in drawn if each.get("station") not in names), None)
        if stray is not None or not drawn:
            checks.refuse(self, "layout", "the layout draws a station that the coupon does not have", stray)
        object.__setattr__(self, "layout", fields.canonical({**layout, "coupon": self.coupon}))

    @property
    def origin(self) -> str | None:
        """Whose shared page it came from; None where it was logged here."""
        return next((station.origin for station in self.stations if station.origin), None)

    def station(self, name: str | None) -> Station:
        """
        Return the station of this name.

        Parameters
        ----------
        name : str
            Name of the station.

        Returns
        -------
        station : Station
            The station.

        Raises
        ------
        RecordError
            If the coupon has no such station.
        """
        for station in self.stations:
            if station.station == name:
                return station
        allowed = ", ".join(s.station for s in self.stations[:20])
        raise RecordError(
            "there is no such station", field="station", value=name, where=f"coupon {self.coupon}", allowed=allowed
        )


@dataclass(frozen=True, kw_only=True)
class Stroke:
    """
    A stroke of an artwork and the land beside it.

    Parameters
    ----------
    stroke_width, land_width : float
        Full widths. [mm]
    unit : str
        Unit that they were typed in.
    typed, extra : dict
        Lengths as typed; columns kept without a use.
    """

    stroke_width: float = fields.length(high=2000.0, above=True, needed=True)
    land_width: float = fields.length(high=2000.0, above=True, needed=True)
    unit: str = fields.unit()
    typed: Mapping[str, str] = fields.typed()
    extra: Mapping[str, str] = fields.extra()

    def __post_init__(self) -> None:
        checks.check(self)


@dataclass(frozen=True, kw_only=True)
class Point:
    """
    A point of an artwork.

    Parameters
    ----------
    x, y : float
        In the artwork's coordinates. [mm]
    unit : str
        Unit that they were typed in.
    typed, extra : dict
        Lengths as typed; columns kept without a use.
    """

    x: float = fields.length(low=-10_000.0, high=10_000.0, needed=True)
    y: float = fields.length(low=-10_000.0, high=10_000.0, needed=True)
    unit: str = fields.unit()
    typed: Mapping[str, str] = fields.typed()
    extra: Mapping[str, str] = fields.extra()

    def __post_init__(self) -> None:
        checks.check(self)
