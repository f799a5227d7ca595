"""
Moves beside the trajectories, each exact and cheap, for what trajectories find hard.

`regroup` moves what bits, pairs, species or zero errors have in common while the members stay: well-known members pin
their group along a narrow bend, but no reading has to be looked at again. `reseat` tries another seat
shortfall for every cut, its zero errors taking up a part, or other zero errors: a plug that hung high may owe it to
either, two odd readings of one cut may be mistakes or tell of an odd zero, and a chain has to cross a valley to find
out.

Both are Metropolis-Hastings moves (Hastings, W. K. (1970), Biometrika 57, 97-109); the first in other coordinates, as
in Yu, Y. and Meng, X.-L. (2011), Journal of Computational and Graphical Statistics 20, 531-570. All work on jax arrays.
"""

import math
from functools import partial

import numpy as np

from inlaylab.fitting.model.cut_arrays import CutArrays
from inlaylab.fitting.model.cut_seats import seat_levels
from inlaylab.fitting.model.likelihood import cut_terms
from inlaylab.fitting.model.observations import Observations
from inlaylab.fitting.model.priors import (
    PRIORS,
    Layout,
    log_prior,
    shop_value,
    shortfall,
    shortfall_latent,
    shortfall_log_density,
    values,
)

GROUPS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("tip_flat_mean", "tip_flat_ratio", ("z_tip",)),
    ("allowance_mean", "allowance_spread", ("z_allowance",)),
    ("crest_loss_mean", "crest_loss_ratio", ("z_crest",)),
    ("half_filled_mean", "half_filled_spread", ("z_half_filled",)),
    ("bias", "spread", ("z_host", "z_insert", "z_setup")),
)
"""Latents of a group's middle and spread, and of its members."""

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


def move(key, vector, *, seen: Observations, layout: Layout, strokes: dict[str, CutArrays] | None = None):
    """
    All moves, one after the other.

    Parameters
    ----------
    key : array
        Key of jax's random numbers.
    vector : array, shape (size,)
        Latents.
    seen, layout, strokes
        As in `likelihood.log_density`.

    Returns
    -------
    vector : array, shape (size,)
    """
    import jax

    first, second = jax.random.split(key)
    rounds = jax.random.split(first, REGROUPINGS)
    vector = jax.lax.fori_loop(0, REGROUPINGS, lambda i, v: regroup(rounds[i], v, layout=layout), vector)
    if not layout.cuts:
        return vector
    count = max(FEWEST, min(RESEATINGS, LOOKED_AT // layout.cuts))
    tries = jax.random.split(second, count)
    once = partial(reseat, seen=seen, layout=layout, strokes=strokes)
    return jax.lax.fori_loop(0, count, lambda i, v: once(tries[i], v), vector)


def regroup(key, vector, *, layout: Layout):
    """
    Move the middle and the spread of every group; what its members are stays.

    Parameters
    ----------
    key : array
        Key of jax's random numbers.
    vector : array, shape (size,)
        Latents.
    layout : Layout
        Sizes of the blocks.

    Returns
    -------
    vector : array, shape (size,)
    """
    import jax
    import jax.numpy as jnp

    at, count = layout.split(np.arange(layout.size)), len(GROUPS)
    middles, spreads = (np.array([at[group[i]] for group in GROUPS]) for i in (0, 1))
    members = [np.concatenate([at[name] for name in group[2]]) for group in GROUPS]
    own = np.repeat(np.arange(count), [len(m) for m in members])
    member, sizes = np.concatenate(members), np.bincount(own, minlength=count)
    laws = [(PRIORS[middle], PRIORS[spread]) for middle, spread, _ in GROUPS]
    centre = np.array([math.log(law.centre) if law.kind == "log" else law.centre for law, _ in laws])
    narrow, usual, varied = np.array([[law.spread, of.centre, of.spread] for law, of in laws]).T

    def place(z):
        """Middle and spread of every group, of the logarithm where that is what is normal."""
        return centre + narrow * z[0], usual * jnp.exp(varied * z[1])

    ways, lots = jax.random.split(key)
    ways, lots = jax.random.normal(ways, (2, count + 1)), jax.random.uniform(lots, (2, count + 1))
    ways = ways * SHORT * (LONG / SHORT) ** lots[0]  # small steps for what is well known, large ones else
    old, known = jnp.stack([vector[middles], vector[spreads]]), vector[member]
    new = old + ways[:, :count]
    (was, wide), (now, wider) = place(old), place(new)
    moved = (was[own] + wide[own] * known - now[own]) / wider[own]
    gain = 0.5 * (jnp.sum(old**2 - new**2, axis=0) + (known**2 - moved**2) @ np.eye(count)[own])
    taken = jnp.log(lots[1, :count]) < gain - sizes * jnp.log(wider / wide)
    old, known = jnp.where(taken, new, old), jnp.where(taken[own], moved, known)
    vector = vector.at[np.concatenate([middles, spreads, member])].set(jnp.concatenate([old[0], old[1], known]))
    blocks = layout.split(vector)
    return layout.join(blocks | _moved_mean(blocks, ways[0, -1], lots[1, -1]))


def _moved_mean(blocks: dict, way, lot) -> dict:
    new = {"shortfall_mean": blocks["shortfall_mean"] + way}
    was, now = (shop_value("shortfall_mean", z["shortfall_mean"]) for z in (blocks, new))
    depths = shortfall(blocks["z_shortfall"], mean=was)
    gain = log_prior(new) - log_prior({"shortfall_mean": blocks["shortfall_mean"]})
    gain += (shortfall_log_density(depths, mean=now) - shortfall_log_density(depths, mean=was)).sum()
    new["z_shortfall"] = shortfall_latent(depths, mean=now)
    return _chosen(lot, gain, new, blocks)


def _chosen(lot, gain, new: dict, old: dict) -> dict:
    """Take the new blocks where their gain in log density is worth it, by the rule of Metropolis and Hastings."""
    import jax.numpy as jnp

    return {name: jnp.where(jnp.log(lot) < gain, value, old[name]) for name, value in new.items()}


def reseat(key, vector, *, seen: Observations, layout: Layout, strokes: dict[str, CutArrays] | None = None):
    """
    Try another seat shortfall for every cut, its zero errors taking up a part, or other zero errors.

    Parameters
    ----------
    key : array
        Key of jax's random numbers.
    vector : array, shape (size,)
        Latents.
    seen, layout, strokes
        As in `likelihood.log_density`.

    Returns
    -------
    vector : array, shape (size,)

    Notes
    -----
    Given what lasts, cuts are independent of each other, so each is taken or left on its own.
    """
    import jax
    import jax.numpy as jnp

    there, lots = jax.random.split(key)
    there, lots = jax.random.normal(there, (layout.cuts,)), jax.random.uniform(lots, (3, layout.cuts))
    blocks = layout.split(vector)
    mean, spread = (shop_value(name, blocks[name]) for name in ("shortfall_mean", "spread"))
    way = (lots[0] * (len(SHARES) + len(LEAPS))).astype(int)
    leaps, share = way >= len(SHARES), jnp.asarray(np.concatenate([SHARES, LEAPS]))[way]
    tried = jnp.where(leaps, blocks["z_shortfall"], MIDDLE + WIDTH * there)
    gone = (shortfall(tried, mean=mean) - shortfall(blocks["z_shortfall"], mean=mean)) / spread
    gone = jnp.where(leaps, there * LEAST_LEAP * (LONGEST_LEAP / LEAST_LEAP) ** lots[2], gone)
    new = {
        "z_host": blocks["z_host"] + share[:, 0] * gone,
        "z_insert": blocks["z_insert"] + share[:, 1] * gone,
        "z_shortfall": tried,
    }
    both = {name: jnp.stack([blocks[name], new[name]]) for name in new}
    fitted = values(blocks | both, nominal_angles=seen.nominal_angles)
    worth = log_prior({name: block[..., None] for name, block in both.items()})
    worth += cut_terms(fitted, seen, seat_levels(fitted, seen.cuts, strokes))
    worth += 0.5 * ((both["z_shortfall"] - MIDDLE) / WIDTH) ** 2
    return layout.join(blocks | _chosen(lots[1], worth[1] - worth[0], new, blocks))
