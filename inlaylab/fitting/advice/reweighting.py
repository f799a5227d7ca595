"""
The advice under other weights: what it would be with one more result, or with one cut fewer.

A cloud of draws of everything that lasts (bit, pair, woods, shop) carries, draw by draw, many single pieces
cut with it and the deepest start depth that each would have allowed. Any new result only changes how much each draw
counts; no fit is run.
"""

from dataclasses import dataclass, replace

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.fitting.advice.depth_rule import good_depths
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.predict.draws import Scenario, scenario, single_cut
from inlaylab.fitting.predict.question import Question

NEAR = 0.10
"""An advice this close to the right one is as good as it: 0.1 mm is what a maker sets a depth to (our choice). [mm]"""
MOST_PIECES = 3_000_000
"""Strokes of all pieces of all draws: bounds memory and time of long questions."""
AS_GOOD = 0.98
"""Where no start depth has the chance asked, the deepest with this share of the best chance is taken."""
BINS = 500
"""Steps into which the span of start depths is divided."""


@dataclass(frozen=True, kw_only=True)
class Cloud:
    """
    Draws of what lasts, and what each allows.

    Parameters
    ----------
    world : Scenario
        One planned cut; draws first.
    edges : array, shape (bins + 1,)
        Start depths between which pieces are counted, the deepest first. [mm]
    shares : array, shape (draws, bins + 1)
        Share of each draw's pieces whose deepest good start depth lies in each bin; in the last one those that no
        start depth reaches it.
    right : array, shape (draws,)
        Start depth to go by if that draw were the truth. [mm]
    question : Question
        What is asked.
    """

    world: Scenario
    edges: np.ndarray
    shares: np.ndarray
    right: np.ndarray
    question: Question


@dataclass(frozen=True, kw_only=True)
class Weighed:
    """
    The advice under each of several sets of weights.

    Parameters
    ----------
    start_depth : array, shape (sets,)
        To go by: the advice, or where no start depth meets the target the deepest one that is as good as any. [mm]
    serves : array of bool, shape (sets,)
        Whether that start depth has the chance asked.
    moved : array, shape (sets,)
        Change of the start depth against equal weights. [mm]
    worth : array, shape (sets,)
        Mean loss saved by following the new advice instead of the old one. [mm]
    near : array, shape (sets,)
        Chance that the advice lies within `NEAR` of the right start depth.
    effective : array, shape (sets,)
        Effective share of the draws.
    """

    start_depth: np.ndarray
    serves: np.ndarray
    moved: np.ndarray
    worth: np.ndarray
    near: np.ndarray
    effective: np.ndarray


def cloud(
    fit: Fit, shop: Shop, question: Question, *, seed: int = 0, draws: int = 2000, further_use: float = 0.0
) -> Cloud:
    """
    Draw what lasts, and many pieces of each draw.

    Parameters
    ----------
    fit, shop, question
        As in `advice.advise`.
    seed, draws : int
        Seed and number of the draws.
    further_use : float
        Cuts' worth of path that the bit will have made before then.

    Returns
    -------
    cloud : Cloud
        The same seed gives the same draws and pieces whatever the further use.
    """
    low, high = question.span
    strokes = question.half_widths
    world = scenario(fit, shop, (question.cut(low),), seed=seed, size=draws, strokes=[strokes])
    world = replace(world, cuts=replace(world.cuts, used=world.cuts.used + further_use))
    pieces = int(np.clip(MOST_PIECES // (draws * len(strokes)), 8, 64))
    rng = np.random.default_rng([seed, 11])
    many = {name: np.repeat(value, pieces, axis=0) for name, value in world.fitted.items()}
    many |= single_cut(many, rng, (draws * pieces, 1))
    each = replace(world, fitted=many, rng=rng)
    depths = good_depths(each, each.openings((1, len(strokes))), question.within).reshape(draws, pieces)
    edges = np.linspace(high, low, BINS + 1)
    at = np.floor((high - np.clip(depths, low, high)) / (high - low) * BINS).astype(int)
    at = np.where(depths < low, BINS, np.minimum(at, BINS - 1))
    row = np.arange(draws)[:, None]
    counted = np.bincount((row * (BINS + 1) + at).ravel(), minlength=draws * (BINS + 1))
    shares = counted.reshape(draws, BINS + 1) / pieces
    right = _followed(shares, edges, question.chance)
    return Cloud(world=world, edges=edges, shares=shares, right=right, question=question)


def weigh(cloud: Cloud, weights: np.ndarray) -> Weighed:
    """
    Advise again under other weights.

    Parameters
    ----------
    cloud : Cloud
        The draws.
    weights : array, shape (draws, sets)
        How much each draw counts; scale does not matter.

    Returns
    -------
    weighed : Weighed

    Notes
    -----
    Of a piece with deepest good start depth G the loss of advising S is (G - S)(p - 1[G < S]) with p one less the
    chance asked: the pinball loss, least on average at the quantile that `advice.advise` gives.
    """
    chance, edges = cloud.question.chance, cloud.edges
    total = weights.sum(axis=0)
    share = (weights / np.where(total > 0, total, 1.0)).T
    mass, today = share @ cloud.shares, cloud.shares.mean(axis=0, keepdims=True)
    middle = np.append((edges[:-1] + edges[1:]) / 2, edges[-1])

    def loss(start: np.ndarray) -> np.ndarray:
        over = middle - start[:, None]
        return (mass * np.where(over < 0, -chance * over, (1 - chance) * over)).sum(axis=1)

    asked = np.full(len(mass), chance)
    old, new = _depth_with(today, edges, asked[:1]), _depth_with(mass, edges, asked)
    followed = _followed(mass, edges, chance)
    square = (share**2).sum(axis=1)
    return Weighed(
        start_depth=followed,
        serves=1.0 - mass[:, -1] >= chance - 1e-9,
        moved=followed - _followed(today, edges, chance),
        worth=loss(np.broadcast_to(old, new.shape)) - loss(new),
        near=(share * (np.abs(cloud.right - followed[:, None]) <= NEAR)).sum(axis=1),
        effective=np.where(total > 0, 1 / np.maximum(square, 1e-300) / len(cloud.right), 0.0),
    )


def _depth_with(mass: np.ndarray, edges: np.ndarray, chance: np.ndarray) -> np.ndarray:
    """Deepest start depth with a chance, from the weight in each bin (sets, bins + 1); the shallowest if none."""
    reached = np.cumsum(mass[:, :-1], axis=1)
    enough = reached >= chance[:, None] - 1e-9
    at = np.where(enough.any(axis=1), enough.argmax(axis=1), BINS - 1)
    row = np.arange(len(at))
    before = reached[row, at] - mass[row, at]
    part = np.clip((chance - before) / np.maximum(mass[row, at], 1e-12), 0.0, 1.0)
    part = np.where(enough.any(axis=1), part, 1.0)
    return edges[at] + part * (edges[at + 1] - edges[at])


def _followed(mass: np.ndarray, edges: np.ndarray, chance: float) -> np.ndarray:
    """Start depth a maker would go by: the advice, or where none serves the deepest that is as good as any."""
    best = 1.0 - mass[:, -1]
    return _depth_with(mass, edges, np.minimum(chance, AS_GOOD * best))
