"""
What each place of a section asks of the seat.

The plug is one rigid piece until its backer is cut off. The **seat level** is
the stand-off plus both zero errors: the one number that sets every glue line.
Every place of a section asks for a seat level of its own, below which the plug
cannot go there; `CONTACTS` names them all.
"""

import numpy as np

from inlaylab.models.arrays import Floats, as_arrays, plain
from inlaylab.models.floors import ground_ridges, pocket_ridges
from inlaylab.models.walls import half_tangent, path_depth, wall_gap

CONTACTS = ("wall", "floor", "nose", "crest", "backer", "land")
"""What can hold a plug up; `wording.contacts` says each in words."""

_SAME = 1e-9  # [mm] depths closer than this count as one


def wall_contact(
    *,
    stroke_depth: Floats,
    land_depth: Floats,
    path_angle: Floats,
    true_angle: Floats,
    tip_flat: Floats,
    wall_allowance: Floats = 0.0,
    outline_offset: Floats = 0.0,
) -> Floats:
    """
    Seat level at which the walls of a stroke meet.

    Parameters
    ----------
    stroke_depth, land_depth : array_like
        Depths of the path, as given by `walls.path_depth`. [mm]
    path_angle, true_angle : array_like
        Included angle of the path and of the bit. [degrees]
    tip_flat : array_like
        Width of the flat or worn tip. [mm]
    wall_allowance : array_like, optional
        Glue film less crushed fibre, per side. [mm]
    outline_offset : array_like, optional
        How much the plug's outline was grown per side. [mm]

    Returns
    -------
    seat_level : float or array
        The plug cannot go lower here. [mm]

    Notes
    -----
    v >= (w - t + o - (D + G)(T - T0)) / T.

    Examples
    --------
    A tip flat of 0.10 mm on 60 degrees lets the plug sink 0.173 mm:

    >>> level = wall_contact(stroke_depth=4, land_depth=3, path_angle=60, true_angle=60, tip_flat=0.1)
    >>> print(f"{level:.3f}")
    -0.173
    """
    _, (wall_allowance,) = as_arrays(wall_allowance)
    open_by = wall_gap(
        stroke_depth=stroke_depth,
        land_depth=land_depth,
        path_angle=path_angle,
        true_angle=true_angle,
        tip_flat=tip_flat,
        outline_offset=outline_offset,
        seat_level=0.0,
    )
    return plain((wall_allowance - open_by) / half_tangent(true_angle))


def tip_contact(*, start_depth: Floats, insert_zero_error: Floats = 0.0, **section: Floats) -> Floats:
    """
    Seat level at which the tip of the plug stands on the pocket's bottom.

    Parameters
    ----------
    start_depth : array_like
        Depth below the insert's face where the plug's outline equals the artwork's. [mm]
    insert_zero_error : array_like, optional
        How much deeper than programmed the insert was cut. [mm]
    **section
        Arguments of `tip_levels`.

    Returns
    -------
    seat_level : float or array
        The plug cannot go lower here. [mm]

    Notes
    -----
    v >= min(S + e_p, (b + o + G T0 - t/2)/T - G - k) - D + r_P - (t/2) sin(beta)/T0.

    Examples
    --------
    A wide stroke stands on its floor as soon as the start depth exceeds the pocket depth:

    >>> level = tip_contact(
    ...     stroke_half_width=9, stroke_depth=4, land_depth=3, start_depth=4.1, path_angle=90, true_angle=90, tip_flat=0
    ... )
    >>> print(f"{level:.3f}")
    0.100
    """
    nose, crest = tip_levels(**section)
    xp, (nose, crest, start, zero) = as_arrays(nose, crest, start_depth, insert_zero_error)
    return plain(xp.minimum(start + zero + nose, crest))


def tip_levels(
    *,
    stroke_half_width: Floats,
    stroke_depth: Floats,
    land_depth: Floats,
    path_angle: Floats,
    true_angle: Floats,
    tip_flat: Floats,
    land_half_width: Floats | None = None,
    crest_loss: Floats = 0.0,
    outline_offset: Floats = 0.0,
    floor_ridge: Floats = 0.0,
    taper: Floats = 0.0,
    other_land_half_width: Floats | None = None,
    relief_depth: Floats = np.inf,
) -> tuple[Floats, Floats]:
    """
    Seat levels that a flat nose and a crest would ask for; the lower one counts.

    Parameters
    ----------
    stroke_half_width, stroke_depth, land_depth : array_like
        Stroke half width, stroke depth and land depth of the stroke and of the land beside it. [mm]
    path_angle, true_angle : array_like
        Included angle of the path and of the bit. [degrees]
    tip_flat : array_like
        Width of the flat or worn tip. [mm]
    land_half_width : array_like, optional
        Taken so that a section can be handed on whole; the land's depth says it all. [mm]
    crest_loss : array_like, optional
        Height lost from the ridge of a thin stroke. [mm]
    outline_offset : array_like, optional
        How much the plug's outline was grown per side. [mm]
    floor_ridge : array_like, optional
        Ridges left on the pocket's floor; counted where there is a floor. [mm]
    taper : array_like, optional
        Rate at which the half-width grows along a tapering stroke, the sine of
        half the corner's angle; counted where there is no floor. [mm/mm]
    other_land_half_width, relief_depth : array_like, optional
        Land on the other side, where it differs, and the depth that caps it. [mm]

    Returns
    -------
    nose, crest : float or array
        The nose's level for a start depth of 0 (it grows with the start depth
        and the insert's zero error), and the crest's. [mm]

    Notes
    -----
    Between unequal lands the ridge lies where its two walls meet: its term is
    the mean over both sides, before the crest loss k is taken off.

    Examples
    --------
    >>> nose, crest = tip_levels(
    ...     stroke_half_width=1, stroke_depth=1, land_depth=3, path_angle=90, true_angle=90, tip_flat=0.1
    ... )
    >>> print(f"{nose:.2f} {crest:.2f}")
    -1.00 -0.05
    """
    xp, (half_width, depth, loss, offset, floor_ridge, taper, flat) = as_arrays(
        stroke_half_width, stroke_depth, crest_loss, outline_offset, floor_ridge, taper, tip_flat
    )
    bit = {"path_angle": path_angle, "true_angle": true_angle, "tip_flat": flat}
    crest = _ridge(half_width + offset, land_depth, **bit)
    if other_land_half_width is not None:
        _, (other,) = as_arrays(other_land_half_width)
        other_depth = path_depth(half_width=other - offset, depth_cap=relief_depth, path_angle=path_angle)
        crest = (crest + _ridge(half_width + offset, other_depth, **bit)) / 2
    has_floor = half_width > depth * half_tangent(path_angle) + _SAME
    bottom = xp.where(has_floor, floor_ridge, -taper * flat / (2 * half_tangent(path_angle))) - depth
    return plain(bottom), plain(crest - loss + bottom)


def land_contact(*, host_zero_error: Floats = 0.0, **section: Floats) -> Floats:
    """
    Seat level at which the ground around the plug lies on the host.

    Parameters
    ----------
    host_zero_error : array_like, optional
        How much deeper than programmed the host was cut. [mm]
    **section
        Arguments of `land_levels`.

    Returns
    -------
    seat_level : float or array
        The plug cannot go lower here. [mm]

    Notes
    -----
    v >= min(e_h, (g + D T0 - t/2)/T - D - k_h) - G + r_F.

    Examples
    --------
    >>> level = land_contact(
    ...     land_half_width=9, stroke_depth=4, land_depth=3, path_angle=90, true_angle=90, tip_flat=0
    ... )
    >>> print(f"{level:.3f}")
    -3.000
    """
    backer, land = land_levels(**section)
    xp, (backer, land, zero) = as_arrays(backer, land, host_zero_error)
    return plain(xp.minimum(zero + backer, land))


def land_levels(
    *,
    land_half_width: Floats,
    stroke_depth: Floats,
    land_depth: Floats,
    path_angle: Floats,
    true_angle: Floats,
    tip_flat: Floats,
    stroke_half_width: Floats | None = None,
    land_crest_loss: Floats = 0.0,
    outline_offset: Floats = 0.0,
    ground_ridge: Floats = 0.0,
    other_stroke_half_width: Floats | None = None,
    pocket_depth: Floats = np.inf,
) -> tuple[Floats, Floats]:
    """
    Seat levels that the host's face and the ridge of a land would ask for; the lower one counts.

    Parameters
    ----------
    land_half_width, stroke_depth, land_depth : array_like
        Land half width, stroke depth and land depth of the land and of the stroke beside it. [mm]
    path_angle, true_angle : array_like
        Included angle of the path and of the bit. [degrees]
    tip_flat : array_like
        Width of the flat or worn tip. [mm]
    stroke_half_width : array_like, optional
        Taken so that a section can be handed on whole; the stroke's depth says it all. [mm]
    land_crest_loss : array_like, optional
        Height lost from the ridge of a narrow land. [mm]
    outline_offset : array_like, optional
        How much the plug's outline was grown per side. [mm]
    ground_ridge : array_like, optional
        Ridges left on the ground around the plug; counted where it is flat. [mm]
    other_stroke_half_width, pocket_depth : array_like, optional
        Stroke on the land's other side, where it differs, and the depth that caps it. [mm]

    Returns
    -------
    backer, land : float or array
        The host's face's level for a host zero error of 0 (it grows with the
        error), and the ridge's. [mm]

    Examples
    --------
    >>> backer, land = land_levels(
    ...     land_half_width=1, stroke_depth=4, land_depth=1, path_angle=90, true_angle=90, tip_flat=0.1
    ... )
    >>> print(f"{backer:.2f} {land:.2f}")
    -1.00 -0.05
    """
    xp, (half_width, depth, loss, offset, ground_ridge) = as_arrays(
        land_half_width, land_depth, land_crest_loss, outline_offset, ground_ridge
    )
    bit = {"path_angle": path_angle, "true_angle": true_angle, "tip_flat": tip_flat}
    ridge = _ridge(half_width, stroke_depth, **bit)
    if other_stroke_half_width is not None:
        other_depth = path_depth(half_width=other_stroke_half_width, depth_cap=pocket_depth, path_angle=path_angle)
        ridge = (ridge + _ridge(half_width, other_depth, **bit)) / 2
    is_flat = half_width - offset > depth * half_tangent(path_angle) + _SAME
    ground = xp.where(is_flat, ground_ridge, 0.0) - depth
    return plain(ground), plain(ridge - loss + ground)


def section_levels(
    *,
    pocket_depth: Floats,
    relief_depth: Floats,
    stroke_half_width: Floats,
    land_half_width: Floats,
    path_angle: Floats,
    true_angle: Floats,
    tip_flat: Floats,
    wall_allowance: Floats = 0.0,
    crest_loss: Floats = 0.0,
    land_crest_loss: Floats = 0.0,
    outline_offset: Floats = 0.0,
    pass_spacing: Floats = 0.0,
    taper: Floats = 0.0,
    other_land_half_width: Floats | None = None,
    other_stroke_half_width: Floats | None = None,
) -> dict[str, Floats]:
    """
    Seat levels of all contacts of every stroke, without start depth and zero errors.

    Parameters
    ----------
    pocket_depth, relief_depth : array_like
        Programmed depths. [mm]
    stroke_half_width, land_half_width : array_like
        Strokes of the section and the lands beside them. [mm]
    path_angle, true_angle, tip_flat, wall_allowance : array_like
        As in `wall_contact`.
    crest_loss, land_crest_loss, outline_offset, taper : array_like, optional
        As in `tip_levels` and `land_levels`.
    pass_spacing : array_like, optional
        Pass spacing of the V-bit's own passes over flat ground; 0 where an end mill cleared it. [mm]
    other_land_half_width, other_stroke_half_width : array_like, optional
        The other neighbour, where it differs. [mm]

    Returns
    -------
    levels : dict of array
        ``wall``, ``nose``, ``crest``, ``backer``, ``land`` and ``has_floor``
        (true where the nose's contact is called floor).

    Examples
    --------
    >>> levels = section_levels(
    ...     pocket_depth=5, relief_depth=3, stroke_half_width=9, land_half_width=9,
    ...     path_angle=90, true_angle=90, tip_flat=0.1,
    ... )
    >>> print(f"{levels['wall']:.2f} {levels['nose']:.2f} {levels['backer']:.2f}")
    -0.10 -5.00 -3.00
    """
    bit = {"path_angle": path_angle, "true_angle": true_angle, "tip_flat": tip_flat}
    _, (offset, land, stroke) = as_arrays(outline_offset, land_half_width, stroke_half_width)
    stroke_depth = path_depth(half_width=stroke, depth_cap=pocket_depth, path_angle=path_angle)
    land_depth = path_depth(half_width=land - offset, depth_cap=relief_depth, path_angle=path_angle)
    shared = {**bit, "stroke_depth": stroke_depth, "land_depth": land_depth, "outline_offset": offset}
    cleared = {**bit, "pass_spacing": pass_spacing}
    floor_ridge = pocket_ridges(**cleared, stroke_half_width=stroke, pocket_depth=pocket_depth)
    ground_ridge = ground_ridges(**cleared, land_half_width=land, relief_depth=relief_depth, outline_offset=offset)
    tip = {"stroke_half_width": stroke, "crest_loss": crest_loss, "floor_ridge": floor_ridge, "taper": taper}
    tip |= {"other_land_half_width": other_land_half_width, "relief_depth": relief_depth}
    foot = {"land_half_width": land, "land_crest_loss": land_crest_loss, "ground_ridge": ground_ridge}
    foot |= {"other_stroke_half_width": other_stroke_half_width, "pocket_depth": pocket_depth}
    nose, crest = tip_levels(**shared, **tip)
    backer, ridge = land_levels(**shared, **foot)
    return {
        "wall": wall_contact(**shared, wall_allowance=wall_allowance),
        "nose": nose,
        "crest": crest,
        "backer": backer,
        "land": ridge,
        "has_floor": stroke > stroke_depth * half_tangent(path_angle) + _SAME,
    }


def _ridge(half_width: Floats, depth: Floats, path_angle: Floats, true_angle: Floats, tip_flat: Floats) -> Floats:
    """Height at which two walls meet in a ridge: (half-width + depth T0 - t/2)/T - depth."""
    _, (half_width, depth, tip_flat) = as_arrays(half_width, depth, tip_flat)
    return (half_width + depth * half_tangent(path_angle) - tip_flat / 2) / half_tangent(true_angle) - depth
