"""Every reading beside what the fit expected of it."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.cut_seats import seat_levels
from inlaylab.fitting.model.likelihood import SCATTER, expected_values, scatter
from inlaylab.fitting.model.observations import Observations, observe
from inlaylab.fitting.review.cut_likelihood import thinned


@dataclass(frozen=True, kw_only=True)
class Residual:
    """
    One reading and what was expected of it.

    Parameters
    ----------
    cut, kind, station : str
        Where it stands; `station` is blank for readings of the whole piece.
    off : float
        Reading less expectation, in standard deviations of such a reading.
    suspect : bool
        Whether the fit believes it a mistake.
    """

    cut: str
    kind: str
    station: str
    off: float
    suspect: bool = False


def expected_readings(fit: Fit, seen: Observations, *, draws: int = 400) -> dict[str, dict[str, np.ndarray]]:
    """
    What the fit expects of each reading that has a length.

    Parameters
    ----------
    fit : Fit
        Fit of the shop.
    seen : Observations
        The same shop.
    draws : int
        How many posterior draws are looked at.

    Returns
    -------
    expected : dict of dict of arrays
        By kind, in mm: ``median``, ``q05``, ``q95`` of the true value, ``sd`` of a reading of it, ``residual``
        (reading less median; not a number where nothing was measured) and ``standardised`` residual.

    Examples
    --------
    >>> sorted(SCATTER)
    ['backer_gap', 'floor_gap', 'glue_line', 'groove', 'plug_depth', 'pocket_depth', 'wedge_stop']
    """
    fitted = thinned(fit, draws).values
    out: dict[str, dict[str, np.ndarray]] = {}
    if not seen.cuts.bit.size:
        return out
    level = seat_levels(fitted, seen.cuts)
    for kind in SCATTER:
        rows = seen.rows[kind]
        if not rows["row"].size:
            continue
        mean = expected_values(kind, fitted, seen.cuts, rows, level)
        spread = np.median(scatter(kind, fitted))
        q05, median, q95 = np.quantile(mean, [0.05, 0.5, 0.95], axis=0)
        sd = np.sqrt(spread**2 + mean.var(axis=0))
        value = np.where(rows["closed"] > 0, np.nan, rows["value"]) if "closed" in rows else rows["value"]
        residual = value - median
        out[kind] = {
            "median": median,
            "q05": q05,
            "q95": q95,
            "sd": sd,
            "residual": residual,
            "standardised": residual / sd,
        }
    return out


def residuals_of(fit: Fit, shop: Shop, *, doubted: Iterable[int] = ()) -> tuple[Residual, ...]:
    """
    Set every measured reading of a fitted shop beside what was expected of it.

    Parameters
    ----------
    fit : Fit
        Fit of the shop.
    shop : Shop
        The same shop.
    doubted : iterable of int
        Rows of the readings that the fit doubts, as `suspects` names them.
    """
    seen = observe(shop)
    rows = frozenset(doubted)
    found = []
    for kind, expected in expected_readings(fit, seen).items():
        for row, off in zip(seen.rows[kind]["row"], expected["standardised"], strict=True):
            reading = shop.readings[int(row)]
            if math.isfinite(off):
                at = {"cut": reading.cut, "kind": kind, "station": reading.station or ""}
                found.append(Residual(**at, off=float(off), suspect=int(row) in rows))
    return tuple(found)
