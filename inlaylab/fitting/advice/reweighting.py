"""
The advice under other weights: what it would be with one more result, or with one cut fewer.

Any new result only changes how much each draw of a cloud counts; no fit is run.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inlaylab.fitting.advice.depth_rule import DEPTH_PRICE, DepthRule, Ordered
from inlaylab.fitting.advice.worst_lines import Cloud, Floats
from inlaylab.models.walls import half_tangent

NEAR = 0.10
"""An advice this close to the right start depth is as useful as it (our choice). [mm]"""


@dataclass(frozen=True, kw_only=True)
class Weighed:
    """
    The advice under each of several sets of weights.

    Parameters
    ----------
    start_depth : array, shape (sets,)
        To go by. [mm]
    reached : array of bool, shape (sets,)
        Whether some start depth has the chance asked.
    moved : array, shape (sets,)
        Of the start depth, against equal weights. [mm]
    line_saved : array, shape (sets,)
        Glue line that following the new advice instead of the old one saves on average. [mm]
    depth_saved : array, shape (sets,)
        Depth that it gives away less. [mm]
    near : array, shape (sets,)
        Chance that the advice lies within `NEAR` of the right start depth.
    effective : array, shape (sets,)
        Effective share of the draws.
    """

    start_depth: Floats
    reached: np.ndarray
    moved: Floats
    line_saved: Floats
    depth_saved: Floats
    near: Floats
    effective: Floats

    @property
    def worth(self) -> Floats:
        """
        Glue line saved, with the depth not given away at the price that the rule puts on it [mm], shape (sets,).

        Notes
        -----
        Each part may be below zero where the other more than makes up for it. A millimetre of depth counts as 1/19 of
        the glue line that a millimetre too many would open: at that price the start depth to go by is the cheapest.
        """
        return self.line_saved + self.depth_saved


class Reweighting:
    """
    A cloud that is weighed again and again.

    Parameters
    ----------
    cloud : Cloud
        The draws.
    """

    def __init__(self, cloud: Cloud):
        self.cloud, self.rule = cloud, DepthRule(cloud)
        slope = half_tangent(cloud.world.cuts.path_angle[0, 0])
        self.slope = float(slope)

    @cached_property
    def if_known(self) -> Floats:
        """Start depth that each draw would go by if it were the truth [mm], shape (draws,)."""
        return self.rule.if_known()

    @cached_property
    def today(self) -> float:
        """Start depth to go by with equal weights [mm]."""
        return float(self.rule.go_by().start_depth[0])

    @cached_property
    def _bends(self) -> Ordered:
        """Bends in order, none deeper than one would ever go: depth beyond is not given away."""
        low, high = self.cloud.question.span
        deepest = max(low, min(high, self.cloud.question.pocket_depth))
        ordered = self.rule.bends
        return Ordered(values=np.clip(ordered.values, low, deepest), draws=ordered.draws, count=ordered.count)

    def weigh(self, weights: Floats) -> Weighed:
        """
        Advise again under other weights.

        Parameters
        ----------
        weights : array, shape (draws, sets)
            How much each draw counts; scale does not matter.

        Returns
        -------
        weighed : Weighed
        """
        total = weights.sum(axis=0)
        share = weights / np.where(total > 0, total, 1.0)
        chosen = self.rule.go_by(share)
        new, old = chosen.start_depth, np.full(share.shape[1], self.today)
        (line_before, depth_before), (line, depth) = self._losses(share, old, new)
        square = (share**2).sum(axis=0)
        near = np.abs(self.if_known[:, None] - new) <= NEAR
        return Weighed(
            start_depth=new,
            reached=np.isfinite(chosen.limit),
            moved=new - self.today,
            line_saved=line_before - line,
            depth_saved=depth_before - depth,
            near=(share * near).sum(axis=0),
            effective=np.where(total > 0, 1 / np.maximum(square, 1e-300) / len(share), 0.0),
        )

    def _losses(self, share: Floats, *start_depths: Floats) -> list[tuple[Floats, Floats]]:
        """Glue line that is opened and depth that is given away, both in mm of glue line, at start depths (sets,)."""
        found = []
        for depth in start_depths:
            below, below_sum, total, total_sum = self._bends.up_to(depth, share / self.cloud.bends.shape[1])
            too_deep = depth * below - below_sum
            given_away = (total_sum - below_sum) - depth * (total - below)
            found.append((self.slope * too_deep, self.slope * DEPTH_PRICE * given_away))
        return found
