"""
What is left free under the nose and under the backer.

Flat ground that is cleared with the V-bit itself is not flat: its passes leave
ridges, which eat the floor gap and the backer gap alike.
"""

from inlaylab.models.arrays import Floats, as_arrays, plain
from inlaylab.models.walls import half_tangent

_NO_SPACING = 1e-6  # [mm] passes closer than this leave nothing that anyone could call a ridge


def floor_gap(
    *, pocket_depth: Floats, start_depth: Floats, stand_off: Floats = 0.0, host_zero_error: Floats = 0.0
) -> Floats:
    """
    Height left free between the plug's nose and the pocket's floor.

    Parameters
    ----------
    pocket_depth, start_depth : array_like
        Programmed depths P and S. [mm]
    stand_off : array_like, optional
        How proud the plug sits; negative when it sank. [mm]
    host_zero_error : array_like, optional
        How much deeper than programmed the host was cut. [mm]

    Returns
    -------
    gap : float or array
        Zero where the nose stands on the floor. [mm]

    Notes
    -----
    P - S + e_h + h. Holds where the pocket has a floor, that is where a
    stroke's half-width exceeds P T0.

    Examples
    --------
    >>> gaps = floor_gap(pocket_depth=5.0, start_depth=[4.0, 4.8], stand_off=-0.2)
    >>> print(gaps.round(2))
    [0.8 0. ]
    """
    _, (pocket, start, stand_off, zero) = as_arrays(pocket_depth, start_depth, stand_off, host_zero_error)
    return plain(pocket - start + stand_off + zero)


def real_spacing(*, flat_width: Floats, pass_spacing: Floats) -> Floats:
    """
    Distance between the passes that really clear a flat ground.

    Parameters
    ----------
    flat_width : array_like
        Width of the flat ground, from the pass along one rim to that along the other. [mm]
    pass_spacing : array_like
        Widest spacing asked for; 0 where an end mill clears the ground. [mm]

    Returns
    -------
    spacing : float or array
        The width divided into equal passes no wider than asked, both rims
        passed; 0 where there is no flat ground or an end mill cleared it. [mm]

    Examples
    --------
    >>> print(real_spacing(flat_width=[0.0, 0.2, 1.0], pass_spacing=0.3))
    [0.   0.2  0.25]
    """
    xp, (width, spacing) = as_arrays(flat_width, pass_spacing)
    width = xp.maximum(0.0, width)
    by_bit = spacing > _NO_SPACING
    cleared = xp.where(by_bit, spacing, 1.0)
    passes = xp.maximum(1.0, xp.ceil(width / cleared - 1e-9))
    return plain(xp.where(by_bit, width / passes, 0.0))


def ridge_height(*, flat_width: Floats, pass_spacing: Floats, true_angle: Floats, tip_flat: Floats) -> Floats:
    """
    Height of the ridges that V-bit passes leave on flat ground.

    Parameters
    ----------
    flat_width, pass_spacing : array_like
        As in `real_spacing`. [mm]
    true_angle : array_like
        Included angle the bit cuts. [degrees]
    tip_flat : array_like
        Width of the flat or worn tip. [mm]

    Returns
    -------
    height : float or array
        Zero where the tip flat bridges the spacing. [mm]

    Notes
    -----
    r = max(0, q' - t) / (2 T), with q' the real spacing.

    Examples
    --------
    Passes 0.3 mm apart with a sharp 60-degree bit:

    >>> print(f"{ridge_height(flat_width=3.0, pass_spacing=0.3, true_angle=60, tip_flat=0):.2f}")
    0.26
    """
    xp, (spacing, true_angle, tip_flat) = as_arrays(
        real_spacing(flat_width=flat_width, pass_spacing=pass_spacing), true_angle, tip_flat
    )
    return plain(xp.maximum(0.0, spacing - tip_flat) / (2 * half_tangent(true_angle)))


def pocket_ridges(
    *,
    stroke_half_width: Floats,
    pocket_depth: Floats,
    path_angle: Floats,
    true_angle: Floats,
    tip_flat: Floats,
    pass_spacing: Floats = 0.0,
) -> Floats:
    """
    Height of the ridges on the pocket's floor in a stroke.

    Parameters
    ----------
    stroke_half_width, pocket_depth : array_like
        Stroke half width and pocket depth of the stroke and of its pocket. [mm]
    path_angle, true_angle : array_like
        Included angle of the path and of the bit. [degrees]
    tip_flat, pass_spacing : array_like
        As in `ridge_height`. [mm]

    Returns
    -------
    height : float or array
        Zero where the stroke is too thin for a floor. [mm]

    Notes
    -----
    The flat ground between the two rims is 2 (b - P T0) wide.

    Examples
    --------
    >>> ridges = pocket_ridges(
    ...     stroke_half_width=[1, 5], pocket_depth=4, path_angle=60, true_angle=60, tip_flat=0, pass_spacing=0.3
    ... )
    >>> print(ridges.round(2))
    [0.   0.26]
    """
    _, (half_width, depth) = as_arrays(stroke_half_width, pocket_depth)
    return ridge_height(
        flat_width=2 * (half_width - depth * half_tangent(path_angle)),
        pass_spacing=pass_spacing,
        true_angle=true_angle,
        tip_flat=tip_flat,
    )


def ground_ridges(
    *,
    land_half_width: Floats,
    relief_depth: Floats,
    path_angle: Floats,
    true_angle: Floats,
    tip_flat: Floats,
    pass_spacing: Floats = 0.0,
    outline_offset: Floats = 0.0,
) -> Floats:
    """
    Height of the ridges on the ground around the plug in a land.

    Parameters
    ----------
    land_half_width, relief_depth : array_like
        Land half width and relief depth of the land and of the ground cut around the plug. [mm]
    path_angle, true_angle : array_like
        Included angle of the path and of the bit. [degrees]
    tip_flat, pass_spacing : array_like
        As in `ridge_height`. [mm]
    outline_offset : array_like, optional
        How much the plug's outline was grown per side. [mm]

    Returns
    -------
    height : float or array
        Zero where the land is too narrow for flat ground. [mm]

    Notes
    -----
    The flat ground between the two rims is 2 (g - o - F T0) wide.

    Examples
    --------
    >>> height = ground_ridges(
    ...     land_half_width=9, relief_depth=3, path_angle=90, true_angle=90, tip_flat=0.1, pass_spacing=0.5
    ... )
    >>> print(f"{height:.2f}")
    0.20
    """
    _, (half_width, depth, offset) = as_arrays(land_half_width, relief_depth, outline_offset)
    return ridge_height(
        flat_width=2 * (half_width - offset - depth * half_tangent(path_angle)),
        pass_spacing=pass_spacing,
        true_angle=true_angle,
        tip_flat=tip_flat,
    )
