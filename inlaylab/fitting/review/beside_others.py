"""Where a shop lies among others: what its fit knows beside the spread of the beliefs that it began with."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.beliefs import Prior

QUANTITIES = ("tip_flat_mean", "allowance_mean", "bias", "crest_loss_mean")
"""What a shop is compared in: beliefs in mm of which every shop has one."""
LOW, HIGH = 0.05, 0.95


@dataclass(frozen=True, kw_only=True)
class Place:
    """
    One quantity of this shop beside the others'.

    Parameters
    ----------
    name, meaning : str
        Key of the belief, and what it is in a maker's words.
    others : (float, float, float)
        What 9 of 10 shops lie between, and their middle: low, middle, high. [mm]
    own : (float, float, float)
        The same of what is known of this shop. [mm]
    share : float
        Share of shops that lie below this one's middle.
    """

    name: str
    meaning: str
    others: tuple[float, float, float]
    own: tuple[float, float, float]
    share: float


@dataclass(frozen=True, kw_only=True)
class Beside:
    """
    A shop beside others.

    Parameters
    ----------
    places : tuple of Place
        Quantity by quantity.
    shops : int
        How many shops the others are; 0 where they are the kit's judgement of ordinary shops.
    """

    places: tuple[Place, ...]
    shops: int


def beside_others(fit: Fit) -> Beside:
    """
    Put a shop beside others.

    Parameters
    ----------
    fit : Fit
        Converged fit of its log.

    Returns
    -------
    beside : Beside

    Raises
    ------
    NotConverged
        If the fit's chains do not agree.
    """
    fit.check()
    places = []
    for name in QUANTITIES:
        prior = fit.beliefs.priors[name]
        own = np.quantile(fit.values[name], [LOW, 0.5, HIGH])
        low, middle, high = (float(x) for x in own)
        places.append(
            Place(
                name=name,
                meaning=prior.meaning,
                others=(_value(prior, LOW), _value(prior, 0.5), _value(prior, HIGH)),
                own=(low, middle, high),
                share=_share(prior, middle),
            )
        )
    return Beside(places=tuple(places), shops=fit.beliefs.shops)


def _law(prior: Prior) -> NormalDist:
    return NormalDist(math.log(prior.centre) if prior.kind == "log" else prior.centre, prior.spread)


def _value(prior: Prior, level: float) -> float:
    found = _law(prior).inv_cdf(level)
    return math.exp(found) if prior.kind == "log" else found


def _share(prior: Prior, value: float) -> float:
    return _law(prior).cdf(math.log(max(value, 1e-9)) if prior.kind == "log" else value)
