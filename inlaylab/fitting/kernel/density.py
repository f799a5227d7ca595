"""
The log density of all latents with its gradient, compiled: what `fitting.model.likelihood.log_density` says, fast.

Values are worked out from the latents, every term adds to the derivatives by those values, and in the end the
derivatives are carried back to the latents.
"""

import math

import numpy as np

from inlaylab.fitting.kernel.compiling import compiled, entry, shared
from inlaylab.fitting.kernel.cuts import (
    BY_CREST,
    BY_FLAT,
    BY_HOST,
    BY_INSERT,
    BY_LAND,
    BY_SEAT,
    BY_T,
    BY_WALL,
    CUT_SLOPES,
    USED,
    cut_terms,
)
from inlaylab.fitting.kernel.laws import both_logistics, length, line
from inlaylab.fitting.kernel.noise import (
    CUED,
    FACTOR,
    GROOVE,
    SHARE,
    SIZE,
    SOFT,
    USUAL,
    WEDGE,
    add_noise_slopes,
    noise_of,
)
from inlaylab.fitting.kernel.packing import OF_WHAT_LASTS
from inlaylab.fitting.model.beliefs import KINDS, SHOP
from inlaylab.fitting.model.laws import LOG_RANGE, SLIP_SHARE
from inlaylab.fitting.model.likelihood import SHARPEST
from inlaylab.fitting.model.priors import FARTHEST, KNEE, LOUPE_ON_FLAT, TAIL

(
    FLAT_MEAN, FLAT_RATIO, WALL_MEAN, WALL_SPREAD, CREST_MEAN, CREST_RATIO, HALF_MEAN, HALF_SPREAD, SHIFT, SOFTNESS,
    STEP, BIAS, SPREAD, SHORTFALL, WEAR,
) = (
    SHOP.index(name)
    for name in (
        "tip_flat_mean", "tip_flat_ratio", "allowance_mean", "allowance_spread", "crest_loss_mean", "crest_loss_ratio",
        "half_filled_mean", "half_filled_spread", "across_shift", "fill_softness", "fill_step", "bias", "spread",
        "shortfall_mean", "wear_rate",
    )
)  # fmt: skip
ANGLE = len(SHOP)
GROOVES, WEDGES, FILLS, _ = range(len(OF_WHAT_LASTS))
LOG = KINDS.index("log")
OWNERS = (0, 0, 1, 2, 2, 3, 3, 3, 4)
"""Which of `Packed.sizes` each block of latents has: bits twice, pairs, species twice, cuts three times, set-ups."""
RADIANS = math.pi / 180
ANY_LENGTH = math.log(1 - 2 * SLIP_SHARE) - math.log(LOG_RANGE)
FILL_BY_MISTAKE = 1 / 3
UNSEEN_FLAT, LOG_FLAT_SD = 0.005, math.log(LOUPE_ON_FLAT)


@compiled
def places(p):
    """Where the blocks of latents begin: angle, tip, allowance, crest, half-filled, host, insert, shortfall, set-up."""
    at, last = np.empty(10, np.int64), 9
    at[0] = ANGLE
    for i in range(last):
        at[i + 1] = at[i] + p.sizes[OWNERS[i]]
    return at


@compiled
def shop_values(z, p):
    """The shop's values (log-odds for chances), and their derivatives by the latents."""
    value, slope = np.empty(ANGLE), np.empty(ANGLE)
    for i in range(ANGLE):
        if p.priors[i, 2] == LOG:
            value[i] = p.priors[i, 0] * math.exp(p.priors[i, 1] * z[i])
            slope[i] = value[i] * p.priors[i, 1]
        else:
            value[i], slope[i] = p.priors[i, 0] + p.priors[i, 1] * z[i], p.priors[i, 1]
    return value, slope


@compiled
def lasting_values(z, p, at, shop):
    """T and t of every bit; wall allowance of every pair; crest loss and half-filled width of every species."""
    bits, walls, woods = np.empty((p.sizes[0], 2)), np.empty(p.sizes[1]), np.empty((p.sizes[2], 2))
    for i in range(p.sizes[0]):
        angle = p.angles[i] + p.priors[ANGLE, 0] + p.priors[ANGLE, 1] * z[at[0] + i]
        bits[i, 0] = math.tan(angle * RADIANS / 2)
        bits[i, 1] = shop[FLAT_MEAN] * math.exp(shop[FLAT_RATIO] * z[at[1] + i])
    for i in range(p.sizes[1]):
        walls[i] = shop[WALL_MEAN] + shop[WALL_SPREAD] * z[at[2] + i]
    for i in range(p.sizes[2]):
        woods[i, 0] = shop[CREST_MEAN] * math.exp(shop[CREST_RATIO] * z[at[3] + i])
        woods[i, 1] = shop[HALF_MEAN] + shop[HALF_SPREAD] * z[at[4] + i]
    return bits, walls, woods


@compiled
def shortfall_of(x, mean):
    """Seat shortfall from its latent, and its derivative."""
    raw = math.exp(min(x, 700.0))
    means = min(raw, FARTHEST)
    slope = means if raw < FARTHEST else 0.0
    if means > KNEE:
        beyond = means - KNEE
        return mean * (KNEE + math.expm1(TAIL * beyond) / TAIL), mean * slope * math.exp(TAIL * beyond)
    return mean * means, mean * slope


@compiled
def groove(r, z, p, at, shop, bits, noise, by_noise, by_bits, by_shop, grad):
    """A groove cut to measure a bit: width = t + 2 (depth + e) T."""
    bit, setup = p.late_at[r, 1], at[8] + p.late_at[r, 2]
    value, tangent = p.lates[r, 0], bits[bit, 0]
    below = p.lates[r, 1] + shop[BIAS] + shop[SPREAD] * z[setup]
    mean = bits[bit, 1] + 2 * below * tangent
    worth, by_mean, by_sd, chance = length(
        value, any_length(value), mean, noise[GROOVE], noise[GROOVE + 1], noise[USUAL], noise[USUAL + SOFT]
    )
    by_noise[GROOVE] += by_sd
    by_noise[USUAL] += chance - noise[USUAL + SHARE]
    by_bits[bit, 0] += 2 * below * by_mean
    by_bits[bit, 1] += by_mean
    by_error = 2 * tangent * by_mean
    by_shop[BIAS] += by_error
    by_shop[SPREAD] += by_error * z[setup]
    grad[setup] += by_error * shop[SPREAD]
    return worth


@compiled
def wedge(r, p, shop, woods, noise, by_noise, by_woods, by_shop):
    """A finished width at which a wedge stops filling."""
    species, picture = p.late_at[r, 1], p.late_at[r, 3]
    value, stated, across = p.lates[r, 0], p.lates[r, 1], p.lates[r, 2]
    sd, log_sd = noise[WEDGE], noise[WEDGE + 1]
    if stated > 0:
        sd = stated * noise[FACTOR] if picture else stated
        log_sd = math.log(sd)
    mean = woods[species, 1] + shop[SHIFT] * across
    worth, by_mean, by_sd, chance = length(
        value, any_length(value), mean, sd, log_sd, noise[USUAL], noise[USUAL + SOFT]
    )
    if stated == 0:
        by_noise[WEDGE] += by_sd
    elif picture:
        by_noise[FACTOR] += by_sd * stated
    by_noise[USUAL] += chance - noise[USUAL + SHARE]
    by_woods[species, 1] += by_mean
    by_shop[SHIFT] += by_mean * across
    return worth


@compiled
def any_length(value):
    """Log density of a mistaken length that is no slip of unit."""
    return ANY_LENGTH - math.log(min(max(abs(value), 1e-3), 40.0))


@compiled
def fill_state(state, excess, apart, gone):
    """Chance of a state of filling; derivatives of its logarithm by the excess width and the step, in softnesses."""
    if state == 2:
        total, by_excess = both_logistics(excess)
        by_apart = 0.0
    elif state == 0:
        more, total = both_logistics(excess + apart)
        by_excess = by_apart = -more
    else:
        lead, after = both_logistics(excess + apart)
        more, less = both_logistics(excess)
        total = lead * less * gone
        by_excess, by_apart = after - more, after + (1.0 - gone) / gone
    if not total > SHARPEST:
        return SHARPEST, 0.0, 0.0
    return total, by_excess, by_apart


@compiled
def fill(r, p, shop, woods, noise, by_noise, by_woods, by_shop):
    """Strokes alike that were seen filled, partly filled or missing."""
    per = 1.0 / shop[SOFTNESS]
    apart = shop[STEP] * per
    gone = -math.expm1(-apart)
    species, state, cue = p.late_at[r, 1], p.late_at[r, 2], p.late_at[r, 3]
    many, across, other, half = p.lates[r, 1], p.lates[r, 2], p.lates[r, 4], woods[species, 1]
    excess = (p.lates[r, 0] - half - shop[SHIFT] * across) * per
    good, by_excess, by_apart = fill_state(state, excess, apart, gone)
    bad, other_excess, by_other, other_apart = FILL_BY_MISTAKE, 0.0, 0.0, 0.0
    if cue:
        other_excess = (p.lates[r, 3] - half - shop[SHIFT] * other) * per
        bad, by_other, other_apart = fill_state(state, other_excess, apart, gone)
    which = CUED if cue else USUAL
    share = noise[which + SHARE]
    total = (1.0 - share) * good + share * bad
    chance = share * bad / total
    by_noise[which] += many * (chance - share)
    here, there = many * (1.0 - chance) * per, many * chance * per
    by_woods[species, 1] -= here * by_excess + there * by_other
    by_shop[SHIFT] -= here * by_excess * across + there * by_other * other
    by_step = here * by_apart + there * other_apart
    by_shop[STEP] += by_step
    by_shop[SOFTNESS] -= here * by_excess * excess + there * by_other * other_excess + by_step * apart
    return many * math.log(total)


@compiled
def flat(r, p, bits, by_bits):
    """A tip flat by loupe; 0 means: not seen."""
    bit, value = p.late_at[r, 1], p.lates[r, 0]
    unseen = 1 if value <= UNSEEN_FLAT else 0
    worth, by_mean, _ = line(max(value, UNSEEN_FLAT), unseen, bits[bit, 1], LOUPE_ON_FLAT, LOG_FLAT_SD)
    by_bits[bit, 1] += by_mean
    return worth


@compiled
def all_lates(z, p, at, shop, bits, woods, noise, by_noise, by_bits, by_woods, by_shop, grad):
    """Readings that depend on what lasts alone."""
    total = 0.0
    for r in range(p.late_at.shape[0]):
        kind = p.late_at[r, 0]
        if kind == GROOVES:
            total += groove(r, z, p, at, shop, bits, noise, by_noise, by_bits, by_shop, grad)
        elif kind == WEDGES:
            total += wedge(r, p, shop, woods, noise, by_noise, by_woods, by_shop)
        elif kind == FILLS:
            total += fill(r, p, shop, woods, noise, by_noise, by_woods, by_shop)
        else:
            total += flat(r, p, bits, by_bits)
    return total


@compiled
def all_cuts(z, p, at, shop, bits, walls, woods, noise, by_noise, by_bits, by_walls, by_woods, by_shop, grad):
    """Readings of every cut; derivatives by its own latents go straight to the gradient."""
    total, slopes = 0.0, np.empty(CUT_SLOPES)
    bias, spread = shop[BIAS], shop[SPREAD]
    for c in range(p.sizes[3]):
        b, w, i, h = p.cut_at[c, 0], p.cut_at[c, 1], p.cut_at[c, 2], p.cut_at[c, 3]
        used = p.cuts[c, USED]
        z_host, z_insert = z[at[5] + c], z[at[6] + c]
        short, short_slope = shortfall_of(z[at[7] + c], shop[SHORTFALL])
        own = (bias + spread * z_host, bias + spread * z_insert, short)
        bit = (bits[b, 0], bits[b, 1] + shop[WEAR] * used)
        total += cut_terms(c, p, bit, (walls[w], woods[i, 0], woods[h, 0]), own, noise, slopes, by_noise)
        by_bits[b, 0] += slopes[BY_T]
        by_bits[b, 1] += slopes[BY_FLAT]
        by_shop[WEAR] += slopes[BY_FLAT] * used
        by_walls[w] += slopes[BY_WALL]
        by_woods[i, 0] += slopes[BY_CREST]
        by_woods[h, 0] += slopes[BY_LAND]
        by_shop[BIAS] += slopes[BY_HOST] + slopes[BY_INSERT]
        by_shop[SPREAD] += slopes[BY_HOST] * z_host + slopes[BY_INSERT] * z_insert
        by_shop[SHORTFALL] += slopes[BY_SEAT] * short / shop[SHORTFALL]
        grad[at[5] + c] += slopes[BY_HOST] * spread
        grad[at[6] + c] += slopes[BY_INSERT] * spread
        grad[at[7] + c] += slopes[BY_SEAT] * short_slope
    return total


@compiled
def carry_back(z, p, at, shop, shop_slope, bits, woods, by_bits, by_walls, by_woods, by_shop, grad):
    """Derivatives by values become derivatives by latents."""
    for i in range(p.sizes[0]):
        tangent, flat, by_flat = bits[i, 0], bits[i, 1], by_bits[i, 1]
        grad[at[0] + i] += by_bits[i, 0] * (1 + tangent * tangent) / 2 * RADIANS * p.priors[ANGLE, 1]
        grad[at[1] + i] += by_flat * flat * shop[FLAT_RATIO]
        by_shop[FLAT_MEAN] += by_flat * flat / shop[FLAT_MEAN]
        by_shop[FLAT_RATIO] += by_flat * flat * z[at[1] + i]
    for i in range(p.sizes[1]):
        grad[at[2] + i] += by_walls[i] * shop[WALL_SPREAD]
        by_shop[WALL_MEAN] += by_walls[i]
        by_shop[WALL_SPREAD] += by_walls[i] * z[at[2] + i]
    for i in range(p.sizes[2]):
        loss, by_loss, by_half = woods[i, 0], by_woods[i, 0], by_woods[i, 1]
        grad[at[3] + i] += by_loss * loss * shop[CREST_RATIO]
        by_shop[CREST_MEAN] += by_loss * loss / shop[CREST_MEAN]
        by_shop[CREST_RATIO] += by_loss * loss * z[at[3] + i]
        grad[at[4] + i] += by_half * shop[HALF_SPREAD]
        by_shop[HALF_MEAN] += by_half
        by_shop[HALF_SPREAD] += by_half * z[at[4] + i]
    for i in range(ANGLE):
        grad[i] += by_shop[i] * shop_slope[i]


@compiled
def log_prior(z, at, grad):
    """Log prior of all latents; sets the gradient."""
    total = 0.0
    for i in range(len(z)):
        if at[7] <= i < at[8]:
            tall = math.exp(min(z[i], 700.0))
            total += z[i] - tall
            grad[i] = 1.0 - tall
        else:
            total -= 0.5 * z[i] * z[i]
            grad[i] = -z[i]
    return total


@shared
def density(z, p, grad):
    """Log density of a vector of latents, shape (size,); sets ``grad`` to its gradient."""
    at = places(p)
    shop, shop_slope = shop_values(z, p)
    bits, walls, woods = lasting_values(z, p, at, shop)
    noise = noise_of(shop)
    by_noise, by_shop = np.zeros(SIZE), np.zeros(ANGLE)
    by_bits, by_walls, by_woods = np.zeros(bits.shape), np.zeros(walls.shape), np.zeros(woods.shape)
    total = log_prior(z, at, grad)
    total += all_cuts(z, p, at, shop, bits, walls, woods, noise, by_noise, by_bits, by_walls, by_woods, by_shop, grad)
    total += all_lates(z, p, at, shop, bits, woods, noise, by_noise, by_bits, by_woods, by_shop, grad)
    add_noise_slopes(by_noise, noise, shop, by_shop)
    carry_back(z, p, at, shop, shop_slope, bits, woods, by_bits, by_walls, by_woods, by_shop, grad)
    return total


@entry
def densities(vectors, p, heights, slopes):
    """
    Log densities of many vectors of latents, and the gradients there.

    Parameters
    ----------
    vectors : array, shape (vectors, size)
    p : Packed
    heights : array, shape (vectors,)
        Is set to the log densities.
    slopes : array, shape (vectors, size)
        Is set to the gradients.
    """
    for n in range(len(vectors)):
        heights[n] = density(vectors[n], p, slopes[n])
