"""
Curves through measured values by least squares, with the uncertainties of what was fitted.

One solver for whatever is not a straight line; ``lines`` has those.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from inlaylab.errors import InputError


@dataclass(frozen=True, kw_only=True)
class Fitted:
    """
    Parameters that fit measured values best.

    Parameters
    ----------
    best : array
        The parameters.
    covariance : array
        Covariance of the parameters.
    residuals : array
        Measured less fitted, in the order given.
    degrees_of_freedom : int
        Values less parameters.
    """

    best: np.ndarray
    covariance: np.ndarray
    residuals: np.ndarray
    degrees_of_freedom: int

    @property
    def uncertainties(self) -> np.ndarray:
        """Standard uncertainties of the parameters."""
        return np.sqrt(np.diag(self.covariance))


def fit_curve(
    function: Callable[[np.ndarray], np.ndarray],
    guess: ArrayLike,
    measured: ArrayLike,
    *,
    known_covariance: ArrayLike | None = None,
) -> Fitted:
    """
    Find the parameters whose function comes closest to measured values.

    Parameters
    ----------
    function : callable
        Takes the parameters, gives one number for each measured value; analytic,
        for it is called with complex numbers too.
    guess : array_like
        Parameters to begin with.
    measured : array_like
        Measured values.
    known_covariance : array_like, optional
        Covariance of the measured values; without it their scatter says how good they are.

    Returns
    -------
    fitted : Fitted
        Best parameters with their covariance, to first order.

    Raises
    ------
    InputError
        Where the values do not settle the parameters.

    Notes
    -----
    Levenberg and Marquardt's method as in MINPACK, with derivatives by complex steps.

    Examples
    --------
    >>> fitted = fit_curve(lambda p: p[0] * np.exp(p[1] * np.array([0.0, 1.0, 2.0])), [1.0, 0.5], [2.0, 4.0, 8.0])
    >>> print(fitted.best.round(4))
    [2.     0.6931]
    """
    from scipy.optimize import least_squares

    start, measured = np.asarray(guess, dtype=float), np.asarray(measured, dtype=float)
    freedom = _freedom(measured.size, start.size, known=known_covariance is not None)
    whiten = _whitening(known_covariance)

    def white(values: np.ndarray) -> np.ndarray:
        return values if whiten is None else whiten @ values

    def missed(parameters: np.ndarray) -> np.ndarray:
        return white(function(parameters) - measured)

    def change(parameters: np.ndarray) -> np.ndarray:
        return white(_by_complex_steps(function, parameters))

    tight: Any = {"ftol": 1e-13, "xtol": 1e-13, "gtol": 1e-13, "max_nfev": 20_000}
    with np.errstate(over="ignore"):
        found = least_squares(missed, start, jac=change, method="lm", x_scale="jac", **tight)
    upper = np.linalg.qr(change(found.x), mode="r")
    if np.abs(np.diag(upper)).min() < 1e-13 * np.abs(upper).max() * 1e-3 or not np.isfinite(found.x).all():
        raise InputError("these values do not settle the parameters", value=found.x.round(3).tolist())
    inverse = np.linalg.inv(upper)
    scale = 1.0 if known_covariance is not None else 2 * found.cost / freedom
    return Fitted(
        best=found.x,
        covariance=inverse @ inverse.T * scale,
        residuals=measured - function(found.x),
        degrees_of_freedom=freedom,
    )


def _freedom(values: int, parameters: int, *, known: bool) -> int:
    """Degrees of freedom, or a refusal where they do not suffice."""
    freedom = values - parameters
    if freedom < 0 or (freedom == 0 and not known):
        raise InputError("too few values to fit", value=f"{values} for {parameters} parameters", allowed="more values")
    return freedom


def _whitening(covariance: ArrayLike | None) -> np.ndarray | None:
    """Matrix that makes values of this covariance independent and of equal spread."""
    if covariance is None:
        return None
    return np.linalg.inv(np.linalg.cholesky(np.asarray(covariance, dtype=float)))


def _by_complex_steps(function: Callable[[np.ndarray], np.ndarray], parameters: np.ndarray) -> np.ndarray:
    """
    Derivatives of every value after every parameter.

    They are worked out here because scipy offers jac="cs" for its other methods only, and those miss NIST's Hahn1
    curve in the third digit, where this one reaches six.
    """
    columns = [np.imag(function(parameters + 1e-30j * unit)) / 1e-30 for unit in np.eye(parameters.size)]
    return np.stack(columns, axis=-1)
