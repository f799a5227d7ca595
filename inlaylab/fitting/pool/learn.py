"""
Starting beliefs learnt from many shops: the middle and spread of each prior over shops.

A hierarchy above the shop. Every shop has its own value of each latent, y ~ N(middle, spread^2) over shops, and of some
it has members, x ~ N(y, within) in one shop: its bits, pairs and species. Readings have spoken of shop and members
(`evidence.Evidence`). Expectation-maximisation finds middle, spread and within: given them, what each value is, with
its uncertainty (all of a shop together, for its readings tie them); given those, the three again. It is the nested
random-effects model of meta-analysis. Importance weights of the kept draws were not taken: with 25 latents that each
move a little, hardly any draw keeps weight. How the spread among members differs from shop to shop stays as the kit
has it: two or three bits a shop cannot tell.

Bounded weight: a shop has one vote, however many cuts it made, and a shop that lies further out than `FAR` spreads
pulls no harder than one at `FAR`. The kit's own beliefs have the vote of `MIDDLE_VOTES` and `SPREAD_VOTES` shops, so
that two or three shops do not pass for the world. What is not known of the middle widens the spread that is handed on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from inlaylab import __version__
from inlaylab.errors import InputError
from inlaylab.fitting.model.beliefs import KIT, SHOP, Beliefs, Prior
from inlaylab.fitting.pool.evidence import ALONE, GROUPS, INFORMED, Evidence, mean_square, straight

FAR = 2.5
"""Spreads from the middle beyond which a shop's pull no longer grows."""
MIDDLE_VOTES, SPREAD_VOTES = 1.0, 2.0
"""Votes of the kit's own beliefs, in shops."""
STEPS, SMALL = 1000, 1e-4
"""Most rounds of expectation and maximisation, and the change at which they end, in kit's spreads."""
ANGLE = "angle_error"


@dataclass(frozen=True, kw_only=True)
class Spread:
    """
    Middle and spread over shops, on the scale on which the beliefs are normal.

    Parameters
    ----------
    middle, spread : array, shape (k,)
        Over shops.
    within : array, shape (groups,)
        Mean square of members about their shop's own middle.
    worth : array, shape (k,)
        How many shops that knew their value exactly would tell as much.
    shops : array, shape (n, k)
        Where each shop lies.
    """

    middle: NDArray[np.float64]
    spread: NDArray[np.float64]
    within: NDArray[np.float64]
    worth: NDArray[np.float64]
    shops: NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Members:
    """
    Which coordinates are members of what: those after the ones that a shop has one of.

    Parameters
    ----------
    group : array of int, shape (m,)
        Of each member; the middles of groups are the last of a shop's values.
    there : array of bool, shape (n, m)
        Whether each shop has it.
    kit_within : array, shape (groups,)
        The kit's own mean square, where the search begins.
    """

    group: NDArray[np.intp]
    there: NDArray[np.bool_]
    kit_within: NDArray[np.float64]


def spread_over_shops(
    precisions: NDArray[np.float64],
    pulls: NDArray[np.float64],
    *,
    kit_middle: NDArray[np.float64],
    kit_spread: NDArray[np.float64],
    votes: NDArray[np.float64] | None = None,
    members: Members | None = None,
) -> Spread:
    """
    Find the middle and spread of the values of many shops from what each one's readings say.

    Parameters
    ----------
    precisions : array, shape (n, p, p)
        Curvature of each shop's log likelihood, in what a shop has one of and then in its members.
    pulls : array, shape (n, p)
        Its slope at 0.
    kit_middle, kit_spread : array, shape (k,)
        The kit's own beliefs, where the search begins: what a shop has one of, then the middles of groups.
    votes : array, shape (n,), optional
        Weight of each; 1 if left out.
    members : Members, optional
        None if left out.

    Returns
    -------
    spread : Spread

    Examples
    --------
    >>> told = spread_over_shops(
    ...     np.full((200, 1, 1), 1e6), np.repeat([[1e6], [3e6]], 100, axis=0),
    ...     kit_middle=np.zeros(1), kit_spread=np.ones(1),
    ... )
    >>> print(told.middle.round(2), told.spread.round(1))
    [1.99] [1.]
    """
    count, size = len(pulls), len(kit_middle)
    votes = np.ones(count) if votes is None else votes
    nobody = Members(group=np.zeros(0, int), there=np.zeros((count, 0), bool), kit_within=np.zeros(0))
    members = members or nobody
    middle, spread, within = kit_middle.astype(float), kit_spread.astype(float), members.kit_within.astype(float)
    for _ in range(STEPS):
        means, covariance = _values(precisions, pulls, middle=middle, spread=spread, within=within, members=members)
        values, left = means[:, :size], np.diagonal(covariance, axis1=1, axis2=2)[:, :size]
        away = np.abs(values - middle) / spread
        weight = votes[:, None] * np.minimum(1.0, FAR / np.maximum(away, FAR))
        new = (MIDDLE_VOTES * kit_middle + (weight * values).sum(axis=0)) / (MIDDLE_VOTES + weight.sum(axis=0))
        squares = (weight * (np.minimum(away, FAR) * spread * np.abs(values - new) + left)).sum(axis=0)
        squares += SPREAD_VOTES * kit_spread**2
        wide = np.sqrt(squares / (SPREAD_VOTES + (votes[:, None] * np.ones_like(values)).sum(axis=0)))
        apart = _within(means, covariance, within=within, members=members, size=size)
        moves = [(new - middle) / kit_spread, (wide - spread) / kit_spread, np.sqrt(apart / within) - 1]
        middle, spread, within = new, wide, apart
        if np.abs(np.concatenate(moves)).max() < SMALL:
            break
    means, covariance = _values(precisions, pulls, middle=middle, spread=spread, within=within, members=members)
    left = np.diagonal(covariance, axis1=1, axis2=2)[:, :size]
    worth = (votes[:, None] * np.maximum(1 - left / spread**2, 0.0)).sum(axis=0)
    return Spread(middle=middle, spread=spread, within=within, worth=worth, shops=means[:, :size])


def _values(
    precisions: NDArray[np.float64],
    pulls: NDArray[np.float64],
    *,
    middle: NDArray[np.float64],
    spread: NDArray[np.float64],
    within: NDArray[np.float64],
    members: Members,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Means and covariances of each shop's values and members, given the laws over shops."""
    size, alone = len(middle), len(middle) - len(within)
    whole = np.diag(np.concatenate([1 / spread**2, 1 / within[members.group]]))
    for n, group in enumerate(members.group):
        own, each = alone + group, size + n
        whole[own, own] += 1 / within[group]
        whole[own, each] = whole[each, own] = -1 / within[group]
    spoken = np.r_[0:alone, size : len(whole)]
    inverse = np.repeat(whole[None], len(pulls), axis=0)
    inverse[:, spoken[:, None], spoken] += precisions
    slope = np.zeros((len(pulls), len(whole)))
    slope[:, :size] = middle / spread**2
    slope[:, spoken] += pulls
    covariance = np.linalg.inv(inverse)
    return np.einsum("nij,nj->ni", covariance, slope), covariance


def _within(
    means: NDArray[np.float64],
    covariance: NDArray[np.float64],
    *,
    within: NDArray[np.float64],
    members: Members,
    size: int,
) -> NDArray[np.float64]:
    """Mean square of members about their shop's middle; a shop has one vote a group, the kit's those of a spread."""
    found = np.empty_like(within)
    for group in range(len(within)):
        own = size - len(within) + group
        each = size + np.flatnonzero(members.group == group)
        off = np.abs(means[:, each] - means[:, [own]])
        left = covariance[:, each, each] + covariance[:, [own], [own]] - 2 * covariance[:, each, own]
        far = FAR * math.sqrt(within[group])
        there = members.there[:, each - size]
        squares = np.where(there, np.minimum(off, far) * off + left, 0.0).sum(axis=1) / np.maximum(there.sum(axis=1), 1)
        several = there.sum(axis=1) > 0
        kit = SPREAD_VOTES * members.kit_within[group]
        found[group] = (kit + squares[several].sum()) / (SPREAD_VOTES + several.sum())
    return found


def learn(evidence: Sequence[Evidence], *, kit: Beliefs = KIT) -> Beliefs:
    """
    Learn starting beliefs from many shops.

    Parameters
    ----------
    evidence : sequence of Evidence
        One a shop; of the same shop (by its fingerprint) the first counts.
    kit : Beliefs
        The kit's own, which have a few shops' votes.

    Returns
    -------
    beliefs : Beliefs
        With how many shops, cuts and readings stand behind each; in them is nothing of a single shop.

    Raises
    ------
    InputError
        Where there are fewer than two shops.
    """
    shops = [each for _, each in sorted({each.fingerprint: each for each in reversed(evidence)}.items())]
    if len(shops) < 2:
        raise InputError("too few shops to learn from", value=len(shops), allowed="two at least, better ten")
    priors = dict(_shop_priors(shops, kit))
    priors[ANGLE] = _angle_prior(shops, kit)
    return Beliefs(
        priors={name: priors[name] for name in kit.priors},
        basis="pooled",
        made_by=f"inlaylab {__version__}",
        shops=len(shops),
        cuts=sum(each.cuts for each in shops),
        readings=sum(each.readings for each in shops),
    )


def _shop_priors(shops: Sequence[Evidence], kit: Beliefs) -> dict[str, Prior]:
    names = (*ALONE, *GROUPS)
    middles, spreads = _began(kit.figures(), names, kit)
    precisions, pulls, members = _padded(shops, kit)
    told = spread_over_shops(
        precisions, pulls, kit_middle=np.zeros(len(names)), kit_spread=np.ones(len(names)), members=members
    )
    found = {}
    for i, name in enumerate(names):
        middle, spread = middles[i] + spreads[i] * told.middle[i], spreads[i] * told.spread[i]
        behind = _behind(shops, name)
        found[name] = _prior(kit.priors[name], middle, spread, worth=float(told.worth[i]), behind=behind)
    for (spread_name, _), within, own in zip(GROUPS.values(), told.within, members.kit_within, strict=True):
        prior, behind = kit.priors[spread_name], _behind(shops, spread_name)
        middle = math.log(prior.centre) + 0.5 * math.log(within / own)
        found[spread_name] = _prior(prior, middle, prior.spread, worth=math.inf, behind=behind)
    return found


def _behind(shops: Sequence[Evidence], name: str) -> list[Evidence]:
    place = SHOP.index(name)
    return [each for each in shops if each.left[place] < INFORMED]


def _padded(shops: Sequence[Evidence], kit: Beliefs) -> tuple[NDArray[np.float64], NDArray[np.float64], Members]:
    """Likelihoods of all shops on the kit's scale, with members of which nothing is known where a shop has fewer."""
    most = np.max([each.members for each in shops], axis=0)
    group = np.repeat(np.arange(len(GROUPS)), most)
    number = np.concatenate([np.arange(many) for many in most])
    size = len(ALONE) + len(group)
    precisions, pulls = np.zeros((len(shops), size, size)), np.zeros((len(shops), size))
    there = number < np.array([each.members for each in shops])[:, group]
    for n, each in enumerate(shops):
        precision, pull = _on_scale(each, kit)
        places = np.concatenate([np.arange(len(ALONE)), len(ALONE) + np.flatnonzero(there[n])])
        precisions[n][places[:, None], places] = precision
        pulls[n, places] = pull
    kit_within = np.array([mean_square(name, kit) for name in GROUPS])
    return precisions, pulls, Members(group=group, there=there, kit_within=kit_within)


def _on_scale(each: Evidence, kit: Beliefs) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Likelihood of a shop in units of the kit's beliefs, whichever its fit began with: own = shift + scale * kit."""
    names = (*ALONE, *np.repeat(list(GROUPS), each.members))
    middles, spreads = _began(kit.figures(), names, kit)
    own_middles, own_spreads = _began(each.began, names, kit)
    scale, shift = spreads / own_spreads, (middles - own_middles) / own_spreads
    return scale[:, None] * each.precision * scale, scale * (each.pull - each.precision @ shift)


def _began(figures: object, names: Sequence[str], kit: Beliefs) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    table = dict(figures)  # type: ignore[call-overload]
    pairs = [(straight(name, table[name][0], kit), table[name][1]) for name in names]
    return np.array([a for a, _ in pairs]), np.array([b for _, b in pairs])


def _angle_prior(shops: Sequence[Evidence], kit: Beliefs) -> Prior:
    """Middle and spread of the bits' angle errors; a shop has one vote for all its bits."""
    precisions, pulls, votes = [], [], []
    centre, spread = kit.figures()[ANGLE]
    for each in shops:
        own_centre, own_spread = each.began[ANGLE]
        scale, shift = spread / own_spread, (centre - own_centre) / own_spread
        precisions += list(scale**2 * each.angle_precision)
        pulls += list(scale * (each.angle_pull - each.angle_precision * shift))
        votes += [1 / len(each.angle_pull)] * len(each.angle_pull)
    if not votes:
        return kit.priors[ANGLE]
    told = spread_over_shops(
        np.array(precisions)[:, None, None], np.array(pulls)[:, None],
        kit_middle=np.zeros(1), kit_spread=np.ones(1), votes=np.array(votes),
    )  # fmt: skip
    behind = [each for each in shops if (each.angle_precision > 1 / INFORMED - 1).any()]
    middle, wide = centre + spread * float(told.middle[0]), spread * float(told.spread[0])
    return _prior(kit.priors[ANGLE], middle, wide, worth=float(told.worth[0]), behind=behind)


def _prior(own: Prior, middle: float, spread: float, *, worth: float, behind: Sequence[Evidence]) -> Prior:
    """Write what was learnt as a belief; what is not known of the middle widens it, but not past what both say."""
    if not behind:
        return own
    widened = spread * math.sqrt(1 + 1 / (MIDDLE_VOTES + worth))
    return replace(
        own,
        centre=math.exp(middle) if own.kind == "log" else float(middle),
        spread=float(min(widened, max(spread, own.spread))),
        source=f"learnt from {len(behind)} shops",
        shops=len(behind),
        cuts=sum(each.cuts for each in behind),
        readings=sum(each.readings for each in behind),
    )
