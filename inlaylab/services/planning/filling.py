"""How likely a stroke of a finished width fills: as fitted, or by the usual limit."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inlaylab.artwork.axis.thin_strokes import step_chance

if TYPE_CHECKING:
    from inlaylab.fitting.fit import Fit

__all__ = ["Chance", "fill_chance", "fill_limit", "step_chance"]

#: Takes finished full widths [mm] and gives the chance that each fills.
Chance = Callable[[NDArray[np.float64]], NDArray[np.float64]]

_WIDEST = 4.0  # [mm] finished width up to which chances are worked out; beyond it the last one holds


def fill_chance(fit: Fit, insert: str) -> Chance | None:
    """
    Give the fitted chance of filling, half of it along and half across the grain.

    Parameters
    ----------
    fit : fitting.fit.Fit
        Fit of the log.
    insert : str
        Species of the insert.

    Returns
    -------
    chance : callable or None
        Takes finished full widths [mm]; None where the fit does not know the species.
    """
    from inlaylab.models.filling import filled_chance

    if insert not in fit.names.species:
        return None
    at, fitted = fit.names.species.index(insert), fit.values
    widths = np.linspace(0.0, _WIDEST, 161)
    law = {
        "half_filled_width": fitted["half_filled"][:, at, None],
        "softness": fitted["fill_softness"][:, None],
        "across_shift": fitted["across_shift"][:, None],
    }
    ways = [np.mean(filled_chance(finished_width=widths, across=across, **law), axis=0) for across in (0.0, 1.0)]
    mean = np.mean(ways, axis=0)
    return lambda width: np.interp(width, widths, mean)


def fill_limit(chance: Chance, *, sure: float = 0.9) -> float:
    """
    Find the finished width from which on a stroke fills with a stated chance.

    Parameters
    ----------
    chance : callable
        As from `fill_chance`.
    sure : float
        The chance asked for.

    Returns
    -------
    width : float
        4 mm where no thinner stroke has it. [mm]
    """
    widths = np.linspace(0.0, _WIDEST, 401)
    enough = np.flatnonzero(np.maximum.accumulate(chance(widths)) >= sure)
    return float(widths[enough[0]]) if len(enough) else _WIDEST
