"""What was forecast of cuts against what was read on them, and against two rules that need no fit."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from inlaylab.bench.cuts import Cut
from inlaylab.bench.forecasts import LEVELS, Expected, Forecast
from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.fitting.replay import in_order
from inlaylab.models.walls import half_tangent

FIXED_GAP = 0.3
"""
Floor gap of the fixed rule. [mm]

A choice of ours, with no source; other gaps were not compared.
"""


@dataclass(frozen=True, kw_only=True)
class StationScore:
    """
    One station: what was expected and what was read.

    Parameters
    ----------
    station : str
        Its name.
    expected : Expected
        The forecast.
    read : float or None
        The glue line, the mean where it was read more than once; 0 where it was seen closed; None where not read. [mm]
    closed_below : float or None
        Of a line that was seen closed: what the eye would still have seen. [mm]
    seen_from : float
        Width from which a line is read as open; closed below. [mm]
    """

    station: str
    expected: Expected
    read: float | None
    closed_below: float | None = None
    seen_from: float = 0.0

    @property
    def compared(self) -> bool:
        """Whether there is a line on both sides."""
        return self.read is not None and self.expected.q50 is not None

    def inside(self, low: str, high: str) -> bool:
        """
        Tell whether what was read lies within two quantiles of the forecast.

        Parameters
        ----------
        low, high : str
            Names of the quantiles.

        Returns
        -------
        inside : bool
            Of a line seen closed: whether the band begins below what the eye would still have seen.
        """
        lowest, highest = getattr(self.expected, low), getattr(self.expected, high)
        if self.closed_below is not None:
            return bool(lowest < self.closed_below)
        return bool(lowest <= (self.read or 0.0) <= highest)

    def inside_if_right(self, low: str, high: str) -> float:
        """
        Chance that `inside` is true if the forecast is right: above its nominal share where lines are often closed.

        Parameters
        ----------
        low, high : str
            Names of the quantiles.

        Returns
        -------
        chance : float
            From the forecast's own quantiles, straight lines between them; a band that begins below `seen_from` holds
            every line that is seen closed.
        """
        if getattr(self.expected, low) >= self.seen_from:
            return LEVELS[high] - LEVELS[low]
        values = [getattr(self.expected, name) for name in LEVELS]
        beyond = (1.0 + LEVELS["q95"]) / 2
        closed = float(np.interp(self.seen_from, values, list(LEVELS.values()), right=beyond))
        return max(closed, LEVELS[high])

    def miss(self, expected: float) -> float:
        """
        Tell how far an expected line is from what was read; nothing, where that was seen closed, below its limit.

        Parameters
        ----------
        expected : float
            The line. [mm]

        Returns
        -------
        miss : float
            [mm]
        """
        if self.closed_below is not None:
            return max(0.0, expected - self.closed_below)
        return abs(expected - (self.read or 0.0))


@dataclass(frozen=True, kw_only=True)
class CutScore:
    """
    One cut: its forecast and what came of it.

    Parameters
    ----------
    cut : str
        Its name.
    forecast : Forecast
        What was expected.
    replayed : bool
        Whether the forecast was made afterwards, from the cuts before this one.
    stations : tuple of StationScore
        Every station of the forecast.
    good : bool or None
        Whether no line was read wider than the forecast's tolerance; None where no line was read.
    """

    cut: str
    forecast: Forecast
    replayed: bool
    stations: tuple[StationScore, ...]
    good: bool | None

    def to_json(self) -> dict[str, object]:
        """What the command ``forecasts`` tells of this cut."""
        return {
            "cut": self.cut,
            "made": None if self.replayed else self.forecast.made,
            "replayed": self.replayed,
            "known_cuts": int(self.forecast.known),
            "within": self.forecast.within,
            "chance": self.forecast.chance,
            "good": self.good,
            "stations": [
                {"station": each.station}
                | {name: getattr(each.expected, name) for name in LEVELS}
                | {"filled": each.expected.filled, "read": each.read, "closed_below": each.closed_below}
                for each in self.stations
            ],
        }


@dataclass(frozen=True, kw_only=True)
class ForecastScore:
    """
    How forecasts of some cuts turned out.

    Parameters
    ----------
    cuts : tuple of CutScore
        Every cut that has a forecast, read or not, in the log's order.
    lines : int
        How many glue lines were compared.
    inside_50, inside_90 : float or None
        Share of them inside the middle half and the 90 % band; None where nothing was compared.
    right_50, right_90 : float or None
        The shares to be expected of forecasts that are right: more than 0.5 and 0.9, for a line that is seen closed
        counts as inside wherever the band begins below what the eye sees.
    mean_miss : float or None
        Mean distance of the middle of the forecast from what was read. [mm]
    last_cut, fixed_gap : float or None
        Two rules' mean miss of the same lines: the last cut, of this bit if there is one, comes again; lines stay
        closed while the floor gap is at least `FIXED_GAP`, and open by the missing gap times the wall's slope. [mm]
    brier : float or None
        Mean squared distance of the stated chances from what came (1 good, 0 not): 0 is best, 0.25 is a coin's.
    """

    cuts: tuple[CutScore, ...]
    lines: int = 0
    inside_50: float | None = None
    inside_90: float | None = None
    right_50: float | None = None
    right_90: float | None = None
    mean_miss: float | None = None
    last_cut: float | None = None
    fixed_gap: float | None = None
    brier: float | None = None

    @property
    def judged(self) -> tuple[CutScore, ...]:
        """Cuts whose chance can be held against what came."""
        return tuple(cut for cut in self.cuts if cut.good is not None and cut.forecast.chance is not None)

    def to_json(self) -> dict[str, object]:
        """Answer of the command ``forecasts``."""
        return {
            "cuts": [cut.to_json() for cut in self.cuts],
            "lines": self.lines,
            "inside_50": self.inside_50,
            "inside_90": self.inside_90,
            "inside_50_if_right": self.right_50,
            "inside_90_if_right": self.right_90,
            "mean_miss": self.mean_miss,
            "chances": {
                "cuts": len(self.judged),
                "mean_chance": _mean([cut.forecast.chance or 0.0 for cut in self.judged]),
                "good_share": _mean([float(bool(cut.good)) for cut in self.judged]),
                "brier": self.brier,
            },
            "rules": {"last_cut": {"mean_miss": self.last_cut}, "fixed_gap": {"mean_miss": self.fixed_gap}},
        }


def score(
    shop: Shop, forecasts: Iterable[Forecast], *, replayed: bool = False, last: int | None = None
) -> ForecastScore:
    """
    Hold forecasts against what was read.

    Parameters
    ----------
    shop : Shop
        The log.
    forecasts : iterable of Forecast
        Of cuts of the log.
    replayed : bool
        Whether they were made afterwards.
    last : int, optional
        Only the last so many cuts that have been read.

    Returns
    -------
    score : ForecastScore
    """
    by_cut, order = {each.cut: each for each in forecasts}, in_order(shop)
    cuts = [_cut_score(shop, cut, by_cut[cut.cut], replayed) for cut in order if cut.cut in by_cut]
    if last is not None:
        read = [cut.cut for cut in cuts if any(station.read is not None for station in cut.stations)]
        old = set(read[: max(0, len(read) - last)])
        cuts = [cut for cut in cuts if cut.cut not in old]
    pairs = [(shop.cut(cut.cut), station) for cut in cuts for station in cut.stations if station.compared]
    lines = [station for _, station in pairs]
    judged = [(cut.forecast.chance, cut.good) for cut in cuts if None not in (cut.forecast.chance, cut.good)]
    return ForecastScore(
        cuts=tuple(cuts),
        lines=len(lines),
        inside_50=_mean([float(line.inside("q25", "q75")) for line in lines]),
        inside_90=_mean([float(line.inside("q05", "q95")) for line in lines]),
        right_50=_mean([line.inside_if_right("q25", "q75") for line in lines]),
        right_90=_mean([line.inside_if_right("q05", "q95") for line in lines]),
        mean_miss=_mean([line.miss(line.expected.q50 or 0.0) for line in lines]),
        last_cut=_mean([line.miss(_by_last_cut(shop, order, cut, line.station)) for cut, line in pairs]),
        fixed_gap=_mean([line.miss(_by_fixed_gap(shop, cut)) for cut, line in pairs]),
        brier=_mean([((chance or 0.0) - float(bool(good))) ** 2 for chance, good in judged]),
    )


def _mean(values: list[float]) -> float | None:
    return float(np.mean(values)) if values else None


def _cut_score(shop: Shop, cut: Cut, expected: Forecast, replayed: bool) -> CutScore:
    lines = _lines_of(shop, cut)
    stations = tuple(
        StationScore(
            station=each.station,
            expected=each,
            seen_from=_seen_from(lines.get(each.station, []), shop.habits.loupe_limit),
            **_read(lines.get(each.station, [])),
        )
        for each in expected.stations
    )
    read = [station.read for station in stations if station.read is not None]
    good = max(read) <= expected.within if read else None
    return CutScore(cut=cut.cut, forecast=expected, replayed=replayed, stations=stations, good=good)


def _lines_of(shop: Shop, cut: Cut) -> dict[str, list[Reading]]:
    lines: dict[str, list[Reading]] = {}
    for reading in shop.readings_of(cut):
        if reading.kind == "glue_line" and reading.station is not None:
            lines.setdefault(reading.station, []).append(reading)
    return lines


def _read(readings: list[Reading]) -> dict[str, float | None]:
    values = [reading.value for reading in readings if reading.value is not None]
    limits = [reading.limit for reading in readings if reading.value is None and reading.limit is not None]
    if values:
        return {"read": float(np.mean(values + [0.0] * len(limits)))}
    return {"read": 0.0, "closed_below": min(limits)} if limits else {"read": None}


def _seen_from(readings: list[Reading], loupe_limit: float) -> float:
    """Tell from where a line is seen open: the limit that was stated, else the shop's where the line is above it."""
    stated = [reading.limit for reading in readings if reading.limit is not None]
    if stated:
        return min(stated)
    return loupe_limit if all((reading.value or 0.0) >= loupe_limit for reading in readings) else 0.0


def _by_last_cut(shop: Shop, order: list[Cut], cut: Cut, station: str) -> float:
    """Expect what the cut before showed there or at the nearest width; half the limit where it was closed."""
    before = order[: order.index(cut)][::-1]
    read = [(earlier, lines) for earlier in before if (lines := _lines_of(shop, earlier))]
    same_bit = [(earlier, lines) for earlier, lines in read if earlier.bit == cut.bit]
    if not read:
        return 0.0
    earlier, lines = (same_bit or read)[0]
    width, coupon = shop.coupon(cut.coupon).station(station).stroke_width, shop.coupon(earlier.coupon)
    same_place = earlier.coupon == cut.coupon and station in lines
    place = station if same_place else min(lines, key=lambda at: abs(coupon.station(at).stroke_width - width))
    found = _read(lines[place])
    closed = found.get("closed_below")
    return closed / 2 if closed is not None else found["read"] or 0.0


def _by_fixed_gap(shop: Shop, cut: Cut) -> float:
    missing = FIXED_GAP - (cut.pocket_depth - cut.start_depth)
    return max(0.0, missing) * float(half_tangent(shop.bit(cut.bit).nominal_angle_deg))
