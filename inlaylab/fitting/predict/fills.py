"""Share of strokes that fill, by finished width, along and across the grain, beside what was seen."""

from dataclasses import dataclass

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.observations import station_geometry
from inlaylab.models.filling import filled_chance

STATES = {"filled": 1.0, "partly": 0.5, "missing": 0.0}


@dataclass(frozen=True, kw_only=True)
class FillCurve:
    """
    Chance of filling for one insert species, and what was seen of it.

    Parameters
    ----------
    insert : str
        The insert's species.
    widths : array, shape (widths,)
        Finished full widths. [mm]
    along, across : array, shape (widths, 3)
        5, 50 and 95 % quantiles of the chance of "filled" along and across the grain.
    seen : tuple of (float, str, float)
        Finished width [mm], grain, and 1, 0.5 or 0 for filled, partly or missing.
    """

    insert: str
    widths: np.ndarray
    along: np.ndarray
    across: np.ndarray
    seen: tuple[tuple[float, str, float], ...]


def fill_curve(fit: Fit, shop: Shop, insert: str, *, widest: float = 1.2, count: int = 60) -> FillCurve:
    """
    Give the chance of filling by finished width.

    Parameters
    ----------
    fit : Fit
        Converged fit of the shop.
    shop : Shop
        Its readings are what was seen.
    insert : str
        A species that the shop has cut plugs of.
    widest : float
        Largest finished width. [mm]
    count : int
        How many widths.

    Returns
    -------
    curve : FillCurve
    """
    fit.check()
    widths = np.linspace(0.0, widest, count)
    fitted, at = fit.values, fit.names.species.index(insert)
    grains = {}
    for grain, across in (("along", 0.0), ("across", 1.0)):
        chance = filled_chance(
            finished_width=widths,
            half_filled_width=fitted["half_filled"][:, at, None],
            softness=fitted["fill_softness"][:, None],
            across_shift=fitted["across_shift"][:, None],
            across=across,
        )
        grains[grain] = np.quantile(chance, [0.05, 0.5, 0.95], axis=0).T
    seen = []
    for cut in shop.cuts:
        if cut.coupon is None or shop.pair(cut.pair).insert != insert:
            continue
        for reading in shop.readings_of(cut):
            if reading.kind == "fill" and reading.station is not None and reading.state is not None:
                station = shop.coupon(cut.coupon).station(reading.station)
                width = float(station_geometry(cut, station, shop)["finished"])
                seen.append((width, station.grain, STATES[reading.state]))
    return FillCurve(insert=insert, widths=widths, along=grains["along"], across=grains["across"], seen=tuple(seen))
