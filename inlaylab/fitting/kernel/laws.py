"""Laws of single readings with their derivatives, compiled: what `inlaylab.fitting.model.laws` says, one at a time."""

import math

from inlaylab.fitting.kernel.compiling import compiled
from inlaylab.fitting.model.laws import PICTURE_MISTAKE, SLIP, SLIP_SHARE

HALF_LOG_TAU = 0.5 * math.log(2 * math.pi)
ROOT_HALF = math.sqrt(0.5)
AS_INCH, AS_MM = math.log(SLIP_SHARE * SLIP), math.log(SLIP_SHARE / SLIP)
BAD_CLOSED = 0.5
"""Chance that a mistaken line is said to be closed."""
CLOSED_BY_MISTAKE, OUTCOME_BY_MISTAKE = math.log(BAD_CLOSED), math.log(1 / 3)
FAR, FARTHEST_Z = 1e6, 40.0
NEGLIGIBLE = -40.0
"""Logarithm of what adds nothing to 1 in double precision."""


@compiled
def normal(value, mean, sd, log_sd):
    """Log density; its derivatives by the mean and by the sd."""
    per = 1.0 / sd
    off = (value - mean) * per
    return -0.5 * off * off - log_sd - HALF_LOG_TAU, off * per, (off * off - 1.0) * per


@compiled
def log_normal_cdf(x):
    """Logarithm of the standard normal's distribution function, and its derivative."""
    if x > 0:
        below = 0.5 * math.erfc(x * ROOT_HALF)
        return math.log1p(-below), math.exp(-0.5 * x * x - HALF_LOG_TAU) / (1.0 - below)
    if x > -35:
        below = 0.5 * math.erfc(-x * ROOT_HALF)
        return math.log(below), math.exp(-0.5 * x * x - HALF_LOG_TAU) / below
    # the tail's asymptotic series (Abramowitz and Stegun 26.2.12): its terms are below 1e-14 from the sixth on
    far = 1.0 / (x * x)
    series = 1.0 - far * (1.0 - far * (3.0 - far * (15.0 - far * (105.0 - far * 945.0))))
    return -0.5 * x * x - HALF_LOG_TAU - math.log(-x) + math.log(series), -x / series


@compiled
def softplus(x):
    """Logarithm of 1 + exp(x)."""
    return max(x, 0.0) + math.log1p(math.exp(-abs(x)))


@compiled
def logistic(x):
    """1/(1 + exp(-x))."""
    small = math.exp(-abs(x))
    return (1.0 if x >= 0 else small) / (1.0 + small)


@compiled
def both_logistics(x):
    """1/(1 + exp(-x)) and 1/(1 + exp(x)), each as exact as the other."""
    small = math.exp(-abs(x))
    large = 1.0 / (1.0 + small)
    return (large, small * large) if x >= 0 else (small * large, large)


@compiled
def mixed(good, bad, odds, soft):
    """Log density of a reading that may be a mistake, and the chance that it is one; soft is softplus of the odds."""
    lead = bad - good + odds
    if lead < NEGLIGIBLE:
        return good - soft, 0.0
    small = math.exp(-abs(lead))
    total = good - soft + max(lead, 0.0) + math.log1p(small)
    return total, (1.0 if lead >= 0 else small) / (1.0 + small)


@compiled
def mistaken(value, anything, mean, sd, log_sd):
    """Log density of a mistaken length; its derivatives by the mean and by the sd."""
    least, per = max(mean, 0.01), 1.0 / sd
    off_inch, off_mm = (value * SLIP - least) * per, (value / SLIP - least) * per
    known = -log_sd - HALF_LOG_TAU - anything
    inch, mm = known + AS_INCH - 0.5 * off_inch * off_inch, known + AS_MM - 0.5 * off_mm * off_mm
    if inch < NEGLIGIBLE and mm < NEGLIGIBLE:
        return anything, 0.0, 0.0
    top = max(0.0, inch, mm)
    by_inch = math.exp(inch - top) if inch - top > NEGLIGIBLE else 0.0
    by_mm = math.exp(mm - top) if mm - top > NEGLIGIBLE else 0.0
    total = (math.exp(-top) if top > 0.0 else 1.0) + by_inch + by_mm
    moves = per / total if mean > 0.01 else 0.0
    by_sd = (by_inch * (off_inch * off_inch - 1.0) + by_mm * (off_mm * off_mm - 1.0)) * per / total
    return anything + top + math.log(total), moves * (by_inch * off_inch + by_mm * off_mm), by_sd


@compiled
def length(value, anything, mean, sd, log_sd, odds, soft):
    """Log density of a length that may be a mistake; derivatives by mean and sd; chance of a mistake."""
    good, good_mean, good_sd = normal(value, mean, sd, log_sd)
    bad, bad_mean, bad_sd = mistaken(value, anything, mean, sd, log_sd)
    total, chance = mixed(good, bad, odds, soft)
    return total, good_mean + chance * (bad_mean - good_mean), good_sd + chance * (bad_sd - good_sd), chance


@compiled
def line(value, closed, mean, sd, log_sd):
    """Log density of a good glue line, or the chance of lying below the limit; derivatives by mean and sd."""
    if closed:
        off = (value - mean) / sd
        total, slope = log_normal_cdf(off)
        return total, -slope / sd, -slope * off / sd
    return normal(value, mean, sd, log_sd)


@compiled
def picture_line(value, mean, opening, sd, bias):
    """Log density of a line read from a picture; derivatives by mean, opening, sd and bias."""
    read, whole = value - bias, math.sqrt(opening * opening + sd * sd)
    at = (mean * sd / opening + read * opening / sd) / whole
    is_open, open_slope = log_normal_cdf(at)
    is_shut, shut_slope = log_normal_cdf(-mean / opening)
    off, square = read - mean, whole * whole
    wide = -0.5 * off * off / square - math.log(whole) + is_open
    none = -0.5 * (read / sd) ** 2 - math.log(sd) + is_shut
    total, shut = mixed(wide, none, 0.0, HALF_LOG_TAU)
    seen = 1.0 - shut
    pull = off * off / (square * square) - 1.0 / square
    by_mean = seen * (off / square + open_slope * sd / opening / whole) - shut * shut_slope / opening
    by_read = seen * (-off / square + open_slope * opening / sd / whole) - shut * read / (sd * sd)
    turn = (read / sd - mean * sd / (opening * opening)) / whole - at * opening / square
    by_opening = seen * (pull * opening + open_slope * turn) + shut * shut_slope * mean / (opening * opening)
    turn = (mean / opening - read * opening / (sd * sd)) / whole - at * sd / square
    by_sd = seen * (pull * sd + open_slope * turn) + shut * (read * read / (sd * sd) - 1.0) / sd
    return total, by_mean, by_opening, by_sd, -by_read


@compiled
def picture_mistake(value):
    """Log density of a line that a picture gave by mistake."""
    return -value / PICTURE_MISTAKE - math.log(PICTURE_MISTAKE)


@compiled
def between(low, high, mean, sd):
    """Logarithm of the chance of lying between two limits; derivatives by mean and sd."""
    upper = (min(max(high, -FAR), FAR) - mean) / sd
    lower = (min(max(low, -FAR), FAR) - mean) / sd
    upper_moves, lower_moves = abs(upper) < FARTHEST_Z, abs(lower) < FARTHEST_Z
    upper = min(max(upper, -FARTHEST_Z), FARTHEST_Z)
    lower = min(max(lower, -FARTHEST_Z), FARTHEST_Z)
    sign = 1.0
    above, below = upper, lower
    if lower > 0:
        above, below, sign = -lower, -upper, -1.0
        upper_moves, lower_moves = lower_moves, upper_moves
    top, top_slope = log_normal_cdf(above)
    bottom, bottom_slope = log_normal_cdf(below)
    gap = min(bottom - top, -1e-12)
    share = math.exp(gap)
    total = top + math.log1p(-share)
    # d total = d top / (1 - share) - share d bottom / (1 - share)
    by_above = top_slope / (1.0 - share) if upper_moves else 0.0
    by_below = -share * bottom_slope / (1.0 - share) if lower_moves else 0.0
    by_mean = -sign * (by_above + by_below) / sd
    by_sd = -(by_above * above + by_below * below) / sd
    return total, by_mean, by_sd
