"""What a maker will read on a cut that nobody has read yet, kept so that it can be compared later."""

import numpy as np

from inlaylab.bench.coupons import Station
from inlaylab.bench.cuts import Cut
from inlaylab.bench.forecasts import LEVELS, Expected, Forecast
from inlaylab.bench.shop import Shop
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.observations import station_geometry
from inlaylab.fitting.predict.draws import scenario
from inlaylab.models.filling import filled_chance

FORECAST_DRAWS = 4000
"""Predictive draws of a forecast. Our choice: the 5 % quantile of 4000 draws wavers by 0.3 % of chance."""


def forecast(fit: Fit, shop: Shop, cut: Cut, *, made: str, within: float, seed: int = 0) -> Forecast:
    """
    Forecast what will be read on a cut, station by station.

    Parameters
    ----------
    fit : Fit
        Converged fit that knows no reading of the cut.
    shop : Shop
        Holds the bit, pair and coupon of the cut.
    cut : Cut
        As it is programmed.
    made : str
        When, ISO 8601.
    within : float
        Widest glue line that is called good. [mm]
    seed : int
        Seed of the predictive draws.

    Returns
    -------
    forecast : Forecast
        Quantiles of each bar's glue line as read by loupe, its local opening and the loupe's error included; the chance
        that the bar is filled; the chance that no line is read wider than ``within``. Without a coupon there is no
        station, and no chance.

    Raises
    ------
    NotConverged
        If the fit's chains do not agree.
    """
    fit.check()
    bars = _bars(shop, cut)
    if not bars:
        return Forecast(cut=cut.cut, made=made, within=within, known=fit.cuts)
    world = scenario(fit, shop, (cut,), seed=seed, size=FORECAST_DRAWS)
    geometry = [station_geometry(cut, station, shop) for station in bars]
    depths, finished, across = (
        np.array([each[key] for each in geometry], float) for key in ("depths", "finished", "across")
    )
    lines = world.glue_lines(depths=depths, cut=np.zeros(len(bars), int), level=world.seat_level())
    read = np.maximum(0.0, lines + world.fitted["loupe_sd"][:, None] * world.rng.standard_normal(lines.shape))
    filled = np.mean(
        filled_chance(
            finished_width=finished,
            half_filled_width=world.fitted["half_filled"][:, world.cuts.insert[:1]],
            softness=world.fitted["fill_softness"][:, None],
            across_shift=world.fitted["across_shift"][:, None],
            across=across,
        ),
        axis=0,
    )
    levels = np.quantile(read, list(LEVELS.values()), axis=0)
    stations = tuple(
        Expected(
            station=station.station,
            filled=float(np.clip(filled[n], 0.0, 1.0)),
            **{name: float(levels[k, n]) for k, name in enumerate(LEVELS)},
        )
        for n, station in enumerate(bars)
    )
    chance = float(np.mean((read <= within).all(axis=1)))
    return Forecast(cut=cut.cut, made=made, within=within, chance=chance, known=fit.cuts, stations=stations)


def _bars(shop: Shop, cut: Cut) -> list[Station]:
    """Stations that have one glue line: a wedge has none."""
    if cut.coupon is None:
        return []
    return [station for station in shop.coupon(cut.coupon).stations if station.kind == "bar"]
