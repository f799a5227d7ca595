"""
How much may be sanded before a stroke is lost.

Sanding the finished face narrows every stroke, since its walls lean inwards.
"""

from inlaylab.models.arrays import Floats, as_arrays, plain
from inlaylab.models.walls import half_tangent, path_depth


def finished_width(*, half_width: Floats, sanded_off: Floats, path_angle: Floats) -> Floats:
    """
    Full width of a stroke on the sanded face.

    Parameters
    ----------
    half_width : array_like
        From the middle of the stroke to its edge, as drawn. [mm]
    sanded_off : array_like
        Taken off the host's face after levelling. [mm]
    path_angle : array_like
        Included angle that the path was computed for. [degrees]

    Returns
    -------
    width : float or array
        Below zero where the stroke is sanded away. [mm]

    Notes
    -----
    2 (b - s T0).

    Examples
    --------
    >>> print(f"{finished_width(half_width=0.5, sanded_off=0.3, path_angle=90):.2f}")
    0.40
    """
    _, (half_width, sanded) = as_arrays(half_width, sanded_off)
    return plain(2 * (half_width - sanded * half_tangent(path_angle)))


def stroke_reserve(*, half_width: Floats, pocket_depth: Floats, path_angle: Floats, sanded_off: Floats = 0.0) -> Floats:
    """
    How much more may be sanded before the pocket of a stroke is gone.

    Parameters
    ----------
    half_width, pocket_depth : array_like
        Half width and pocket depth of the stroke. [mm]
    path_angle : array_like
        Included angle that the path was computed for. [degrees]
    sanded_off : array_like, optional
        Already taken off. [mm]

    Returns
    -------
    reserve : float or array
        Below zero where it is gone. [mm]

    Notes
    -----
    D - s with D = min(P, b/T0).

    Examples
    --------
    >>> print(stroke_reserve(half_width=[0.2, 5.0], pocket_depth=4, path_angle=90, sanded_off=0.3).round(2))
    [-0.1  3.7]
    """
    depth = path_depth(half_width=half_width, depth_cap=pocket_depth, path_angle=path_angle)
    _, (depth, sanded) = as_arrays(depth, sanded_off)
    return plain(depth - sanded)


def plug_reserve(*, start_depth: Floats, stand_off: Floats = 0.0, sanded_off: Floats = 0.0) -> Floats:
    """
    How much more may be sanded before the plug's nose is reached.

    Parameters
    ----------
    start_depth : array_like
        Depth below the insert's face where the plug's outline equals the artwork's. [mm]
    stand_off : array_like, optional
        How proud the plug sits; negative when it sank. [mm]
    sanded_off : array_like, optional
        Already taken off. [mm]

    Returns
    -------
    reserve : float or array
        [mm]

    Notes
    -----
    S - h - s.

    Examples
    --------
    >>> print(f"{plug_reserve(start_depth=2.6, stand_off=-0.2, sanded_off=0.3):.2f}")
    2.50
    """
    _, (start, stand_off, sanded) = as_arrays(start_depth, stand_off, sanded_off)
    return plain(start - stand_off - sanded)


def sanding_reserve(
    *,
    half_width: Floats,
    start_depth: Floats,
    pocket_depth: Floats,
    path_angle: Floats,
    stand_off: Floats = 0.0,
    crest_loss: Floats = 0.0,
    sanded_off: Floats = 0.0,
) -> Floats:
    """
    How much more may be sanded before a stroke is lost in pocket or plug.

    Parameters
    ----------
    half_width, start_depth, pocket_depth : array_like
        Half width, start depth and pocket depth of the stroke. [mm]
    path_angle : array_like
        Included angle that the path was computed for. [degrees]
    stand_off, crest_loss, sanded_off : array_like, optional
        How proud the plug sits; height lost from its thin strokes' ridges; what is already taken off. [mm]

    Returns
    -------
    reserve : float or array
        The smaller of the pocket's and the plug's. [mm]

    Notes
    -----
    A plug's stroke reaches min(S, b/T0 - k) - h below the face: as deep as its
    nose, or where it is too thin for one as its crest less the crest loss.

    Examples
    --------
    >>> reserve = sanding_reserve(
    ...     half_width=[0.5, 5.0], start_depth=2.6, pocket_depth=3.1, path_angle=90, crest_loss=0.2, sanded_off=0.3
    ... )
    >>> print(reserve.round(2))
    [0.  2.3]
    """
    xp, (half_width, start, loss) = as_arrays(half_width, start_depth, crest_loss)
    pocket = stroke_reserve(
        half_width=half_width, pocket_depth=pocket_depth, path_angle=path_angle, sanded_off=sanded_off
    )
    reach = xp.minimum(start, half_width / half_tangent(path_angle) - loss)
    plug = plug_reserve(start_depth=reach, stand_off=stand_off, sanded_off=sanded_off)
    return plain(xp.minimum(pocket, plug))
