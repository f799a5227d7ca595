"""
How wide the gap between pocket wall and plug wall is.

A V-bit with a flat (or worn) tip, driven along a path that was computed for a
sharp tip and perhaps another angle, cuts parallel walls: one wall gap holds at
every level. Seen on the finished face it is the glue line.
"""

from inlaylab.models.arrays import Floats, as_arrays, plain


def half_tangent(angle: Floats) -> Floats:
    """
    Tangent of half an included angle: half-width gained per depth.

    Parameters
    ----------
    angle : array_like
        Included angle of a V-bit. [degrees]

    Returns
    -------
    tangent : float or array
        ``T`` of a true angle, ``T0`` of a path angle. [mm/mm]

    Examples
    --------
    >>> print(f"{half_tangent(90.0):.3f} {half_tangent(60.0):.3f}")
    1.000 0.577
    """
    xp, (angle,) = as_arrays(angle)
    return plain(xp.tan(xp.deg2rad(angle) / 2))


def path_depth(*, half_width: Floats, depth_cap: Floats, path_angle: Floats) -> Floats:
    """
    Depth at which the bit's path runs in a stroke or in a land.

    Parameters
    ----------
    half_width : array_like
        From the middle of the stroke or land to its edge; for a land less the
        outline offset. Below zero it counts as zero. [mm]
    depth_cap : array_like
        Pocket depth for a stroke, relief depth for a land. [mm]
    path_angle : array_like
        Included angle that the path was computed for. [degrees]

    Returns
    -------
    depth : float or array
        Below the face (stroke) or below the start depth (land). [mm]

    Notes
    -----
    D = min(P, b / T0) in a stroke and G = min(F, max(0, g - o) / T0) in a land,
    with b and g the half-widths, P and F the caps, o the outline offset and
    T0 the tangent of half the path angle.

    Examples
    --------
    >>> print(path_depth(half_width=[0.5, 8.0], depth_cap=4.0, path_angle=90).round(3))
    [0.5 4. ]
    """
    xp, (half_width, depth_cap, path_angle) = as_arrays(half_width, depth_cap, path_angle)
    return plain(xp.minimum(depth_cap, xp.maximum(0.0, half_width) / half_tangent(path_angle)))


def wall_gap(
    *,
    stroke_depth: Floats,
    land_depth: Floats,
    path_angle: Floats,
    true_angle: Floats,
    tip_flat: Floats,
    seat_level: Floats,
    outline_offset: Floats = 0.0,
) -> Floats:
    """
    Clearance between pocket wall and plug wall, per side, measured level.

    Parameters
    ----------
    stroke_depth, land_depth : array_like
        Depths of the path in the stroke and in the land beside it, as given by
        `path_depth`. [mm]
    path_angle, true_angle : array_like
        Included angle the path was computed for, and the one the bit cuts. [degrees]
    tip_flat : array_like
        Width of the flat or worn tip. [mm]
    seat_level : array_like
        Stand-off plus both zero errors; positive opens the walls. [mm]
    outline_offset : array_like, optional
        How much the plug's outline was grown per side. [mm]

    Returns
    -------
    gap : float or array
        Below zero where the walls would have to overlap. [mm]

    Notes
    -----
    c = (D + G)(T - T0) + t - o + v T, with v = h + e_h + e_p the seat level.

    Examples
    --------
    A tip flat of 0.1 mm opens every wall by 0.1 mm:

    >>> gap = wall_gap(stroke_depth=4, land_depth=3, path_angle=60, true_angle=60, tip_flat=0.1, seat_level=0)
    >>> print(f"{gap:.3f}")
    0.100
    """
    _, (stroke_depth, land_depth, tip_flat, seat_level, outline_offset, true_angle, path_angle) = as_arrays(
        stroke_depth, land_depth, tip_flat, seat_level, outline_offset, true_angle, path_angle
    )
    true, path = half_tangent(true_angle), half_tangent(path_angle)
    return plain((stroke_depth + land_depth) * (true - path) + tip_flat - outline_offset + seat_level * true)


def glue_line(
    *,
    stroke_depth: Floats,
    land_depth: Floats,
    path_angle: Floats,
    true_angle: Floats,
    tip_flat: Floats,
    seat_level: Floats,
    outline_offset: Floats = 0.0,
    local_opening: Floats = 0.0,
) -> Floats:
    """
    Width of the glue line seen on the finished face, per side.

    Parameters
    ----------
    stroke_depth, land_depth, path_angle, true_angle, tip_flat, seat_level, outline_offset : array_like
        As in `wall_gap`.
    local_opening : array_like, optional
        Chips, grain and glue at one place: added to the wall gap. [mm]

    Returns
    -------
    width : float or array
        Zero where the walls touch. [mm]

    Examples
    --------
    Sinking by t/T closes what a tip flat opened:

    >>> sunk = -0.1 / half_tangent(60)
    >>> width = glue_line(stroke_depth=4, land_depth=3, path_angle=60, true_angle=60, tip_flat=0.1, seat_level=sunk)
    >>> print(f"{width:.3f}")
    0.000
    """
    gap = wall_gap(
        stroke_depth=stroke_depth,
        land_depth=land_depth,
        path_angle=path_angle,
        true_angle=true_angle,
        tip_flat=tip_flat,
        seat_level=seat_level,
        outline_offset=outline_offset,
    )
    xp, (gap, local_opening) = as_arrays(gap, local_opening)
    return plain(xp.maximum(0.0, gap + local_opening))
