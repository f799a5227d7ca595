"""
What an earlier fit's draws say of a log that has changed: how much each counts, and where new chains can begin.

What a changed cut brought itself is averaged over, so that the weights only depend on what lasts; the largest weights
are smoothed as by Vehtari, A. and others (2024), "Pareto smoothed importance sampling", JMLR 25, paper 72.
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from inlaylab.fitting.kernel.packing import CUT, CUT_AT, SIZES, Packed, Scale, first_scale
from inlaylab.fitting.model.cut_arrays import LATENTS_OF, Names, kept_places
from inlaylab.fitting.model.priors import draw_prior, log_prior
from inlaylab.fitting.sampling.scale import following, learnt_scale, scale_there

WEIGHED, POINTS = 400, 512
"""Old draws that are weighed, and points over which each changed cut's own latents are averaged."""
WIDE, OUT = 3.0, 1.4
"""Half of those points come from normal laws wider than the prior: of the zero errors, and of the shortfall."""
ENOUGH = 100.0
"""Weights are flattened until so many draws count."""
LEARNT_FROM, LOOKS = 800, 32
"""Old draws that the chains' scale is learnt from, and those at which second derivatives are taken."""


@dataclass(frozen=True, kw_only=True)
class Log:
    """
    A log as the compiled functions read it.

    Parameters
    ----------
    names : Names
        Order of the latents.
    packed : Packed
        What was seen.
    """

    names: Names
    packed: Packed


@dataclass(frozen=True, kw_only=True)
class Weights:
    """
    How much each old draw counts now.

    Parameters
    ----------
    share : array, shape (draws,)
        Adds up to 1.
    k_hat : float
        Shape of the Pareto law of the largest; above 0.7 they are not to be relied on by themselves.
    flattened : bool
        Whether they had to be flattened until enough draws count.
    """

    share: np.ndarray
    k_hat: float
    flattened: bool


def some_draws(draws: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Pick as many draws, (draws, size), as are weighed."""
    return np.ascontiguousarray(draws[rng.permutation(len(draws))[:WEIGHED]])


def changed_cuts(old: Log, new: Log) -> tuple[list[int], list[int]]:
    """
    Find the cuts that are not as they were.

    Parameters
    ----------
    old, new : Log
        Before and now.

    Returns
    -------
    fresh : list of int
        Places, now, of cuts that are new or were corrected.
    gone : list of int
        Places, before, of cuts that were corrected or deleted.
    """
    was = {name: _said(old, i) for i, name in enumerate(old.names.cuts)}
    now = {name: _said(new, i) for i, name in enumerate(new.names.cuts)}
    return (
        [i for i, name in enumerate(new.names.cuts) if was.get(name) != now[name]],
        [i for i, name in enumerate(old.names.cuts) if was[name] != now.get(name)],
    )


def _said(log: Log, cut: int) -> tuple[object, ...]:
    """All that a log says of one cut; not how worn its bit was, which other cuts decide."""
    packed, names = log.packed, log.names
    at, after = packed.cut_at[cut], packed.cut_at[cut + 1]
    owners = (names.bits[at[0]], names.pairs[at[1]], names.species[at[2]], names.species[at[3]])
    tips, lands, reads = (slice(at[i], after[i]) for i in range(CUT_AT.index("first tip"), len(CUT_AT)))
    parts = (packed.tips[tips], packed.lands[lands], packed.read_at[reads], packed.reads[reads])
    settings = np.delete(packed.cuts[cut], CUT.index("used"))
    return owners, packed.angles[at[0]], settings.tobytes(), *(part.tobytes() for part in parts)


def carry_over(draws: np.ndarray, old: Log, new: Log, *, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """
    Put old draws in the order of a changed log, and find how much better each explains it than the old one.

    Parameters
    ----------
    draws : array, shape (draws, old size)
        Of the fit before.
    old, new : Log
        Before and now.
    rng : Generator
        Draws what is new from its prior, and a changed cut's own latents from what its readings say.

    Returns
    -------
    carried : array, shape (draws, new size)
        The draws in the new order.
    gain : array, shape (draws,)
        Logarithm of the chance of the new log's readings over that of the old one's.
    """
    fresh, gone = changed_cuts(old, new)
    layout, places = new.names.layout(), kept_places(old.names, new.names)
    carried = np.where(places >= 0, draws[:, places], draw_prior(layout, rng, len(draws)))
    gain = lasting_worth(carried, new) - lasting_worth(draws, old)
    worth, chosen = cut_worth(carried, new.packed, fresh, rng)
    gain += worth.sum(axis=1) - cut_worth(draws, old.packed, gone, rng)[0].sum(axis=1)
    blocks = layout.split(carried)
    for j, name in enumerate(LATENTS_OF["cuts"]):
        blocks[name][:, fresh] = chosen[..., j]
    return carried, gain


def lasting_worth(draws: np.ndarray, log: Log) -> np.ndarray:
    """
    Log chance of the readings that depend on what lasts alone.

    Parameters
    ----------
    draws : array, shape (draws, size)
    log : Log

    Returns
    -------
    worth : array, shape (draws,)
    """
    from inlaylab.fitting.kernel.density import densities

    lasting = np.ascontiguousarray(draws[:, first_scale(log.names.layout()).lasting])
    without_cuts = log.packed.sizes.copy()
    without_cuts[SIZES.index("cuts")] = 0
    heights = np.empty(len(draws))
    densities(lasting, log.packed._replace(sizes=without_cuts), heights, np.empty_like(lasting))
    return heights + 0.5 * np.sum(lasting**2, axis=1)  # less the prior


def weights_of(gain: np.ndarray, *, wanted: float = ENOUGH) -> Weights:
    """
    Turn gains into weights: the largest smoothed, and all flattened until enough draws count.

    Parameters
    ----------
    gain : array, shape (draws,)
        See `carry_over`.
    wanted : float, optional
        So many draws have to count, or half of them where there are fewer than twice as many.

    Returns
    -------
    weights : Weights
    """
    from arviz_stats.base import array_stats

    smoothed, k_hat = array_stats.psislw(-gain)  # it takes log likelihoods of what is left out: minus the log weights
    logs = np.asarray(smoothed) - np.max(smoothed)
    for flatter in np.linspace(1.0, 0.0, 41):
        share = np.exp(flatter * logs)
        share /= share.sum()
        if 1 / np.sum(share**2) >= min(wanted, 0.5 * len(share)):
            break
    return Weights(share=share, k_hat=float(k_hat), flattened=bool(flatter < 1))


def cut_worth(
    draws: np.ndarray, packed: Packed, cuts: list[int], rng: np.random.Generator
) -> tuple[np.ndarray, np.ndarray]:
    """
    Log chance of some cuts' readings given what lasts, and latents of their own drawn as those readings make them.

    Parameters
    ----------
    draws : array, shape (draws, size)
        Of all latents; those of the cuts themselves are not looked at.
    packed : Packed
        The log.
    cuts : list of int
        Which cuts.
    rng : Generator
        Source of the points that are averaged over.

    Returns
    -------
    worth : array, shape (draws, cuts)
    chosen : array, shape (draws, cuts, 3)
    """
    from inlaylab.fitting.kernel.moves import MIDDLE, cut_chances

    if not cuts:
        return np.zeros((len(draws), 0)), np.zeros((len(draws), 0, 3))
    centre, wide = np.array([0.0, 0.0, MIDDLE]), np.array([WIDE, WIDE, OUT])
    points = centre + wide * rng.standard_normal((POINTS, 3))
    half = points[: POINTS // 2]
    half[:] = rng.standard_normal(half.shape)
    half[:, 2] = np.log(rng.standard_exponential(len(half)))
    lots, which = rng.random((len(draws), len(cuts))), np.array(cuts, np.int64)
    known = log_prior(dict(zip(LATENTS_OF["cuts"], points.T[..., None], strict=True))) - np.log(2 * np.pi)
    other = -0.5 * (((points - centre) / wide) ** 2).sum(axis=1) - 1.5 * np.log(2 * np.pi) - np.log(wide).sum()
    odds = known - np.logaddexp(known, other) + np.log(2)

    def averaged(z: np.ndarray, lot: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        found = np.empty((len(cuts), POINTS))
        cut_chances(z, packed, which, points, found)
        found += odds
        top = found.max(axis=1)
        running = np.cumsum(np.exp(found - top[:, None]), axis=1)
        total = running[:, -1]
        picked = np.minimum((running < (lot * total)[:, None]).sum(axis=1), POINTS - 1)
        return top + np.log(total / POINTS), points[picked]

    with ThreadPoolExecutor(2) as pool:
        worth, chosen = zip(*pool.map(averaged, draws, lots), strict=True)
    return np.array(worth), np.array(chosen)


def carried_scale(draws: np.ndarray, old: Log, new: Log, start: np.ndarray) -> Scale:
    """
    Turn and stretch for a changed log: what the old draws teach where it still holds, the rest from where chains begin.

    Parameters
    ----------
    draws : array, shape (draws, old size)
        Of the fit before.
    old, new : Log
        Before and now.
    start : array, shape (chains, new size)
        Where the chains begin.

    Returns
    -------
    scale : Scale
    """
    from inlaylab.fitting.kernel.density import densities

    some = np.ascontiguousarray(draws[np.linspace(0, len(draws) - 1, min(LEARNT_FROM, len(draws))).astype(int)])
    slopes = np.empty_like(some)
    densities(some, old.packed, np.empty(len(some)), slopes)
    was, now = first_scale(old.names.layout()), first_scale(new.names.layout())
    looks = some[np.linspace(0, len(some) - 1, LOOKS).astype(int)]
    learnt = learnt_scale(some, slopes, following(looks, old.packed, was), was)
    follow, single = scale_there(start, new.packed, now)
    places = kept_places(old.names, new.names)
    at = np.full(old.names.layout().size + 1, -1)  # its last one answers for what is new, place -1
    at[was.lasting] = np.arange(len(was.lasting))
    kept = at[places[now.lasting]]
    held = np.flatnonzero(kept >= 0)
    whole = now.whole
    whole[np.ix_(held, held)] = learnt.whole[np.ix_(kept[held], kept[held])]
    fresh, known = changed_cuts(old, new)[0], {name: i for i, name in enumerate(old.names.cuts)}
    for i, name in enumerate(new.names.cuts):
        if i not in fresh:
            single[i] = learnt.single[known[name]]
    return now._replace(whole=whole, single=single, follow=np.ascontiguousarray(follow))
