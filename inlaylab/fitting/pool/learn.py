"""
Starting beliefs learnt from many shops: the middle and spread of each prior over shops.

A hierarchy above the shop. Every shop has its own value of each latent, y ~ N(middle, spread^2) over shops, and its
readings have spoken of it (`evidence.Evidence`). Expectation-maximisation finds middle and spread: given both, what
each shop's value is, with its uncertainty (all latents of a shop together, for its readings tie them); given those, the
middle and spread of them all. Importance weights of the kept draws were not taken: with 25 latents that each move a
little, hardly any draw keeps weight.

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
from inlaylab.fitting.pool.evidence import INFORMED, Evidence, straight

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
    worth : array, shape (k,)
        How many shops that knew their value exactly would tell as much.
    shops : array, shape (n, k)
        Where each shop lies.
    """

    middle: NDArray[np.float64]
    spread: NDArray[np.float64]
    worth: NDArray[np.float64]
    shops: NDArray[np.float64]


def spread_over_shops(
    precisions: NDArray[np.float64],
    pulls: NDArray[np.float64],
    *,
    kit_middle: NDArray[np.float64],
    kit_spread: NDArray[np.float64],
    votes: NDArray[np.float64] | None = None,
) -> Spread:
    """
    Find the middle and spread of the values of many shops from what each one's readings say.

    Parameters
    ----------
    precisions : array, shape (n, k, k)
        Curvature of each shop's log likelihood.
    pulls : array, shape (n, k)
        Its slope at 0.
    kit_middle, kit_spread : array, shape (k,)
        The kit's own beliefs, where the search begins.
    votes : array, shape (n,), optional
        Weight of each; 1 if left out.

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
    votes = np.ones(len(pulls)) if votes is None else votes
    middle, spread = kit_middle.astype(float), kit_spread.astype(float)
    for _ in range(STEPS):
        values, left = _values(precisions, pulls, middle, spread)
        away = np.abs(values - middle) / spread
        weight = votes[:, None] * np.minimum(1.0, FAR / np.maximum(away, FAR))
        new = (MIDDLE_VOTES * kit_middle + (weight * values).sum(axis=0)) / (MIDDLE_VOTES + weight.sum(axis=0))
        squares = (weight * (np.minimum(away, FAR) * spread * np.abs(values - new) + left)).sum(axis=0)
        squares += SPREAD_VOTES * kit_spread**2
        wide = np.sqrt(squares / (SPREAD_VOTES + (votes[:, None] * np.ones_like(values)).sum(axis=0)))
        moved = max(np.abs((new - middle) / kit_spread).max(), np.abs((wide - spread) / kit_spread).max())
        middle, spread = new, wide
        if moved < SMALL:
            break
    values, left = _values(precisions, pulls, middle, spread)
    worth = (votes[:, None] * np.maximum(1 - left / spread**2, 0.0)).sum(axis=0)
    return Spread(middle=middle, spread=spread, worth=worth, shops=values)


def _values(
    precisions: NDArray[np.float64],
    pulls: NDArray[np.float64],
    middle: NDArray[np.float64],
    spread: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean and variance of each shop's values, given the middle and spread over shops."""
    covariance = np.linalg.inv(precisions + np.diag(1 / spread**2))
    means = np.einsum("nij,nj->ni", covariance, pulls + middle / spread**2)
    return means, np.diagonal(covariance, axis1=1, axis2=2)


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
    middles, spreads = _began(kit.figures(), SHOP, kit)
    precisions, pulls = [], []
    for each in shops:  # every shop on the kit's scale, whatever beliefs its fit began with
        precision, pull = _on_scale(each, middles, spreads, kit)
        precisions.append(precision)
        pulls.append(pull)
    told = spread_over_shops(
        np.array(precisions), np.array(pulls), kit_middle=np.zeros(len(SHOP)), kit_spread=np.ones(len(SHOP))
    )
    found = {}
    for i, name in enumerate(SHOP):
        behind = [each for each in shops if each.left[i] < INFORMED]
        middle, spread = middles[i] + spreads[i] * told.middle[i], spreads[i] * told.spread[i]
        found[name] = _prior(kit.priors[name], middle, spread, worth=float(told.worth[i]), behind=behind)
    return found


def _on_scale(
    each: Evidence, middles: NDArray[np.float64], spreads: NDArray[np.float64], kit: Beliefs
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Likelihood of a shop in latents of the kit's beliefs: z_own = shift + scale * z_kit."""
    own_middles, own_spreads = _began(each.began, SHOP, kit)
    scale, shift = spreads / own_spreads, (middles - own_middles) / own_spreads
    precision = scale[:, None] * each.precision * scale
    return precision, scale * (each.pull - each.precision @ shift)


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
    """Write what was learnt as a belief; what is not known of the middle widens it."""
    if not behind:
        return own
    return replace(
        own,
        centre=math.exp(middle) if own.kind == "log" else float(middle),
        spread=float(spread * math.sqrt(1 + 1 / (MIDDLE_VOTES + worth))),
        source=f"learnt from {len(behind)} shops",
        shops=len(behind),
        cuts=sum(each.cuts for each in behind),
        readings=sum(each.readings for each in behind),
    )
