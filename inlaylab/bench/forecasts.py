"""Forecasts: what a fit expected of a cut before anything was read on it."""

from __future__ import annotations

from dataclasses import dataclass

from inlaylab.bench import checks, fields
from inlaylab.errors import RecordError

LEVELS = {"q05": 0.05, "q25": 0.25, "q50": 0.5, "q75": 0.75, "q95": 0.95}
"""Each quantile of a forecast and its level."""

_WIDEST = 500.0


@dataclass(frozen=True, kw_only=True)
class Expected:
    """
    What was expected at one station.

    Parameters
    ----------
    station : str
        Its name on the cut's coupon.
    q05, q25, q50, q75, q95 : float, optional
        Quantiles of the glue line that a maker would read there, per side, 0 where it is closed. [mm]
    filled : float, optional
        Chance that the stroke is filled.
    """

    station: str = fields.name()
    q05: float | None = fields.length(high=_WIDEST)
    q25: float | None = fields.length(high=_WIDEST)
    q50: float | None = fields.length(high=_WIDEST)
    q75: float | None = fields.length(high=_WIDEST)
    q95: float | None = fields.length(high=_WIDEST)
    filled: float | None = fields.number(low=0.0, high=1.0)

    def __post_init__(self) -> None:
        checks.check(self)
        given = [getattr(self, name) for name in LEVELS]
        if any(level is None for level in given) != all(level is None for level in given):
            checks.refuse(self, "q50", "some quantiles are missing", None, "all five quantiles, or none")
        if given != sorted(given, key=lambda level: level or 0.0):
            checks.refuse(self, "q50", "the quantiles do not rise", self.q50, "q05 to q95 in rising order")


@dataclass(frozen=True, kw_only=True)
class Forecast:
    """
    What a fit expected of one cut.

    Parameters
    ----------
    cut : str
        Name of the cut.
    made : str
        When, ISO 8601; before any reading of the cut.
    within : float
        Widest glue line that the maker calls good. [mm]
    chance : float, optional
        Chance that every glue line of the cut is within that.
    known : int
        How many cuts the fit had learnt from.
    stations : tuple of Expected
        Station by station; none for a cut without a coupon.
    origin : str, optional
        Whose shared page it came from, and that page's fingerprint.
    """

    cut: str = fields.name()
    made: str = fields.date(needed=True)
    within: float = fields.length(high=10.0, above=True, needed=True)
    chance: float | None = fields.number(low=0.0, high=1.0)
    known: float = fields.number(low=0.0, high=1e6, needed=True)
    stations: tuple[Expected, ...] = ()
    origin: str | None = fields.origin()

    def __post_init__(self) -> None:
        checks.check(self)
        object.__setattr__(self, "stations", tuple(self.stations))
        names = [each.station for each in self.stations]
        twice = next((name for i, name in enumerate(names) if name in names[:i]), None)
        if twice is not None:
            raise RecordError("a station stands twice", field="station", value=twice, where=f"forecast of {self.cut}")
