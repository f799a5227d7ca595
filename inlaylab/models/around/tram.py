"""
What a leaning spindle does to the fit.

A spindle that leans makes one flank of every groove steeper and the other
flatter. The plug is cut mirrored and turned over, which reverses one direction:
a lean in that direction cancels between pocket and plug and leaves a sideways
shift that the plug finds by itself; a lean in the other direction doubles.
"""

import math
from dataclasses import dataclass

from inlaylab.errors import InputError
from inlaylab.models.walls import half_tangent, path_depth
from inlaylab.units import in_both


@dataclass(frozen=True, kw_only=True)
class LeanFit:
    """
    How a plug sits in a stroke when the spindle leans across it.

    Parameters
    ----------
    stand_off : float
        How proud the plug sits; negative when it sank. [mm]
    shift : float
        How far it slid towards the side that the bit's foot leans to. [mm]
    glue_lines : tuple of float
        On that side and on the other, on the sanded face, in mm.
    """

    stand_off: float
    shift: float
    glue_lines: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class MirrorLine:
    """
    Line to mirror the plug about, so that the worse lean cancels.

    Parameters
    ----------
    along : str
        Machine axis that the mirror line runs along: ``x`` or ``y``.
    cancels, doubles : float
        Leans square to that line and along it. [degrees]
    best_direction : float
        Direction of the line about which the whole lean would cancel, from the
        machine's x axis. [degrees]
    """

    along: str
    cancels: float
    doubles: float
    best_direction: float


def lean_from_sweep(*, difference: float, diameter: float) -> float:
    """
    Lean of a spindle from a dial swept round on it.

    Parameters
    ----------
    difference : float
        Between the readings at the two ends of a diameter. [mm]
    diameter : float
        Diameter of the swept circle. [mm]

    Returns
    -------
    lean : float
        In the direction of that diameter. [degrees]

    Examples
    --------
    >>> print(f"{lean_from_sweep(difference=0.5, diameter=150):.2f}")
    0.19
    """
    if not diameter > 0:
        raise InputError("the circle swept must have a diameter", value=in_both(diameter), allowed="above 0")
    return math.degrees(math.atan2(difference, diameter))


def mirror_line(lean_x: float, lean_y: float) -> MirrorLine:
    """
    Choose the line to mirror the plug about.

    Parameters
    ----------
    lean_x, lean_y : float
        Lean of the spindle along the machine's x and y. [degrees]

    Returns
    -------
    line : MirrorLine
        It lies across the worse lean.

    Examples
    --------
    >>> line = mirror_line(0.05, 0.30)
    >>> line.along, line.doubles
    ('x', 0.05)
    """
    along_y = abs(lean_x) >= abs(lean_y)
    return MirrorLine(
        along="y" if along_y else "x",
        cancels=abs(lean_x if along_y else lean_y),
        doubles=abs(lean_y if along_y else lean_x),
        best_direction=(math.degrees(math.atan2(lean_y, lean_x)) + 90) % 180,
    )


def lean_fit(
    *,
    lean: float,
    turned_across: bool,
    stroke_half_width: float,
    start_depth: float,
    pocket_depth: float,
    relief_depth: float,
    path_angle: float,
    true_angle: float,
    tip_flat: float = 0.0,
    sanded_off: float = 0.0,
) -> LeanFit:
    """
    How a plug sits in one straight stroke when the spindle leans across it.

    Parameters
    ----------
    lean : float
        Lean of the spindle, square to the stroke. [degrees]
    turned_across : bool
        Whether turning the plug over reverses that direction: the mirror line
        runs along the stroke.
    stroke_half_width, start_depth, pocket_depth, relief_depth : float
        Stroke half width, start depth, pocket depth and relief depth of the stroke, beside wide lands. [mm]
    path_angle, true_angle : float
        Included angle of the path and of the bit. [degrees]
    tip_flat, sanded_off : float, optional
        [mm]

    Returns
    -------
    fit : LeanFit
        The lowest seat over all sideways shifts, with perfect zeros. Where the
        floor holds the plug it is taken to lie in the middle of its play.

    Notes
    -----
    The flanks have tangents tan(a/2 + lean) and tan(a/2 - lean). With R and L
    for the pocket's walls and r and l for the plug's, a wall's gap at depth z is
    D (R - T0) + G (r - T0) + t + h r - z (R - r), likewise with L and l; the plug
    goes down until the smallest gaps of both sides add to 0, or to its floor.
    Turned across, r = R and l = L; else r = L and l = R. The lean of the tip flat
    itself, under 0.001 mm, is left out.

    Examples
    --------
    >>> fit = lean_fit(
    ...     lean=1, turned_across=False, stroke_half_width=4, start_depth=2.4, pocket_depth=3.7, relief_depth=2,
    ...     path_angle=60, true_angle=60,
    ... )
    >>> print(f"{fit.glue_lines[0]:.2f} {fit.glue_lines[1]:.2f}")
    0.11 0.00
    """
    if not abs(lean) < true_angle / 2:
        raise InputError("the lean is too large", value=f"{lean:g} degrees", allowed="less than half the bit's angle")
    path = float(half_tangent(path_angle))
    right, left = (math.tan(math.radians(true_angle / 2 + side * lean)) for side in (1, -1))
    plug_right, plug_left = (right, left) if turned_across else (left, right)
    stroke = float(path_depth(half_width=stroke_half_width, depth_cap=pocket_depth, path_angle=path_angle))
    open_right = stroke * (right - path) + relief_depth * (plug_right - path) + tip_flat
    open_left = stroke * (left - path) + relief_depth * (plug_left - path) + tip_flat
    spread = right - plug_right  # how much the right wall's gap closes for each mm further down
    height = (stroke * abs(spread) - open_right - open_left) / (right + left)
    if start_depth - height < stroke:  # the plug's nose is the lowest place where its walls can touch
        height = (start_depth * abs(spread) - open_right - open_left) / (right + left + abs(spread))
    height = max(height, start_depth - pocket_depth)
    lowest = min(stroke, start_depth - height)
    play_right = open_right + height * plug_right - lowest * max(spread, 0.0)
    play_left = open_left + height * plug_left - lowest * max(-spread, 0.0)
    shift = (play_right - play_left) / 2
    line_right = max(0.0, open_right + height * plug_right - sanded_off * spread - shift)
    line_left = max(0.0, open_left + height * plug_left + sanded_off * spread + shift)
    return LeanFit(stand_off=height, shift=shift, glue_lines=(line_right, line_left))
