"""
How long a cut takes, and how much wood it uses.

From the artwork's own geometry; times are cutting times at the feed stated,
without the machine's pauses and tool changes.
"""

import math
from dataclasses import dataclass

from inlaylab.errors import InputError
from inlaylab.models.arrays import Floats, as_arrays, plain
from inlaylab.units import in_both


@dataclass(frozen=True, kw_only=True)
class Blank:
    """
    Smallest board that an artwork needs.

    Parameters
    ----------
    length, width, thickness : float
        [mm]
    """

    length: float
    width: float
    thickness: float

    @property
    def volume(self) -> float:
        """Wood in the board, in mm3."""
        return self.length * self.width * self.thickness


def path_length(
    *, outline_length: Floats, flat_area: Floats, pass_spacing: Floats, axis_length: Floats = 0.0
) -> Floats:
    """
    Length of the path that cuts a pocket or clears the ground around a plug.

    Parameters
    ----------
    outline_length : array_like
        Outline length of the rims along flat ground. [mm]
    flat_area : array_like
        Flat area of flat ground to be cleared. [mm2]
    pass_spacing : array_like
        Between the passes that clear it; of the V-bit or of an end mill. [mm]
    axis_length : array_like, optional
        Length of the middles of strokes too thin for a floor. [mm]

    Returns
    -------
    length : float or array
        [mm]

    Examples
    --------
    >>> print(path_length(outline_length=200, flat_area=1000, pass_spacing=0.5, axis_length=60))
    2260.0
    """
    _, (outline, area, spacing, axis) = as_arrays(outline_length, flat_area, pass_spacing, axis_length)
    return plain(outline + axis + area / spacing)


def cutting_time(*, path_length: Floats, feed: Floats, passes: Floats = 1.0) -> Floats:
    """
    Time that a path takes at a feed.

    Parameters
    ----------
    path_length : array_like
        Path length of one pass. [mm]
    feed : array_like
        Feed of the tool through the wood. [mm/min]
    passes : array_like, optional
        How often the path is run. [1]

    Returns
    -------
    time : float or array
        [min]

    Examples
    --------
    >>> print(cutting_time(path_length=3000, feed=1500, passes=2))
    4.0
    """
    _, (length, feed, passes) = as_arrays(path_length, feed, passes)
    return plain(length * passes / feed)


def passes_needed(*, depth: float, pass_depth: float) -> int:
    """
    Count the passes that a depth takes.

    Parameters
    ----------
    depth, pass_depth : float
        In all, and at most in one pass. [mm]

    Returns
    -------
    passes : int
        [1]

    Examples
    --------
    >>> passes_needed(depth=5.0, pass_depth=2.0)
    3
    """
    if not pass_depth > 0:
        raise InputError("the pass depth must be above zero", value=in_both(pass_depth), allowed="above 0")
    return max(1, math.ceil(depth / pass_depth - 1e-9))


def blanks(
    *,
    artwork_length: float,
    artwork_width: float,
    start_depth: float,
    pocket_depth: float,
    relief_depth: float,
    path_slope: float,
    border: float,
    backer: float,
    floor: float,
) -> tuple[Blank, Blank]:
    """
    Smallest host and insert boards for an artwork.

    Parameters
    ----------
    artwork_length, artwork_width : float
        Artwork length and artwork width of the artwork's bounds. [mm]
    start_depth, pocket_depth, relief_depth : float
        Programmed depths. [mm]
    path_slope : float
        Tangent of half the path angle: the ground around the plug needs this
        much width for each depth. [mm/mm]
    border : float
        Kept all round for holding the boards. [mm]
    backer, floor : float
        Left of the insert behind the plug, and of the host below the pocket. [mm]

    Returns
    -------
    host, insert : Blank
        Before surfacing.

    Examples
    --------
    >>> host, insert = blanks(
    ...     artwork_length=80, artwork_width=40, start_depth=2.6, pocket_depth=3.1, relief_depth=1.5,
    ...     path_slope=0.5, border=10, backer=4, floor=5,
    ... )
    >>> host.length, insert.length, insert.thickness
    (100, 101.5, 8.1)
    """
    ground = relief_depth * path_slope
    host = Blank(
        length=artwork_length + 2 * border,
        width=artwork_width + 2 * border,
        thickness=pocket_depth + floor,
    )
    insert = Blank(
        length=artwork_length + 2 * (border + ground),
        width=artwork_width + 2 * (border + ground),
        thickness=start_depth + relief_depth + backer,
    )
    return host, insert
