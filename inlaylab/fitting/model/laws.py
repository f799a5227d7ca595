"""Laws of single readings: normal, censored, in an interval, and mistaken; for numpy and jax arrays alike."""

import math
from typing import Any

import numpy as np

from inlaylab.models.arrays import namespace

LOG_RANGE = math.log(40.0 / 0.001)
"""A mistaken length may be anything from 0.001 to 40 mm, evenly in its logarithm: our choice, from the finest digit
that is typed to the thickest board."""

SLIP = 25.4
"""Inches taken for millimetres, or the other way: an inch is 25.4 mm by definition (ISO 80000-3)."""

SLIP_SHARE = 0.25
"""Share of mistakes that are each of the two unit slips; the rest may be anything. Our choice: as likely as not that a
mistake is a slip of the unit, either way alike."""

LOW_PENALTY = math.log(1e-3)
"""A length that is given although it lies far below what could be seen is less likely by this. [1]"""

PICTURE_SD = 0.03
"""Scatter of a line read from a picture that states none (the kit's own choice). [mm]"""

PICTURE_MISTAKE = 0.3
"""Mean of the exponential law of a line that a picture gave by mistake (the kit's own choice). [mm]"""


def special(xp) -> tuple[Any, Any]:
    """Give ``log_ndtr`` and ``logsumexp`` of the array library in use."""
    if xp is np:
        from scipy.special import log_ndtr, logsumexp
    else:
        from jax.scipy.special import log_ndtr, logsumexp
    return log_ndtr, logsumexp


def each_where(which, yes, no):
    """
    Evaluate two laws, each only where it holds.

    Parameters
    ----------
    which : array of bool, shape (n,)
        Where the first holds.
    yes, no : callable
        From indices to (…, indices).

    Returns
    -------
    both : array, shape (…, n)

    Examples
    --------
    >>> each_where(np.array([True, False]), lambda at: 10.0 + at, lambda at: 20.0 + at)
    array([10., 21.])
    """
    on, off = np.flatnonzero(which), np.flatnonzero(~which)
    if not off.size:
        return yes(on)
    if not on.size:
        return no(off)
    parts = yes(on), no(off)
    return namespace(*parts).concatenate(parts, axis=-1)[..., np.argsort(np.concatenate([on, off]))]


def normal_log_density(value, mean, sd):
    """
    Logarithm of the normal density.

    Parameters
    ----------
    value, mean, sd : array
        Broadcast.

    Returns
    -------
    log_density : array

    Examples
    --------
    >>> round(float(normal_log_density(0.0, 0.0, np.array(1.0))), 4)
    -0.9189
    """
    xp = namespace(value, mean, sd)
    return -0.5 * ((value - mean) / sd) ** 2 - xp.log(sd) - 0.5 * math.log(2 * math.pi)


def interval_log_chance(low, high, mean, sd):
    """
    Logarithm of the chance that a normal value lies between two limits.

    Parameters
    ----------
    low, high : array
        Limits; infinite where there is none.
    mean, sd : array
        Mean and sd of the normal law.

    Returns
    -------
    log_chance : array

    Examples
    --------
    >>> round(float(interval_log_chance(-np.inf, 0.0, np.array(0.0), np.array(1.0))), 4)
    -0.6931
    """
    xp = namespace(mean, sd)
    log_ndtr, _ = special(xp)
    far = 1e6  # an infinite limit would make the gradient infinity times zero
    upper = xp.clip((xp.clip(high, -far, far) - mean) / sd, -40.0, 40.0)
    lower = xp.clip((xp.clip(low, -far, far) - mean) / sd, -40.0, 40.0)
    flip = lower > 0
    above, below = xp.where(flip, -lower, upper), xp.where(flip, -upper, lower)
    top, bottom = log_ndtr(above), log_ndtr(below)
    return top + xp.log1p(-xp.exp(xp.minimum(bottom - top, -1e-12)))


def censored_log_density(value, mean, sd, *, limit, censored):
    """
    Logarithm of a left-censored normal likelihood: a density, or the chance of lying below the limit.

    Parameters
    ----------
    value : array
        Readings; ignored where censored.
    mean, sd : array
        Mean and sd of the uncensored normal law.
    limit : array
        Below it nothing was seen.
    censored : array of bool
        Which readings are only "below the limit".

    Returns
    -------
    log_density : array

    Notes
    -----
    The Tobit likelihood: Tobin, J. (1958), Econometrica 26, 24-36.

    Examples
    --------
    >>> closed = np.array([False, True])
    >>> censored_log_density(np.array([0.1, np.nan]), 0.1, np.array(1.0), limit=0.1, censored=closed).round(4)
    array([-0.9189, -0.6931])
    """
    xp = namespace(mean, sd)
    log_ndtr, _ = special(xp)
    limit, censored = limit + np.zeros(np.shape(censored)), np.asarray(censored)
    mean, sd = mean + xp.zeros(censored.shape), sd + xp.zeros(censored.shape)
    return each_where(
        censored,
        lambda at: log_ndtr((limit[at] - mean[..., at]) / sd[..., at]),
        lambda at: normal_log_density(value[at], mean[..., at], sd[..., at]),
    )


def picture_log_density(value, mean, sd, *, opening, bias):
    """
    Log density of a glue line that was read from a picture.

    Parameters
    ----------
    value : array
        Widths read. [mm]
    mean : array
        Wall gap, below zero where the walls are pressed. [mm]
    sd : array
        Of the reading. [mm]
    opening : array
        Standard deviation of the local opening. [mm]
    bias : array
        How much wider than the truth a line comes out. [mm]

    Returns
    -------
    log_density : array

    Notes
    -----
    The line is max(0, gap + opening), so it is shut with a chance of its own: a normal law censored at zero, blurred
    by the reading's. Unlike an eye, a picture gives a width and its doubt for a shut line, too.
    """
    xp = namespace(mean, sd, opening)
    log_ndtr, _ = special(xp)
    read, whole = value - bias, xp.sqrt(opening**2 + sd**2)
    is_open = normal_log_density(read, mean, whole) + log_ndtr((mean * sd / opening + read * opening / sd) / whole)
    is_shut = normal_log_density(read, 0.0, sd) + log_ndtr(-mean / opening)
    return xp.logaddexp(is_open, is_shut)


def with_mistakes(log_good, log_bad, log_odds):
    """Mixture of a good reading and a mistake; returns the mixture and the log-odds that it is a mistake."""
    xp = namespace(log_good, log_bad, log_odds)
    good, bad = log_good - xp.logaddexp(0.0, log_odds), log_bad - xp.logaddexp(0.0, -log_odds)
    return xp.logaddexp(good, bad), bad - good


def mistaken_length(value, mean, sd):
    """Log density of a mistaken length: anything, or a unit slip of the good one."""
    xp = namespace(mean, sd)
    _, logsumexp = special(xp)
    size = xp.clip(xp.abs(value), 1e-3, 40.0)
    anything = math.log(1 - 2 * SLIP_SHARE) - xp.log(size) - math.log(LOG_RANGE) + 0.0 * mean
    as_inch = math.log(SLIP_SHARE * SLIP) + normal_log_density(value * SLIP, mean, sd)
    as_mm = math.log(SLIP_SHARE / SLIP) + normal_log_density(value / SLIP, mean, sd)
    return logsumexp(xp.stack(xp.broadcast_arrays(anything, as_inch, as_mm)), axis=0)


def picture_mistake(value):
    """Log density of a line that a picture gave by mistake: exponential, of mean `PICTURE_MISTAKE` [1/mm]."""
    return -value / PICTURE_MISTAKE - math.log(PICTURE_MISTAKE)


def logit(chance):
    """
    Logarithm of the odds of a chance.

    Parameters
    ----------
    chance : array
        Between 0 and 1.

    Returns
    -------
    log_odds : array

    Examples
    --------
    >>> float(logit(np.array(0.5)))
    0.0
    """
    xp = namespace(chance)
    return xp.log(chance) - xp.log1p(-chance)
