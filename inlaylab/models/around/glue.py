"""
How much glue fits, and how much force the clamps need.

Shapes enter by their perimeter, area and number of closed turns, so the same
functions serve a coupon's bars and an artwork's outline.
"""

from inlaylab.models.arrays import Floats, as_arrays, plain
from inlaylab.models.walls import half_tangent


def film_thickness(wall_gap: Floats, true_angle: Floats) -> Floats:
    """
    Thickness of the glue film, measured square to the wall.

    Parameters
    ----------
    wall_gap : array_like
        Clearance measured level. [mm]
    true_angle : array_like
        Included angle the bit cuts. [degrees]

    Returns
    -------
    thickness : float or array
        [mm]

    Notes
    -----
    c cos(a/2); a plug raised by z in matching walls opens z sin(a/2).

    Examples
    --------
    >>> print(f"{film_thickness(0.1, 60):.4f}")
    0.0866
    """
    xp, (gap, angle) = as_arrays(wall_gap, true_angle)
    return plain(gap * xp.cos(xp.deg2rad(angle) / 2))


def wall_area(*, perimeter: Floats, depth: Floats, true_angle: Floats, turns: Floats = 1.0) -> Floats:
    """
    Area of the pocket's walls from the face down to a depth.

    Parameters
    ----------
    perimeter : array_like
        Perimeter of all outlines at the face, holes included. [mm]
    depth : array_like
        Down to where the walls are counted. [mm]
    true_angle : array_like
        Included angle the bit cuts. [degrees]
    turns : array_like, optional
        Outer outlines less holes: how often the outlines turn round. [1]

    Returns
    -------
    area : float or array
        [mm2]

    Notes
    -----
    (perimeter - pi turns depth T) depth / cos(a/2), exact while walls do not
    meet: Steiner's formula for the perimeter of a shape shrunk all round.

    Examples
    --------
    A round pocket of 6.35 mm, 1.5 mm deep at 90 degrees:

    >>> print(f"{wall_area(perimeter=3.14159265 * 6.35, depth=1.5, true_angle=90):.2f}")
    32.32
    """
    xp, (perimeter, depth, angle, turns) = as_arrays(perimeter, depth, true_angle, turns)
    middle = perimeter - xp.pi * turns * depth * half_tangent(angle)
    return plain(middle * depth / xp.cos(xp.deg2rad(angle) / 2))


def joint_volume(
    *, wall_area: Floats, film_thickness: Floats, floor_area: Floats = 0.0, floor_gap: Floats = 0.0
) -> Floats:
    """
    Volume that glue can fill in a joint.

    Parameters
    ----------
    wall_area, floor_area : array_like
        Wall area and floor area of the walls in touch, and of the plug's nose. [mm2]
    film_thickness, floor_gap : array_like
        Square to the wall; below the nose. [mm]

    Returns
    -------
    volume : float or array
        Volume of walls and floor void together. [mm3]

    Examples
    --------
    >>> print(joint_volume(wall_area=2000, film_thickness=0.05, floor_area=900, floor_gap=0.5))
    550.0
    """
    _, (walls, film, floor, gap) = as_arrays(wall_area, film_thickness, floor_area, floor_gap)
    return plain(walls * film + floor * gap)


def clamping_force(*, pressure: Floats, area: Floats) -> Floats:
    """
    Force that clamps must give for a pressure over an area.

    Parameters
    ----------
    pressure : array_like
        On the area. [kPa]
    area : array_like
        Pressed, seen from above. [mm2]

    Returns
    -------
    force : float or array
        Force of all clamps together. [N]

    Examples
    --------
    100 lb/in2 (689 kPa) on 100 by 100 mm:

    >>> print(f"{clamping_force(pressure=689, area=10_000):.0f}")
    6890
    """
    _, (pressure, area) = as_arrays(pressure, area)
    return plain(pressure * area * 1e-3)
