"""
How wide the widest glue line of a piece is at every start depth, and how deep one may go.

All glue lines of a piece hang on one seat level, and only the plug's tips know of the start depth. So the widest line
is level up to a bend and rises from there; `WorstLine` holds that curve for many draws at once, and turns it round.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from inlaylab.models.contacts import section_levels
from inlaylab.models.walls import half_tangent, path_depth, wall_gap

Floats = NDArray[np.float64]
_EQUAL = 1e-12  # [mm] a line this much wider still counts as within the limit


@dataclass(frozen=True, kw_only=True)
class Steps:
    """
    What strokes ask for together, where each asks for a level that rises with a lift until its ridge is reached.

    Parameters
    ----------
    ridge : array, shape (draws, strokes that count)
        Level that a stroke never asks more than, the highest first. [mm]
    rise : array, shape (draws, strokes that count)
        Highest level without a lift of all strokes up to there. [mm]
    """

    ridge: Floats
    rise: Floats

    @classmethod
    def of(cls, level: ArrayLike, ridge: ArrayLike, *, shape: tuple[int, int]) -> "Steps":
        """
        Sort strokes by their ridges, but for those that never ask for more than another one does.

        Parameters
        ----------
        level, ridge : array_like
            Asked for without a lift, and at the most; strokes on the last axis. [mm]
        shape : (int, int)
            Draws and strokes.
        """
        level, ridge = (np.broadcast_to(np.asarray(each, float), shape) for each in (level, ridge))
        needed = _asking(level, ridge)
        level, ridge = level[:, needed], ridge[:, needed]
        order = np.argsort(-ridge, axis=1)
        rise = np.maximum.accumulate(np.take_along_axis(level, order, axis=1), axis=1)
        return cls(ridge=np.take_along_axis(ridge, order, axis=1), rise=rise)

    def asked(self, lift: ArrayLike) -> Floats:
        """
        Give the highest level that any stroke asks for: the largest of min(lift + rise, ridge).

        Parameters
        ----------
        lift : array_like, shape (draws, pieces)
            [mm]

        Returns
        -------
        level : array, shape (draws, pieces)
            [mm]
        """
        lift = np.asarray(lift, float)
        last = self.ridge.shape[1] - 1
        reached = _count_above(self.ridge - self.rise, lift)  # up to there the lift is what counts, then the ridge
        by_lift = lift + np.take_along_axis(self.rise, np.maximum(reached - 1, 0), axis=1)
        by_ridge = np.take_along_axis(self.ridge, np.minimum(reached, last), axis=1)
        by_lift = np.where(reached > 0, by_lift, -np.inf)
        return np.maximum(by_lift, np.where(reached <= last, by_ridge, -np.inf))

    def room(self, level: ArrayLike) -> Floats:
        """
        Give the largest lift with which no stroke asks for more than a level.

        Parameters
        ----------
        level : array_like, shape (draws, pieces)
            [mm]

        Returns
        -------
        lift : array, shape (draws, pieces)
            Infinite where every ridge lies below the level. [mm]
        """
        level = np.asarray(level, float)
        over = _count_above(self.ridge, level)
        rise = np.take_along_axis(self.rise, np.maximum(over - 1, 0), axis=1)
        return np.where(over > 0, level - rise, np.inf)


def _asking(level: Floats, ridge: Floats) -> NDArray[np.intp]:
    """Strokes that in some draw neither the one that asks most without a lift outdoes nor the one of highest ridge."""
    draw = np.arange(len(level))
    most = np.where(level >= level.max(axis=1, keepdims=True), ridge, -np.inf).argmax(axis=1)
    highest = np.where(ridge >= ridge.max(axis=1, keepdims=True), level, -np.inf).argmax(axis=1)
    wanted = ((ridge > ridge[draw, most][:, None]) & (level > level[draw, highest][:, None])).any(axis=0)
    wanted[most] = wanted[highest] = True
    return np.flatnonzero(wanted)


def _count_above(rows: Floats, limit: Floats) -> NDArray[np.intp]:
    """How many entries of each falling row lie above each of its limits, by halving."""
    low = np.zeros(limit.shape, np.intp)
    high = np.full(limit.shape, rows.shape[1], np.intp)
    for _ in range(int(rows.shape[1]).bit_length()):
        middle = (low + high) // 2
        above = np.take_along_axis(rows, np.minimum(middle, rows.shape[1] - 1), axis=1) > limit
        above &= middle < high
        low, high = np.where(above, middle + 1, low), np.where(above, high, middle)
    return low


@dataclass(frozen=True, kw_only=True)
class WorstLine:
    """
    The widest glue line of pieces against the start depth.

    Parameters
    ----------
    tangent : array, shape (draws, 1)
        Of half the true angle. [mm/mm]
    opening : array, shape (draws, pieces)
        Widest wall gap at a seat level of zero, local openings included. [mm]
    smooth_opening : array, shape (draws, 1)
        The same without local openings. [mm]
    wall : array, shape (draws, 1)
        Seat level that the walls ask for. [mm]
    land : array, shape (draws, pieces)
        Seat level that backer and lands ask for. [mm]
    tips : Steps
        What noses and crests ask for, lifted by start depth and insert zero error.
    insert_zero_error, shortfall : array, shape (draws, pieces)
        [mm]
    """

    tangent: Floats
    opening: Floats
    smooth_opening: Floats
    wall: Floats
    land: Floats
    tips: Steps
    insert_zero_error: Floats
    shortfall: Floats

    @property
    def fixed(self) -> Floats:
        """Seat level that no start depth changes, without the shortfall [mm], shape (draws, pieces)."""
        return np.maximum(self.wall, self.land)

    def seat_level(self, start_depth: float) -> Floats:
        """Give where each piece rests at a start depth [mm], shape (draws, pieces)."""
        asked = self.tips.asked(start_depth + self.insert_zero_error)
        return np.maximum(self.fixed, asked) + self.shortfall

    def at(self, start_depth: float) -> Floats:
        """Give the widest glue line of each piece at a start depth [mm], shape (draws, pieces)."""
        return np.maximum(0.0, self.opening + self.seat_level(start_depth) * self.tangent)

    def deepest(self, within: ArrayLike) -> Floats:
        """
        Give the deepest start depth at which every glue line stays within a limit.

        Parameters
        ----------
        within : array_like
            A number, or one for each piece. [mm]

        Returns
        -------
        start_depth : array, shape (draws, pieces)
            Minus infinity where no start depth will do, infinite where every one does. [mm]

        Notes
        -----
        The limit puts one cap on the seat level. Walls and lands ask for their level whatever the start depth S; a tip
        asks for min(S + nose, crest), so a stroke whose crest lies under the cap sets no limit and any other sets
        S <= cap - nose. Any shallower start depth is as good.
        """
        cap = (np.asarray(within, float) - self.opening) / self.tangent - self.shortfall + _EQUAL
        depth = self.tips.room(cap) - self.insert_zero_error
        return np.where(self.fixed <= cap, depth, -np.inf)

    def bend(self, shallowest: float, *, hair: float) -> Floats:
        """
        Give the deepest start depth that widens the worst line by no more than a hair.

        Parameters
        ----------
        shallowest : float
            Start depth that is compared with. [mm]
        hair : float
            What nobody sees. [mm]

        Returns
        -------
        start_depth : array, shape (draws, pieces)
            Infinite where no start depth widens the line by more. [mm]
        """
        return self.deepest(self.at(shallowest) + hair)


def openings_of(section: dict[str, Any]) -> Floats:
    """
    Wall gap of every stroke at a seat level of zero.

    Parameters
    ----------
    section : dict
        Arguments of `contacts.section_levels`; strokes on the last axis.

    Returns
    -------
    gaps : array
        Below zero where walls would have to overlap. [mm]
    """
    offset, path = np.asarray(section.get("outline_offset", 0.0), float), section["path_angle"]
    land = np.asarray(section["land_half_width"], float) - offset
    stroke = path_depth(half_width=section["stroke_half_width"], depth_cap=section["pocket_depth"], path_angle=path)
    return np.asarray(
        wall_gap(
            stroke_depth=stroke,
            land_depth=path_depth(half_width=land, depth_cap=section["relief_depth"], path_angle=path),
            path_angle=path,
            true_angle=section["true_angle"],
            tip_flat=section["tip_flat"],
            outline_offset=offset,
            seat_level=0.0,
        ),
        float,
    )


def worst_line(
    section: dict[str, Any],
    *,
    host_zero_error: ArrayLike = 0.0,
    insert_zero_error: ArrayLike = 0.0,
    seat_shortfall: ArrayLike = 0.0,
    opening: ArrayLike | None = None,
) -> WorstLine:
    """
    Find the widest glue line of pieces for every start depth at once.

    Parameters
    ----------
    section : dict
        Arguments of `contacts.section_levels`; arrays of shape (draws, strokes) or what broadcasts to it.
    host_zero_error, insert_zero_error, seat_shortfall : array_like, shape (draws, pieces), optional
        As in `seating.seat`. [mm]
    opening : array_like, shape (draws, pieces), optional
        Widest of each stroke's `openings_of` plus its local opening; without local openings if left out. [mm]

    Returns
    -------
    worst_line : WorstLine

    Examples
    --------
    A tip flat of 0.1 mm at 90 degrees sinks 0.1 mm: from a floor gap of 0.1 mm on the line opens by 1 mm for each mm.

    >>> bit = {"path_angle": 90, "true_angle": 90, "tip_flat": 0.1}
    >>> law = worst_line(bit | {"pocket_depth": 5, "relief_depth": 3, "stroke_half_width": [9], "land_half_width": 9})
    >>> print(f"{law.deepest(0.0)[0, 0]:.3f} {law.at(5.0)[0, 0]:.3f}")
    4.900 0.100
    """
    levels, gaps = section_levels(**section), openings_of(section)
    found = {name: np.asarray(levels[name], float) for name in ("wall", "nose", "crest", "backer", "land")}
    shape = np.broadcast_shapes(*(each.shape for each in found.values()), gaps.shape, (1, 1))
    whole = (int(shape[0]), int(shape[-1]))
    host, insert, shortfall = (
        np.atleast_2d(np.asarray(each, float)) for each in (host_zero_error, insert_zero_error, seat_shortfall)
    )
    pieces = np.broadcast_shapes((whole[0], 1), host.shape, insert.shape, shortfall.shape)
    smooth = np.broadcast_to(gaps, whole).max(axis=1, keepdims=True)
    tangent = np.broadcast_to(np.asarray(half_tangent(section["true_angle"]), float), whole)[:, :1]
    return WorstLine(
        tangent=tangent,
        opening=np.broadcast_to(smooth if opening is None else np.asarray(opening, float), pieces),
        smooth_opening=smooth,
        wall=np.broadcast_to(found["wall"], whole).max(axis=1, keepdims=True),
        land=Steps.of(found["backer"], found["land"], shape=whole).asked(np.broadcast_to(host, pieces)),
        tips=Steps.of(found["nose"], found["crest"], shape=whole),
        insert_zero_error=np.broadcast_to(insert, pieces),
        shortfall=np.broadcast_to(shortfall, pieces),
    )
