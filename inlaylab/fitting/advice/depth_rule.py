"""
The rule by which a start depth is chosen: the deepest that costs nothing a maker can see, in 19 of 20 cuts.

It is the 5 % quantile of the bends of all pieces, never deeper than the pocket, and not deeper than the limit (the
deepest start depth with the chance asked) where there is one.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from inlaylab.fitting.advice.worst_lines import Cloud, Floats

SPARED = 0.95
"""Share of cuts in which the start depth to go by costs nothing that can be seen."""
DEPTH_PRICE = (1 - SPARED) / SPARED
"""What a millimetre of depth given away counts, against one too many: with it the rule is the cheapest start depth."""


BLOCK = 64
"""Pieces that are weighed together before the one that counts is looked for."""


@dataclass(frozen=True, kw_only=True)
class Ordered:
    """
    Depths of pieces, the shallowest first, and the draw of each.

    Parameters
    ----------
    values : array, shape (draws * pieces,)
        [mm]
    draws : array of int, shape (draws * pieces,)
        Whose piece each is.
    count : int
        How many draws there are.
    """

    values: Floats
    draws: NDArray[np.intp]
    count: int

    @classmethod
    def of(cls, depths: Floats) -> "Ordered":
        """Sort the depths [mm] of pieces, shape (draws, pieces)."""
        order = np.argsort(depths, axis=None, kind="stable")
        return cls(values=depths.ravel()[order], draws=order // depths.shape[1], count=len(depths))

    def deepest(self, share: float, weights: Floats | None = None) -> Floats:
        """
        Give the deepest start depth that at least a share of the pieces allow.

        Parameters
        ----------
        share : float
            Between 0 and 1.
        weights : array, shape (draws, sets), optional
            How much each draw counts; equally if left out.

        Returns
        -------
        start_depth : array, shape (sets,)
            May be infinite either way. [mm]
        """
        last = len(self.values) - 1
        if weights is None:
            at = np.array([int(np.floor((1 - share) * (last + 1) + 1e-9))])
            return np.asarray(self.values[np.minimum(at, last)])
        grown = self._grown(weights, self._pieces_in_blocks)
        spent = (1 - share) * grown[-1] * (1 + 1e-12)
        at = BLOCK * (grown[1:] <= spent).sum(axis=0)
        for n, begin in enumerate(at):
            own = grown[begin // BLOCK, n] + np.cumsum(weights[self.draws[begin : begin + BLOCK], n])
            at[n] = begin + (own <= spent[n]).sum()
        return np.asarray(self.values[np.minimum(at, last)])

    def up_to(self, start_depths: Floats, weights: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """
        Weigh the pieces whose depth is at most a start depth.

        Parameters
        ----------
        start_depths : array, shape (sets,)
            [mm]
        weights : array, shape (draws, sets)
            How much each draw counts.

        Returns
        -------
        weight, moment : array, shape (sets,)
            Of those pieces: sum of weights, and of weights times depths.
        total_weight, total_moment : array, shape (sets,)
            Of all pieces.
        """
        weight = self._grown(weights, self._pieces_in_blocks)
        moment = self._grown(weights, self._depths_in_blocks)
        at = np.searchsorted(self.values, start_depths, side="right")
        sets, blocks = np.arange(len(at)), at // BLOCK
        some_weight, some_moment = weight[blocks, sets], moment[blocks, sets]
        for n, (begin, end) in enumerate(zip(BLOCK * blocks, at, strict=True)):
            own = weights[self.draws[begin:end], n]
            some_weight[n] += own.sum()
            some_moment[n] += own @ self.values[begin:end]
        return some_weight, some_moment, weight[-1], moment[-1]

    @staticmethod
    def _grown(weights: Floats, blocks: Floats) -> Floats:
        """Sums over all blocks before each, and at last over all (blocks + 1, sets)."""
        grown = np.cumsum(blocks.T @ weights, axis=0)
        return np.concatenate([np.zeros((1, weights.shape[1])), grown])

    @cached_property
    def _pieces_in_blocks(self) -> Floats:
        return self._blocks(np.ones(len(self.values)))

    @cached_property
    def _depths_in_blocks(self) -> Floats:
        return self._blocks(self.values)

    def _blocks(self, each: Floats) -> Floats:
        """Sum of something over the pieces of each draw in each block (draws, blocks)."""
        blocks = -(-len(self.values) // BLOCK)
        cell = self.draws * blocks + np.arange(len(self.values)) // BLOCK
        whole = np.bincount(cell, each, minlength=self.count * blocks)
        return np.asarray(whole, float).reshape(self.count, blocks)


@dataclass(frozen=True, kw_only=True)
class GoBy:
    """
    Start depths by the rule, one for each set of weights.

    Parameters
    ----------
    start_depth : array, shape (sets,)
        To go by. [mm]
    bend : array, shape (sets,)
        The 5 % quantile of the bends; infinite where the start depth does not matter. [mm]
    limit : array, shape (sets,)
        Deepest with the chance asked; minus infinity where no start depth has it. [mm]
    """

    start_depth: Floats
    bend: Floats
    limit: Floats


class DepthRule:
    """
    The rule on one cloud.

    Parameters
    ----------
    cloud : Cloud
        The draws and their pieces.
    """

    def __init__(self, cloud: Cloud):
        self.cloud = cloud

    @cached_property
    def bends(self) -> Ordered:
        """Bends of all pieces in order."""
        return Ordered.of(self.cloud.bends)

    @cached_property
    def limits(self) -> Ordered:
        """Limits of all pieces in order."""
        return Ordered.of(self.cloud.limits)

    def go_by(self, weights: Floats | None = None) -> GoBy:
        """
        Choose a start depth under each of several sets of weights.

        Parameters
        ----------
        weights : array, shape (draws, sets), optional
            How much each draw counts; one set of equal weights if left out.
        """
        asked = self.cloud.question
        bend, limit = self.bends.deepest(SPARED, weights), self.limits.deepest(asked.chance, weights)
        return self._chosen(bend, limit)

    def if_known(self) -> Floats:
        """Give the start depth that each draw would go by if it were the truth [mm], shape (draws,)."""
        pieces = self.cloud.bends.shape[1]

        def quantile(depths: Floats, share: float) -> Floats:
            at = int(np.floor((1 - share) * pieces + 1e-9))
            return np.asarray(np.partition(depths, at, axis=1)[:, at])

        chance = self.cloud.question.chance
        return self._chosen(quantile(self.cloud.bends, SPARED), quantile(self.cloud.limits, chance)).start_depth

    def _chosen(self, bend: Floats, limit: Floats) -> GoBy:
        low, high = self.cloud.question.span
        limit = np.where(limit < low, -np.inf, np.minimum(limit, high))
        deepest = max(low, min(high, self.cloud.question.pocket_depth))
        chosen = np.clip(bend, low, deepest)
        chosen = np.where(limit >= low, np.minimum(chosen, limit), chosen)
        return GoBy(start_depth=chosen, bend=bend, limit=limit)
