"""Draws summed up by quantiles."""

import numpy as np

QUANTILES = {"q05": 0.05, "q10": 0.10, "q25": 0.25, "q50": 0.50, "q75": 0.75, "q90": 0.90, "q95": 0.95}


def spread(draws: np.ndarray, names: tuple[str, ...] = ("q05", "q50", "q95")) -> dict[str, float]:
    """
    Quantiles of draws by their names.

    Parameters
    ----------
    draws : array
        Of one quantity.
    names : tuple of str
        Of `QUANTILES`.

    Returns
    -------
    spread : dict of str to float
        In the quantity's unit.
    """
    levels = np.quantile(draws, [QUANTILES[name] for name in names])
    return {name: float(level) for name, level in zip(names, levels, strict=True)}
