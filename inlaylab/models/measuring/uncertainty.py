"""Uncertainties of what is reckoned from measured values, to first order as the GUM has it."""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike


def propagate(
    function: Callable[[np.ndarray], ArrayLike], values: ArrayLike, covariance: ArrayLike
) -> tuple[np.ndarray, np.ndarray]:
    """
    Carry the uncertainties of measured values over to what is reckoned from them.

    Parameters
    ----------
    function : callable
        Takes the array of values and gives one or more numbers.
    values : array_like
        Best values.
    covariance : array_like
        Covariance of the values; a plain list of standard uncertainties where they are independent.

    Returns
    -------
    results : array
        What the function gives.
    covariance : array
        Covariance of the results.

    Notes
    -----
    JCGM 100:2008 (GUM), equations (13) and (F.2): J V J', with the sensitivities
    J taken by central differences a thousandth of a standard uncertainty wide.

    Examples
    --------
    >>> area, variance = propagate(np.prod, [10.0, 20.0], [0.1, 0.1])
    >>> print(f"{area[0]:.0f} +- {variance[0, 0] ** 0.5:.2f}")
    200 +- 2.24
    """
    values, covariance = np.asarray(values, dtype=float), np.asarray(covariance, dtype=float)
    if covariance.ndim == 1:
        covariance = np.diag(covariance**2)
    results = np.atleast_1d(function(values))
    steps = np.sqrt(np.diag(covariance)) * 1e-3
    sensitivities = np.zeros((results.size, values.size))
    for index in np.flatnonzero(steps):
        step = np.zeros(values.size)
        step[index] = steps[index]
        change = np.atleast_1d(function(values + step)) - np.atleast_1d(function(values - step))
        sensitivities[:, index] = change / (2 * steps[index])
    return results, sensitivities @ covariance @ sensitivities.T
