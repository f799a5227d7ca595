"""
Whether a thin stroke fills.

A thin stroke of the plug may break off (missing), chip (partly) or come out
whole (filled). The chance rises with the stroke's width on the finished face.
"""

from typing import Any

import numpy as np

from inlaylab.models.arrays import Floats, as_arrays, plain

STATES = ("missing", "partly", "filled")
"""What can be seen of a thin stroke, from worst to best; the order of `chances`."""


def chances(
    finished_width: Floats,
    half_filled_width: Floats,
    softness: Floats,
    across_shift: Floats = 0.0,
    across: Floats = 0.0,
    step: Floats = 0.0,
) -> Floats:
    """
    Chance that a thin stroke is missing, partly there or filled.

    Parameters
    ----------
    finished_width : array_like
        Full width of the stroke on the sanded face. [mm]
    half_filled_width : array_like
        Width at which a stroke along the grain is filled with a chance of one half. [mm]
    softness : array_like
        How gradual the change is: the logistic curve's scale; positive. [mm]
    across_shift : array_like, optional
        How much wider a stroke across the insert's grain must be. [mm]
    across : array_like, optional
        1 where the stroke runs across the grain, 0 where along; shares between are allowed. [1]
    step : array_like, optional
        How much thinner a stroke is at least partly there with a chance of one
        half; not negative. [mm]

    Returns
    -------
    chances : array
        On a new last axis in the order of `STATES`; they add to 1. [1]

    Notes
    -----
    An ordered logistic curve: with x = width - half-filled width - across
    shift, the chance of "filled" is 1/(1 + exp(-x/softness)) and of "at least
    partly" 1/(1 + exp(-(x + step)/softness)).

    Examples
    --------
    >>> print(chances([0.3, 0.5, 2.0], half_filled_width=0.5, softness=0.1, step=0.1).round(2))
    [[0.73 0.15 0.12]
     [0.27 0.23 0.5 ]
     [0.   0.   1.  ]]
    """
    xp, (width, half, softness, shift, across, step) = as_arrays(
        finished_width, half_filled_width, softness, across_shift, across, step
    )
    excess, step = (width - half - shift * across) / softness, step / softness
    partly = _logistic(xp, excess + step) * _logistic(xp, -excess) * -xp.expm1(-step)
    ordered = (_logistic(xp, -excess - step), partly, _logistic(xp, excess))
    return plain(xp.stack(xp.broadcast_arrays(*ordered), axis=-1))


def filled_chance(
    finished_width: Floats,
    half_filled_width: Floats,
    softness: Floats,
    across_shift: Floats = 0.0,
    across: Floats = 0.0,
) -> Floats:
    """
    Chance that a thin stroke is filled whole.

    Parameters
    ----------
    finished_width, half_filled_width, softness, across_shift, across : array_like
        As in `chances`.

    Returns
    -------
    chance : float or array
        Chance of "filled", not of "partly". [1]

    Examples
    --------
    >>> print(f"{filled_chance(0.5, half_filled_width=0.5, softness=0.1):.2f}")
    0.50
    """
    ordered = chances(finished_width, half_filled_width, softness, across_shift, across)
    return plain(np.asarray(ordered)[..., 2])


def _logistic(xp: Any, x: Any) -> Any:
    """1/(1 + exp(-x)), without overflow at either end; scipy's own would not take arrays of JAX."""
    small = xp.exp(-xp.abs(x))
    return xp.where(x >= 0, 1.0, small) / (1.0 + small)
