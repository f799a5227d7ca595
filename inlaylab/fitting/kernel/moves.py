"""
Moves beside the trajectories, compiled, each exact and cheap, for what trajectories find hard.

`regroup` moves what bits, pairs, species or zero errors have in common while the members stay: well-known members pin
their group along a narrow bend, but no reading has to be looked at again. `reseat` tries another seat
shortfall for every cut, its zero errors taking up a part, or other zero errors: a plug that hung high may owe it to
either, two odd readings of one cut may be mistakes or tell of an odd zero, and a chain has to cross a valley to find
out.

Both are Metropolis-Hastings moves (Hastings, W. K. (1970), Biometrika 57, 97-109); the first in other coordinates, as
in Yu, Y. and Meng, X.-L. (2011), Journal of Computational and Graphical Statistics 20, 531-570.
"""

import math

import numpy as np

from inlaylab.fitting.kernel.compiling import compiled, entry, once, shared
from inlaylab.fitting.kernel.cuts import CUT_SLOPES, USED, cut_terms
from inlaylab.fitting.kernel.density import (
    BIAS,
    CREST_MEAN,
    CREST_RATIO,
    FLAT_MEAN,
    FLAT_RATIO,
    HALF_MEAN,
    HALF_SPREAD,
    LOG,
    SHORTFALL,
    SPREAD,
    WALL_MEAN,
    WALL_SPREAD,
    WEAR,
    lasting_values,
    places,
    shop_values,
    shortfall_of,
)
from inlaylab.fitting.kernel.noise import SIZE, noise_of
from inlaylab.fitting.model.priors import KNEE, TAIL

GROUPS = np.array(
    [
        (FLAT_MEAN, FLAT_RATIO, 1, 1),
        (WALL_MEAN, WALL_SPREAD, 2, 2),
        (CREST_MEAN, CREST_RATIO, 3, 3),
        (HALF_MEAN, HALF_SPREAD, 4, 4),
        (BIAS, SPREAD, 5, 6),
    ]
)
"""Latents of a group's middle and spread, and the first and last block of its members; set-ups go with the zeros."""
ZEROS, SETUPS = len(GROUPS) - 1, 8

SHORT, LONG = 0.03, 1.5
"""Smallest and largest step of a group's latents."""

REGROUPINGS = 8
"""Tries in one move: no reading is looked at, so they cost next to nothing."""

MIDDLE, WIDTH = 0.3, 1.4
"""Normal law that a shortfall's latent is tried from: the whole of its prior, and far into its tail."""

SHARES = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, -1.0], [0.5, 0.5]])
"""Shares of a shortfall's change that the host's and the insert's zero errors take up, one pair of them a try."""

LEAPS = np.array([[1.0, 0.0], [0.0, 1.0], [1.0, -1.0]])
"""Directions in which the zero errors leap while the shortfall stays, one a try."""

LEAST_LEAP, LONGEST_LEAP = 0.3, 5.0
"""Scale of the leaps of zero errors, in their own spread."""

RESEATINGS, FEWEST, LOOKED_AT = 5, 2, 600
"""Tries in one move, fewer where the cuts are many: each try looks at every reading of every cut."""


@compiled
def step_length(rng):
    """Small steps for what is well known, large ones for the rest."""
    return SHORT * (LONG / SHORT) ** rng.random()


@compiled
def centre_of(latent, p):
    """Centre of a latent's prior, of the logarithm where that is what is normal."""
    return math.log(p.priors[latent, 0]) if p.priors[latent, 2] == LOG else p.priors[latent, 0]


@compiled
def span(z, start, stop, was, wide, now, wider, put):
    """Gain in log prior of members whose group moves while they stay; ``put`` moves their latents."""
    gain = 0.0
    for i in range(start, stop):
        moved = (was + wide * z[i] - now) / wider
        gain += 0.5 * (z[i] * z[i] - moved * moved)
        if put:
            z[i] = moved
    return gain


@compiled
def regroup(z, p, rng):
    """Move the middle and the spread of every group, and the mean shortfall; what the members are stays."""
    at = places(p)
    for g in range(len(GROUPS)):
        middle, spread = GROUPS[g, 0], GROUPS[g, 1]
        start, stop = at[GROUPS[g, 2]], at[GROUPS[g, 3] + 1]
        far = step_length(rng)
        old, old_spread = z[middle], z[spread]
        new, new_spread = old + far * rng.standard_normal(), old_spread + far * rng.standard_normal()
        lot = math.log(rng.random())
        centre = centre_of(middle, p)
        was, now = centre + p.priors[middle, 1] * old, centre + p.priors[middle, 1] * new
        wide = p.priors[spread, 0] * math.exp(p.priors[spread, 1] * old_spread)
        wider = p.priors[spread, 0] * math.exp(p.priors[spread, 1] * new_spread)
        count = stop - start
        gain = 0.5 * (old * old + old_spread * old_spread - new * new - new_spread * new_spread)
        gain += span(z, start, stop, was, wide, now, wider, False)
        if g == ZEROS:
            count += at[SETUPS + 1] - at[SETUPS]
            gain += span(z, at[SETUPS], at[SETUPS + 1], was, wide, now, wider, False)
        if lot < gain - count * math.log(wider / wide):
            z[middle], z[spread] = new, new_spread
            span(z, start, stop, was, wide, now, wider, True)
            if g == ZEROS:
                span(z, at[SETUPS], at[SETUPS + 1], was, wide, now, wider, True)
    move_mean(z, p, at, rng)


@compiled
def latent_of(depth, mean):
    """Latent of a shortfall: what `density.shortfall_of` undoes."""
    means = depth / mean
    if means > KNEE:
        means = KNEE + math.log1p(TAIL * (means - KNEE)) / TAIL
    return math.log(means)


@compiled
def depth_density(depth, mean):
    """Log density of a shortfall."""
    means = math.exp(latent_of(depth, mean))
    return -means - math.log(mean) - TAIL * max(means - KNEE, 0.0)


@once
def move_mean(z, p, at, rng):
    """Move the mean shortfall; every shortfall stays."""
    far = step_length(rng)
    old, lot = z[SHORTFALL], 0.0
    new = old + far * rng.standard_normal()
    lot = math.log(rng.random())
    was = p.priors[SHORTFALL, 0] * math.exp(p.priors[SHORTFALL, 1] * old)
    now = p.priors[SHORTFALL, 0] * math.exp(p.priors[SHORTFALL, 1] * new)
    gain = 0.5 * (old * old - new * new)
    for i in range(at[7], at[8]):
        depth, _ = shortfall_of(z[i], was)
        gain += depth_density(depth, now) - depth_density(depth, was)
    if lot < gain:
        z[SHORTFALL] = new
        for i in range(at[7], at[8]):
            depth, _ = shortfall_of(z[i], was)
            z[i] = latent_of(depth, now)


@shared
def own_chance(c, own, p, shop, bits, walls, woods, noise, slopes, by_noise):
    """Log chance of a cut's readings, given the latents of its zero errors and its shortfall."""
    host, insert, short = own
    depth, _ = shortfall_of(short, shop[SHORTFALL])
    here = (shop[BIAS] + shop[SPREAD] * host, shop[BIAS] + shop[SPREAD] * insert, depth)
    b, i, h = p.cut_at[c, 0], p.cut_at[c, 2], p.cut_at[c, 3]
    bit = (bits[b, 0], bits[b, 1] + shop[WEAR] * p.cuts[c, USED])
    wood = (walls[p.cut_at[c, 1]], woods[i, 0], woods[h, 0])
    return cut_terms(c, p, bit, wood, here, noise, slopes, by_noise)


@compiled
def own_worth(own):
    """Log density of a cut's latents, over the density they are tried from."""
    host, insert, short = own
    prior = short - math.exp(min(short, 700.0)) - 0.5 * (host * host + insert * insert)
    return prior + 0.5 * ((short - MIDDLE) / WIDTH) ** 2


@compiled
def tried(host, insert, short, mean, spread, rng):
    """Other latents of a cut."""
    way, there = int(rng.random() * (len(SHARES) + len(LEAPS))), rng.standard_normal()
    if way >= len(SHARES):
        leap = there * LEAST_LEAP * (LONGEST_LEAP / LEAST_LEAP) ** rng.random()
        way -= len(SHARES)
        return host + LEAPS[way, 0] * leap, insert + LEAPS[way, 1] * leap, short
    new = MIDDLE + WIDTH * there
    gone = (shortfall_of(new, mean)[0] - shortfall_of(short, mean)[0]) / spread
    return host + SHARES[way, 0] * gone, insert + SHARES[way, 1] * gone, new


@compiled
def reseat(z, p, rng, times):
    """
    Try another seat shortfall for every cut, its zero errors taking up a part, or other zero errors.

    Given what lasts, cuts are independent of each other, so each is taken or left on its own. A try moves along a
    line that does not depend on where it begins, so only the shortfall's own law of trying enters the ratio.
    """
    at = places(p)
    shop, _ = shop_values(z, p)
    bits, walls, woods = lasting_values(z, p, at, shop)
    noise, slopes, by_noise = noise_of(shop), np.empty(CUT_SLOPES), np.zeros(SIZE)
    mean, spread = shop[SHORTFALL], shop[SPREAD]
    for c in range(p.sizes[3]):
        own, worth = (z[at[5] + c], z[at[6] + c], z[at[7] + c]), -np.inf
        for n in range(times + 1):  # the first only tells what there is
            new = own if n == 0 else tried(own[0], own[1], own[2], mean, spread, rng)
            lot = math.log(rng.random()) if n else -np.inf
            other = own_chance(c, new, p, shop, bits, walls, woods, noise, slopes, by_noise) + own_worth(new)
            if n == 0 or lot < other - worth:
                own, worth = new, other
        z[at[5] + c], z[at[6] + c], z[at[7] + c] = own


@once
def move(z, p, rng):
    """All moves, one after the other, in place."""
    for _ in range(REGROUPINGS):
        regroup(z, p, rng)
    if p.sizes[3]:
        reseat(z, p, rng, max(FEWEST, min(RESEATINGS, LOOKED_AT // p.sizes[3])))


@entry
def move_each(vectors, p, rng, regroupings, reseatings):
    """
    Move many vectors, each on its own, in place.

    Parameters
    ----------
    vectors : array, shape (…, size)
    p : Packed
    rng : numpy.random.Generator
    regroupings, reseatings : int
        How often each move is tried.
    """
    for n in range(len(vectors)):
        for _ in range(regroupings):
            regroup(vectors[n], p, rng)
        if reseatings:
            reseat(vectors[n], p, rng, reseatings)


@entry
def cut_chances(z, p, which, points, found):
    """
    Log chance of some cuts' readings, each for many latents of its own; all that lasts is as ``z`` says.

    Parameters
    ----------
    z : array, shape (size,)
    p : Packed
    which : array of int, shape (which,)
        Cuts.
    points : array, shape (points, 3)
        Latents of the host's and the insert's zero error and of the shortfall.
    found : array, shape (which, points)
        Is set to the log chances.
    """
    at = places(p)
    shop, _ = shop_values(z, p)
    bits, walls, woods = lasting_values(z, p, at, shop)
    noise, slopes, by_noise = noise_of(shop), np.empty(CUT_SLOPES), np.zeros(SIZE)
    for k in range(len(which)):
        for n in range(len(points)):
            own = points[n, 0], points[n, 1], points[n, 2]
            found[k, n] = own_chance(which[k], own, p, shop, bits, walls, woods, noise, slopes, by_noise)
