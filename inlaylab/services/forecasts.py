"""
The kit's own score: forecasts of cuts before they are read, kept in the log, and what came of them.

A panel that saves a cut asks `forecast_of` first and saves both together; `kept_score` and `replayed_score` answer how
often the kit was right here.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from inlaylab.bench.cuts import Cut
from inlaylab.bench.forecasts import Forecast
from inlaylab.bench.shop import Shop
from inlaylab.errors import InlaylabError, NotConverged, Stopped

if TYPE_CHECKING:
    from inlaylab.fitting.fit import Fit
    from inlaylab.fitting.review.forecast_score import ForecastScore

Progress = Callable[[float, float | None, str], None]
"""Told the share done, the seconds left if known, and what is being done."""


def forecast_of(log_path: str | Path, cut: Cut, *, shop: Shop | None = None, fit: Fit | None = None) -> Forecast | None:
    """
    Forecast a cut that is about to be saved, from the fit beside the log.

    Parameters
    ----------
    log_path : path
        The log.
    cut : Cut
        As it is programmed; its bit, pair and coupon are in the log.
    shop : Shop, optional
        What the log holds now; read if left out.
    fit : Fit, optional
        The fit beside it; read if left out.

    Returns
    -------
    forecast : Forecast or None
        To be saved with the cut. None where nothing can be forecast: there is no settled fit, the cut has been read
        already, or nobody can tell that the fit knows nothing of it.
    """
    from inlaylab.fitting.predict.forecast import forecast
    from inlaylab.services.open_log import last_fit, open_shop

    shop = open_shop(Path(log_path))[0] if shop is None else shop
    fit = last_fit(Path(log_path)) if fit is None else fit
    if fit is None or shop.readings_of(cut.cut):
        return None
    if cut.cut in fit.names.cuts and fit.fingerprint != shop.fingerprint():
        return None  # fitted while it had readings, perhaps: they were taken out since
    made = datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds")
    try:
        return forecast(fit, shop, cut, made=made, within=shop.habits.hairline_below)
    except InlaylabError:
        return None


def kept_score(shop: Shop, *, last: int | None = None) -> ForecastScore:
    """
    Hold the forecasts that a log keeps against what was read.

    Parameters
    ----------
    shop : Shop
        The log.
    last : int, optional
        Only the last so many cuts that have been read.

    Returns
    -------
    score : ForecastScore
    """
    from inlaylab.fitting.review.forecast_score import score

    return score(shop, shop.forecasts, last=last)


def replayed_score(
    shop: Shop, *, seed: int = 1, progress: Progress | None = None, stop: Callable[[], bool] | None = None
) -> ForecastScore:
    """
    Forecast every cut but the first from the cuts before it, as if the log had been fitted each time.

    Parameters
    ----------
    shop : Shop
        The log.
    seed : int
        Seed of the fits.
    progress, stop : callable, optional
        Told how far it is; asked whether to stop.

    Returns
    -------
    score : ForecastScore
        A cut whose fit did not settle has no forecast.

    Raises
    ------
    Stopped
        When ``stop`` said so.
    """
    from inlaylab.fitting.predict.forecast import forecast
    from inlaylab.fitting.replay import fits_of_prefixes, in_order
    from inlaylab.fitting.review.forecast_score import score

    order, made = in_order(shop), []
    for count, fit in fits_of_prefixes(shop, seed=seed, progress=progress, stop=stop):
        if stop is not None and stop():
            raise Stopped("the replay was stopped")
        cut = order[count]
        try:
            day = cut.date or "1900-01-01"
            made.append(forecast(fit, shop, cut, made=day, within=shop.habits.hairline_below))
        except NotConverged:
            continue
    return score(shop, made, replayed=True)
