"""
Slow reference for the virtual cut: points of the path, tried one by one.

Nothing here uses a Voronoi diagram, a medial axis library or a formula of the product. The path is found from its
definition: points that have two nearest places on the outline, looked for along the curve between every two parts of
the outline (side and side, side and corner, corner and corner), and ground at full depth. Every branch is kept. The
bit is then put at every such point, and the deepest cut counts.

Slow on purpose: use outlines of a dozen corners. Lengths in mm, depth positive into the wood.
"""

from itertools import pairwise

import numpy as np
import shapely

SPACING = 0.01  # [mm] between points of the path
SAME = 1e-7


def parts_of(polygons):
    """Sides and corners of all outlines."""
    sides, corners = [], []
    for polygon in shapely.get_parts(polygons):
        for ring in (polygon.exterior, *polygon.interiors):
            points = np.asarray(ring.coords)
            sides += list(pairwise(points))
            corners += list(points[:-1])
    return np.array(sides), np.array(corners)


def distances(points, sides):
    """Distance from each point to each side; shape (points, sides)."""
    start, run = sides[:, 0], sides[:, 1] - sides[:, 0]
    share = np.clip(((points[:, None] - start) * run).sum(-1) / (run**2).sum(-1), 0, 1)
    return np.hypot(*np.moveaxis(points[:, None] - start - share[..., None] * run, -1, 0))


def axis_points(polygons, inside, widest):
    """Points with two nearest places on the outline, and their distance to it."""
    sides, corners = parts_of(polygons)
    size = 2 * np.ptp(corners, axis=0).max() + 2 * widest
    run = np.arange(-size, size, SPACING)
    points = np.concatenate(list(_bisectors(sides, corners, run)))
    left, bottom, right, top = shapely.bounds(polygons)
    near = ((points > [left - widest, bottom - widest]) & (points < [right + widest, top + widest])).all(axis=1)
    points = points[near]
    points = points[shapely.contains_xy(polygons, *points.T) == inside]
    kept, depth = [], []
    for part in np.array_split(points, max(1, len(points) // 20_000)):
        away = distances(part, sides)
        least = away.min(axis=1)
        feet = _feet(part, sides)
        at_least = away <= least[:, None] + SAME
        first = feet[np.arange(len(part)), away.argmin(axis=1)]
        apart = np.hypot(*np.moveaxis(feet - first[:, None], -1, 0))
        two = (at_least & (apart > 1e-4)).any(axis=1)
        kept.append(part[two])
        depth.append(least[two])
    return np.concatenate(kept), np.concatenate(depth)


def _feet(points, sides):
    start, run = sides[:, 0], sides[:, 1] - sides[:, 0]
    share = np.clip(((points[:, None] - start) * run).sum(-1) / (run**2).sum(-1), 0, 1)
    return start + share[..., None] * run


def _bisectors(sides, corners, run):
    """Curves of equal distance between every two parts of the outline, as points."""
    for i, one in enumerate(sides):
        for other in sides[i + 1 :]:
            yield from _between_lines(one, other, run)
        for corner in corners:
            along = (one[1] - one[0]) / np.hypot(*(one[1] - one[0]))
            normal = np.array([-along[1], along[0]])
            height = (corner - one[0]) @ normal
            if abs(height) > 1e-9:
                foot = corner - height * normal
                yield foot + run[:, None] * along + ((run**2 + height**2) / (2 * height))[:, None] * normal
    for i, one in enumerate(corners):
        for other in corners[i + 1 :]:
            across = np.array([one[1] - other[1], other[0] - one[0]]) / np.hypot(*(other - one))
            yield (one + other) / 2 + run[:, None] * across


def _between_lines(one, other, run):
    first, second = ((side[1] - side[0]) / np.hypot(*(side[1] - side[0])) for side in (one, other))
    cross = first[0] * second[1] - first[1] * second[0]
    if abs(cross) < 1e-9:
        normal = np.array([-first[1], first[0]])
        yield one[0] + ((other[0] - one[0]) @ normal) / 2 * normal + run[:, None] * first
        return
    gap = other[0] - one[0]
    meet = one[0] + (gap[0] * second[1] - gap[1] * second[0]) / cross * first
    for direction in (first + second, first - second):
        yield meet + run[:, None] * direction / np.hypot(*direction)


def path_points(polygons, inside, cap, half_tangent, offset=0.0):
    """Points of the tool's path and their depths; flat ground is given by a strip of points along its border."""
    widest = cap * half_tangent + offset
    points, away = axis_points(polygons, inside, 2 * widest + 2)
    axis = (away >= offset) & (away <= widest)
    sides, corners = parts_of(polygons)
    rim = _offsets(sides, corners, widest)
    keep = (shapely.contains_xy(polygons, *rim.T) == inside) & (_nearest(rim, sides) >= widest - SAME)
    depths = np.minimum((away[axis] - offset) / half_tangent, cap)
    return np.concatenate([points[axis], rim[keep]]), np.concatenate([depths, np.full(keep.sum(), cap)])


def _nearest(points, sides):
    return np.concatenate(
        [distances(part, sides).min(axis=1) for part in np.array_split(points, len(points) // 20_000 + 1)]
    )


def _offsets(sides, corners, distance):
    """Points at a distance from the lines of all sides and from all corners."""
    found = []
    for start, end in sides:
        run = end - start
        length = np.hypot(*run)
        share = np.linspace(0, 1, int(length / SPACING) + 2)
        normal = np.array([-run[1], run[0]]) / length
        found += [start + share[:, None] * run + way * distance * normal for way in (-1, 1)]
    turn = np.linspace(0, 2 * np.pi, int(2 * np.pi * distance / SPACING) + 8)
    found += [corner + distance * np.stack([np.cos(turn), np.sin(turn)], axis=1) for corner in corners]
    return np.concatenate(found)


class SlowCut:
    """Pocket and plug of an artwork; arguments as the product's."""

    def __init__(
        self, polygons, *, bit_angle, true_angle=None, tip_flat=0.0, pocket_depth, relief_depth, outline_offset=0.0
    ):
        path_half, self.half = (np.tan(np.radians(a) / 2) for a in (bit_angle, true_angle or bit_angle))
        self.polygons, self.tip_flat = polygons, tip_flat
        self.cap = {True: pocket_depth, False: relief_depth}
        self.widest = {True: pocket_depth * path_half, False: relief_depth * path_half + outline_offset}
        self.path = {
            inside: path_points(polygons, inside, self.cap[inside], path_half, 0.0 if inside else outline_offset)
            for inside in (True, False)
        }

    def depth(self, points, inside):
        """Depth that the bit cuts below the outline's level: in the pocket (inside) or around the plug."""
        at, depths = self.path[inside]
        result = np.full(len(points), -np.inf)
        for n, point in enumerate(points):
            away = np.hypot(*(at - point).T)
            result[n] = (depths - np.maximum(away - self.tip_flat / 2, 0) / self.half).max(initial=-np.inf)
        sides, _ = parts_of(self.polygons)
        flat = (shapely.contains_xy(self.polygons, *points.T) == inside) & (
            _nearest(points, sides) >= self.widest[inside]
        )
        return np.where(flat, self.cap[inside], result)

    def stand_off(self, *, start_depth, host_zero_error=0.0, insert_zero_error=0.0):
        """Highest clash over the path's own points, the outline, and points between."""
        sides, _ = parts_of(self.polygons)
        share = np.linspace(0, 1, 60)[:, None, None]
        outline = (sides[:, 0] + share * (sides[:, 1] - sides[:, 0])).reshape(-1, 2)
        rng = np.random.default_rng(0)
        chosen = [self.path[k][0][rng.permutation(len(self.path[k][0]))[:2500]] for k in (True, False)]
        axis, _ = axis_points(self.polygons, True, 1.0)
        points = np.concatenate([outline, *chosen, axis[rng.permutation(len(axis))[:1500]]])
        pocket = np.maximum(self.depth(points, True) + host_zero_error, 0)
        plug = np.maximum(self.depth(points, False) + start_depth + insert_zero_error, 0)
        return float((start_depth - plug - pocket).max())
