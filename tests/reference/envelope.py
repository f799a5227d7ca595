"""
Slow reference for the seat of a plug: the envelope of the real bit, cut on a grid.

Nothing here knows a formula of the closed form. A cross-section of long parallel
strokes and lands is given by numbers; the bit is put at every position of its
path; pocket and plug are what it leaves; the plug is lowered until a point of it
touches; walls are measured where they are.

A section is written from left to right as ``lands[0], strokes[0], lands[1], ...``
(half-widths); the first and the last land reach far out. Lengths in mm, depth
positive into the wood.
"""

from dataclasses import dataclass

import numpy as np

STEP = 0.002  # [mm] grid of the section
FAR = 4.0  # [mm] of ground kept beyond the outermost rim


@dataclass(frozen=True, kw_only=True)
class Bit:
    """A V-bit and the angle its path was computed for."""

    path_angle: float
    true_angle: float
    tip_flat: float

    @property
    def path_slope(self):
        return np.tan(np.radians(self.path_angle) / 2)

    def cut(self, x, position, depth):
        """Depth of wood that the bit removes at x when its tip stands at (position, depth)."""
        beyond_flat = np.maximum(np.abs(x - position) - self.tip_flat / 2, 0)
        return depth - beyond_flat / np.tan(np.radians(self.true_angle) / 2)


@dataclass(frozen=True, kw_only=True)
class Section:
    """Half-widths of strokes and lands, and all settings of one cut."""

    bit: Bit
    strokes: tuple
    lands: tuple
    start_depth: float
    pocket_depth: float
    relief_depth: float
    host_zero_error: float = 0.0
    insert_zero_error: float = 0.0
    outline_offset: float = 0.0
    pass_spacing: float = 0.0
    crest_loss: float = 0.0
    land_crest_loss: float = 0.0
    wall_allowance: float = 0.0

    def __post_init__(self):
        assert len(self.lands) == len(self.strokes) + 1

    def centres(self):
        """Middles of the strokes, and the two edges of each land."""
        edges, x = [0.0], 0.0
        for half_width in np.ravel(list(zip(self.strokes, (*self.lands[1:-1], 0.0), strict=True))):
            x += 2 * half_width
            edges.append(x)
        starts, ends = np.array(edges[0:-1:2]), np.array(edges[1:-1:2])
        return (starts + ends) / 2, starts, ends


def _path(bit, centre, half_width, depth_cap, pass_spacing):
    """Tip positions and depths that clear a stretch of ground, and the rims between which an end mill goes."""
    rim = half_width - depth_cap * bit.path_slope
    if rim <= 0:
        return [(centre, half_width / bit.path_slope)], None
    if pass_spacing > 0:
        count = int(np.ceil(2 * rim / pass_spacing - 1e-9))
        return [(x, depth_cap) for x in np.linspace(centre - rim, centre + rim, count + 1)], None
    return [(centre - rim, depth_cap), (centre + rim, depth_cap)], (centre - rim, centre + rim)


def surfaces(section):
    """
    Grid, pocket depth and depth removed around the plug, the latter two not yet clipped at a face.

    Crest losses are taken off: whatever lies within them of the apex of a stroke or land is gone.
    """
    bit = section.bit
    centres, starts, ends = section.centres()
    reach = FAR + section.relief_depth * bit.path_slope
    x = np.arange(starts[0] - reach, ends[-1] + reach, STEP)
    pocket, ground = np.full_like(x, -np.inf), np.full_like(x, -np.inf)

    def clear(surface, centre, half_width, depth_cap, extra, spacing):
        positions, flat = _path(bit, centre, half_width, depth_cap, spacing)
        for position, depth in positions:
            np.maximum(surface, bit.cut(x, position, depth + extra), out=surface)
        if flat is not None:
            inside = (x >= flat[0]) & (x <= flat[1])
            surface[inside] = np.maximum(surface[inside], depth_cap + extra)

    for centre, half_width in zip(centres, section.strokes, strict=True):
        clear(pocket, centre, half_width, section.pocket_depth, section.host_zero_error, section.pass_spacing)
    far_left, far_right = starts[0] - 2 * section.lands[0], ends[-1] + 2 * section.lands[-1]
    land_starts, land_ends = np.array([far_left, *ends]), np.array([*starts, far_right])
    extra = section.start_depth + section.insert_zero_error
    for left, right in zip(land_starts, land_ends, strict=True):
        clear(
            ground,
            (left + right) / 2,
            (right - left) / 2 - section.outline_offset,
            section.relief_depth,
            extra,
            section.pass_spacing,
        )
    for left, right in zip(starts, ends, strict=True):
        _break_apex(ground, (x >= left) & (x <= right), section.crest_loss)
    for left, right in zip(land_starts[1:-1], land_ends[1:-1], strict=True):
        _break_apex(pocket, (x >= left) & (x <= right), section.land_crest_loss)
    return x, pocket, ground


def _break_apex(surface, where, loss):
    surface[where] = np.maximum(surface[where], surface[where].min() + loss)


def stand_off(section, x=None, pocket=None, ground=None):
    """Lower the plug until a point of it touches the host."""
    if x is None:
        x, pocket, ground = surfaces(section)
    pocket, plug = np.maximum(pocket, 0), np.maximum(ground, 0)
    shifts = {-section.wall_allowance, 0.0, section.wall_allowance}
    return max(
        (section.start_depth - np.interp(x + shift, x, plug) - pocket).max()
        for shift in shifts  # the wall allowance keeps the plug off sideways
    )


def wall_gaps(section):
    """
    Stand-off, and the level clearance measured at the left and right wall of every stroke.

    Measured half-way down the walls' common height; nan where they share none.
    """
    x, pocket, ground = surfaces(section)
    height = stand_off(section, x, pocket, ground)
    plug_level = section.start_depth - np.maximum(ground, 0) - height
    pocket = np.maximum(pocket, 0)
    gaps = []
    for index, (centre, half_width) in enumerate(zip(section.centres()[0], section.strokes, strict=True)):
        deepest_plug = plug_level[np.abs(x - centre) <= half_width].max()
        deepest_pocket = pocket[np.abs(x - centre) <= half_width / 50 + STEP].min()
        level = min(deepest_plug, deepest_pocket) / 2
        if level < 10 * STEP:
            gaps.append((np.nan, np.nan))
            continue
        sides = []
        for towards in (-1, 1):
            along = np.arange(0, half_width + section.lands[index + (towards + 1) // 2], STEP)
            at = centre + towards * along
            pocket_wall = _last_above(along, np.interp(at, x, pocket), level)
            plug_wall = _last_above(along, np.interp(at, x, plug_level), level)
            sides.append(pocket_wall - plug_wall)
        gaps.append(tuple(sides))
    return height, np.array(gaps)


def _last_above(along, surface, level):
    """Where a surface, followed outwards from the middle, falls below a level for good."""
    last = np.nonzero(surface >= level)[0][-1]
    if last == len(surface) - 1:  # the land's ridge lies lower than the level
        return np.nan
    high, low = surface[last], surface[last + 1]
    return along[last] + (high - level) / (high - low) * STEP


def wedge_stand_off(bit, *, half_corner, length, start_depth, pocket_depth, relief_depth):
    """
    Stand-off of a plug on a wedge-shaped artwork alone, seen from above.

    The path runs along the wedge's middle, deeper as it widens, and past its end
    at the same rate; the ground is cut along two straight rims. Heights are
    compared along the middle, where the crest is.
    """
    sine = np.sin(np.radians(half_corner))
    assert length * sine < pocket_depth * bit.path_slope, "the wedge must be too thin for a floor"
    along = np.arange(0.1, length, 0.01)
    path = np.arange(0, 1.5 * length, STEP)
    depths = np.minimum(pocket_depth, path * sine / bit.path_slope)
    pocket = np.array([bit.cut(at, path, depths).max() for at in along])
    rim = along * sine + relief_depth * bit.path_slope  # square distance from the middle to either rim
    ground = bit.cut(rim, 0, start_depth + relief_depth)
    return (start_depth - np.maximum(ground, 0) - pocket).max()
