"""
Where the plug comes to rest, and what holds it up.

`seat` answers for a whole section and names what holds the plug up; ``start_depths`` turns the question round. The
contacts themselves live in ``contacts``.
"""

from dataclasses import dataclass

import numpy as np

from inlaylab.models.arrays import Floats, as_arrays, plain
from inlaylab.models.contacts import CONTACTS, section_levels
from inlaylab.models.walls import glue_line, path_depth, wall_gap

_NAMES = np.array(CONTACTS)
_WALL, _FLOOR, _NOSE, _CREST, _BACKER, _LAND = range(len(CONTACTS))


@dataclass(frozen=True, kw_only=True)
class Seat:
    """
    Where a plug rests, and what holds it up.

    Parameters
    ----------
    stand_off : float or array
        How high the plug's outline sits above the host's face; negative when it sank. [mm]
    seat_level : float or array
        Stand-off plus both zero errors. [mm]
    held_up_by : str or array of str
        A name of `CONTACTS`.
    at : int or array of int
        Which stroke of the section holds it.
    wall_gap : array
        Per stroke, per side; below zero where the walls are pressed. [mm]
    glue_line : array
        Per stroke, per side; zero where the walls touch. [mm]
    """

    stand_off: Floats
    seat_level: Floats
    held_up_by: Floats
    at: Floats
    wall_gap: Floats
    glue_line: Floats


def seat(
    *,
    start_depth: Floats,
    host_zero_error: Floats = 0.0,
    insert_zero_error: Floats = 0.0,
    seat_shortfall: Floats = 0.0,
    local_opening: Floats = 0.0,
    **section: Floats,
) -> Seat:
    """
    Where the plug rests, what holds it up, and every glue line.

    Parameters
    ----------
    start_depth : array_like
        Depth below the insert's face where the plug's outline equals the artwork's. [mm]
    host_zero_error, insert_zero_error : array_like, optional
        How much deeper than programmed each board was cut. [mm]
    seat_shortfall : array_like, optional
        How much higher the plug stayed than its contacts ask: clamping, glue. [mm]
    local_opening : array_like, optional
        Chips, grain and glue at each stroke's glue line. [mm]
    **section
        Arguments of `contacts.section_levels`. Strokes lie on the last axis, so draws of a zero error, a bit's angle
        and the like need a last axis of length one.

    Returns
    -------
    seat : Seat

    Notes
    -----
    Where contacts are equal to 1e-9 mm the first stroke's is named, and there
    the one that stands first in `CONTACTS`.

    Examples
    --------
    >>> rest = seat(
    ...     start_depth=4, pocket_depth=5, relief_depth=3, stroke_half_width=4, land_half_width=9,
    ...     path_angle=60, true_angle=60, tip_flat=0.1,
    ... )
    >>> print(f"{rest.stand_off:.3f} {rest.held_up_by}")
    -0.173 wall
    """
    levels, kinds = _levels(start_depth, host_zero_error, insert_zero_error, section)
    levels, kinds = np.broadcast_arrays(np.atleast_2d(levels), np.atleast_2d(kinds))
    flat = (*levels.shape[:-2], -1)
    winner = levels.round(9).reshape(flat).argmax(axis=-1)[..., None]
    level = np.take_along_axis(levels.reshape(flat), winner, axis=-1) + seat_shortfall
    held_up_by = _NAMES[np.take_along_axis(kinds.reshape(flat), winner, axis=-1)]
    walls = _walls(level, **section)
    zeros = np.asarray(host_zero_error, dtype=float) + np.asarray(insert_zero_error, dtype=float)
    return Seat(
        stand_off=(level - zeros)[..., 0],
        seat_level=level[..., 0],
        held_up_by=plain(held_up_by[..., 0]),
        at=winner[..., 0] // levels.shape[-1],
        wall_gap=wall_gap(**walls),
        glue_line=glue_line(**walls, local_opening=local_opening),
    )


def _walls(level: Floats, **section: Floats) -> dict[str, Floats]:
    """Arguments of `walls.wall_gap` at a seat level."""
    _, (land, offset) = as_arrays(section["land_half_width"], section.get("outline_offset", 0.0))
    path_angle = section["path_angle"]
    return {
        "stroke_depth": path_depth(
            half_width=section["stroke_half_width"], depth_cap=section["pocket_depth"], path_angle=path_angle
        ),
        "land_depth": path_depth(half_width=land - offset, depth_cap=section["relief_depth"], path_angle=path_angle),
        "path_angle": path_angle,
        "true_angle": section["true_angle"],
        "tip_flat": section["tip_flat"],
        "outline_offset": offset,
        "seat_level": level,
    }


def _levels(
    start_depth: Floats, host_zero: Floats, insert_zero: Floats, section: dict[str, Floats]
) -> tuple[Floats, Floats]:
    """Levels of wall, tip and land on a new last axis, and which of `CONTACTS` each is."""
    found = section_levels(**section)
    xp, (wall, nose, crest, backer, land, start, host_zero, insert_zero) = as_arrays(
        *(found[name] for name in ("wall", "nose", "crest", "backer", "land")), start_depth, host_zero, insert_zero
    )
    nose, backer = nose + start + insert_zero, backer + host_zero
    levels = xp.broadcast_arrays(wall, xp.minimum(nose, crest), xp.minimum(backer, land))
    kinds = xp.broadcast_arrays(
        _WALL,
        xp.where(found["has_floor"], _FLOOR, xp.where(nose <= crest, _NOSE, _CREST)),
        xp.where(backer <= land, _BACKER, _LAND),
    )
    return xp.stack(levels, axis=-1), xp.stack(kinds, axis=-1)
