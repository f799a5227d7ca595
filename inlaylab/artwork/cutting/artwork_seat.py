"""
Where the plug of an artwork comes to rest, from both boards' exact surfaces.

The seat is the highest point of ``start depth - plug's removed depth - pocket's depth`` over the whole artwork. Such
points lie on the walls and on the medial axes; they are asked for there, and the best are then climbed. Zero errors
and the start depth only shift the surfaces, so one set of samples answers for all of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from inlaylab.artwork.axis.medial_axis import Axis
    from inlaylab.artwork.cutting.sweep import Sweep

CONTACTS = ("wall", "floor", "nose", "crest", "backer", "land")
SAME = 3e-4  # [mm] contacts closer than this hold the plug together, and the first in `CONTACTS` is named
_STEP = 0.1  # [mm] between samples
_HEADING = np.pi / 8  # axes that run more alike than this are one to the samples
_MOST_SAMPLES = 400_000
_WALL, _STROKE, _LAND, _OUTLINE = range(4)


@dataclass(frozen=True, kw_only=True)
class Seat:
    """
    Where a plug rests.

    Parameters
    ----------
    stand_off : float
        How high the plug's outline sits above the host's face; negative when it sank. [mm]
    held_up_by : str
        One of `CONTACTS`.
    contact_at : tuple of float
        A place that holds it up, x and y. [mm]
    """

    stand_off: float
    held_up_by: str
    contact_at: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Depths:
    """
    What shifts the two boards' surfaces without changing their shape.

    Parameters
    ----------
    start_depth : float
        Level of the outline below the insert's face, S. [mm]
    host_zero_error, insert_zero_error : float
        How much deeper than programmed each board was cut. [mm]
    """

    start_depth: float
    host_zero_error: float = 0.0
    insert_zero_error: float = 0.0

    def pocket(self, raw: np.ndarray) -> np.ndarray:
        """Depth of the pocket from the bare sweep [mm]."""
        return np.maximum(raw + self.host_zero_error, 0.0)

    def plug(self, raw: np.ndarray) -> np.ndarray:
        """Depth removed from the insert from the bare sweep [mm]."""
        return np.maximum(raw + self.start_depth + self.insert_zero_error, 0.0)

    def clash(self, pocket_raw: np.ndarray, plug_raw: np.ndarray) -> np.ndarray:
        """How high the plug must stand for this point to go in: S - Z - H [mm]."""
        return self.start_depth - self.plug(plug_raw) - self.pocket(pocket_raw)


@dataclass(frozen=True, kw_only=True)
class Samples:
    """
    Points on walls and axes with both bare surfaces there.

    Parameters
    ----------
    points, along : numpy.ndarray
        Shape (samples, 2): places, and the direction of the axis beside them. [mm]
    kind : numpy.ndarray
        0 on a wall, 1 on the axis of a stroke, 2 on the axis of a land, 3 on the outline beside a stroke.
    half_width : numpy.ndarray
        Half-width of the stroke or land that the sample belongs to. [mm]
    pocket, plug : numpy.ndarray
        Bare depths of both sweeps. [mm]
    """

    points: np.ndarray
    along: np.ndarray
    kind: np.ndarray
    half_width: np.ndarray
    pocket: np.ndarray
    plug: np.ndarray

    @property
    def walls(self) -> np.ndarray:
        """Which samples lie on a wall."""
        return (self.kind == _WALL) | (self.kind == _OUTLINE)

    @property
    def outline(self) -> np.ndarray:
        """Which samples lie on the outline, one after the other beside the strokes."""
        return self.kind == _OUTLINE


def take_samples(strokes: Axis, lands: Axis, pocket: Sweep, plug: Sweep, *, floor: float) -> Samples:
    """
    Strew samples over walls and axes and ask both sweeps there.

    Parameters
    ----------
    strokes, lands : Axis
        Medial axes inside and outside.
    pocket, plug : Sweep
        What the bit leaves in the two boards.
    floor : float
        Depths below this need not be told apart. [mm]

    Returns
    -------
    samples : Samples
        About every 0.1 mm; wider apart where that would be more than some hundred thousand.
    """
    reach = 1.5 * (pocket.reach(0.0) + plug.reach(0.0)) + 1.0
    near = [axis.between(0.0, reach) for axis in (strokes, lands)]
    step = max(_STEP, 6 * sum(axis.lengths.sum() for axis in near) / _MOST_SAMPLES)
    walls = [sweep.path.full_depth * sweep.true_half_tangent for sweep in (pocket, plug)]
    found = [_beside(*each, step) for each in zip(near, (_STROKE, _LAND), walls, strict=True)]
    points, along, kind, half_width = (np.concatenate(parts) for parts in zip(*found, strict=True))
    return Samples(
        points=points,
        along=along,
        kind=kind,
        half_width=half_width,
        pocket=pocket.at(points, floor=floor),
        plug=plug.at(points, floor=floor),
    )


def _beside(axis: Axis, kind: int, wall: float, step: float) -> tuple[np.ndarray, ...]:
    """Place samples on an axis, at its feet on the outline, and half-way up the walls between."""
    cuts = np.maximum(1, np.ceil(axis.lengths / step)).astype(int)
    owner = np.repeat(np.arange(len(axis)), cuts + 1)
    share = (np.arange(len(owner)) - np.repeat(np.cumsum(cuts + 1) - cuts - 1, cuts + 1)) / cuts[owner]
    run = axis.ends[:, 1] - axis.ends[:, 0]
    points = axis.ends[owner, 0] + share[:, None] * run[owner]
    width = axis.half_widths[owner, 0] + share * (axis.half_widths[:, 1] - axis.half_widths[:, 0])[owner]
    feet = axis.feet[owner, :, 0] + share[:, None, None] * (axis.feet[:, :, 1] - axis.feet[:, :, 0])[owner]
    along = run[owner] / np.maximum(axis.lengths[owner], 1e-12)[:, None]
    rows = [(points, along, np.full(len(points), kind), width)]
    half_way = 0.5 * np.minimum(1.0, wall / np.maximum(width, 1e-9))[:, None]
    for side in (0, 1):
        foot = _OUTLINE if kind == _STROKE else _WALL
        up = feet[:, side] + half_way * (points - feet[:, side])
        rows += [(place, along, np.full(len(points), k), width) for place, k in ((feet[:, side], foot), (up, _WALL))]
    points, along, kinds, width = (np.concatenate(parts) for parts in zip(*rows, strict=True))
    first = _first_of_each(np.column_stack([np.round(points / (step / 2)), kinds, _heading(along)]))
    return points[first], along[first], kinds[first], width[first]


def _first_of_each(rows: np.ndarray) -> np.ndarray:
    """Number of the first of each kind of rows of whole numbers, in the order of the rows' values."""
    keys = np.zeros(len(rows), dtype=np.int64)
    if not len(rows):
        return keys
    for column in rows.astype(np.int64).T:
        column = column - column.min()
        keys = keys * (int(column.max()) + 1) + column
    return np.asarray(np.unique(keys, return_index=True)[1])


def _heading(along: np.ndarray) -> np.ndarray:
    """Tell which axes run alike: where branches meet, each of them is climbed."""
    return np.round(np.arctan2(along[:, 1], along[:, 0]) % np.pi / _HEADING)


def settle(samples: Samples, pocket: Sweep, plug: Sweep, depths: Depths, *, floor: float, climb: bool = True) -> Seat:
    """
    Find the seat.

    Parameters
    ----------
    samples : Samples
        From `take_samples`, with the same sweeps.
    pocket, plug : Sweep
        What the bit leaves in the two boards.
    depths : Depths
        Start depth and zero errors.
    floor : float
        As for the samples. [mm]
    climb : bool
        Whether to climb from the best samples; without it the answer is quick and at most a little low.

    Returns
    -------
    seat : Seat
        The plug goes in as far as its highest clash lets it.
    """
    clash = depths.clash(samples.pocket, samples.plug)
    best = np.argsort(-clash)[: 4000 if climb else 1]
    highest, place = float(clash[best[0]]), samples.points[best[0]]
    if climb:
        highest, place = _climbed(samples, best, clash, pocket, plug, depths, floor)
    walls = samples.walls & (depths.pocket(samples.pocket) > 0) & (depths.plug(samples.plug) > 0)
    walls &= samples.half_width > 3 * pocket.tip_flat  # nearer to a corner than that, the outline is its crest's
    if walls.any() and clash[walls].max() >= highest - SAME:
        at = samples.points[walls][np.argmax(clash[walls])]
        return Seat(stand_off=highest, held_up_by="wall", contact_at=(float(at[0]), float(at[1])))
    held_up_by = _named(samples, place, pocket, plug, depths, floor, highest)
    return Seat(stand_off=highest, held_up_by=held_up_by, contact_at=(float(place[0]), float(place[1])))


def _climbed(
    samples: Samples,
    best: np.ndarray,
    clash: np.ndarray,
    pocket: Sweep,
    plug: Sweep,
    depths: Depths,
    floor: float,
) -> tuple[float, np.ndarray]:
    """
    Climb from the best samples of every neighbourhood.

    The highest clash lies on a ridge that runs along the axis or a little aslant of it. So the ridge's height is found
    across the axis first, for places along it, and the places are then narrowed down.
    """
    near = np.column_stack([np.round(samples.points[best] / 0.25), _heading(samples.along[best])])
    seeds = best[np.sort(_first_of_each(near))][:160]
    points, height, along = samples.points[seeds], clash[seeds], samples.along[seeds]

    def ridge(places: np.ndarray, along: np.ndarray, turns: int) -> tuple[np.ndarray, np.ndarray]:
        across = np.stack([-along[:, 1], along[:, 0]], axis=1)
        reach, pick = 0.06, np.arange(len(places))
        for _ in range(turns):
            tried = places + np.linspace(-reach, reach, 7)[:, None, None] * across
            flat = tried.reshape(-1, 2)
            heights = depths.clash(pocket.at(flat, floor=floor), plug.at(flat, floor=floor)).reshape(7, -1)
            places, reach = tried[heights.argmax(axis=0), pick], reach / 3
        return places, heights.max(axis=0)

    span = 0.06
    for kept, turns in ((160, 4), (60, 4), (30, 5), (20, 7), (16, 8), (12, 8), (12, 8)):
        order = np.argsort(-height)[:kept]
        points, height, along = points[order], height[order], along[order]
        shifts = span * np.linspace(-1.0, 1.0, 5)[:, None, None]
        tried, heights = ridge((points + shifts * along).reshape(-1, 2), np.tile(along, (5, 1)), turns)
        tried, heights = tried.reshape(5, -1, 2), heights.reshape(5, -1)
        way, pick = heights.argmax(axis=0), np.arange(len(points))
        better = heights[way, pick] > height
        points = np.where(better[:, None], tried[way, pick], points)
        height = np.maximum(height, heights[way, pick])
        span /= 2
    top = int(np.argmax(height))
    return float(height[top]), points[top]


def _named(
    samples: Samples, place: np.ndarray, pocket: Sweep, plug: Sweep, depths: Depths, floor: float, highest: float
) -> str:
    """Contact at a place that is no wall."""
    pocket_raw, plug_raw = pocket.at(place, floor=floor)[0], plug.at(place, floor=floor)[0]
    hollow, removed = depths.pocket(pocket_raw), depths.plug(plug_raw)
    if hollow <= SAME:
        return "backer"
    if removed <= SAME:
        return "floor" if pocket_raw >= pocket.path.full_depth - SAME else "nose"
    axes = samples.points[~samples.walls]
    nearest = np.argmin(np.hypot(*(axes - place).T))
    return "crest" if samples.kind[~samples.walls][nearest] == _STROKE else "land"
