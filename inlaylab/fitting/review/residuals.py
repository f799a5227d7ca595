"""Every reading beside what the fit expected of it."""

import numpy as np

from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.cut_seats import seat_levels
from inlaylab.fitting.model.likelihood import SCATTER, expected_values, scatter
from inlaylab.fitting.model.observations import Observations


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
    total = len(fit.values["bias"])
    pick = np.linspace(0, total - 1, min(draws, total)).astype(int)
    fitted = {name: value[pick] for name, value in fit.values.items()}
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
