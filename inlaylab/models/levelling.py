"""
What is left proud, and whether a pass would reach the host's face.

The backer is cut away in passes from above. All heights are counted from the
host's face, the face that the machine was touched off on: first the retract,
below it air, then the backer, the cut, and what is left proud for the sander.
"""

import math
from dataclasses import dataclass

from inlaylab.errors import InputError
from inlaylab.units import in_both


@dataclass(frozen=True, kw_only=True)
class Stack:
    """
    Heights above the host's face while the backer is cut away.

    Parameters
    ----------
    retract : float
        Where the machine stands after its touch-off. [mm]
    backer_top, backer_bottom : float
        The insert's back, and the ground around the plug. [mm]
    plug_nose : float
        The plug's flat end; below zero, as it lies in the pocket. [mm]
    passes : tuple of float
        Height of each pass, from the first to the last. [mm]
    air : float
        From the cut's start down to the backer; below zero where the first pass
        bites deeper than a pass. [mm]
    left_proud : float
        What the last pass leaves for the sander; zero or below: it cuts the host. [mm]
    lowest, highest : float
        The same if the zero was off by as much as stated, either way. [mm]
    reaches_face : int or None
        Number of the first pass that would reach the host's face, counted from 1.
    may_reach_face : int or None
        The same if the zero was off by as much as stated.
    """

    retract: float
    backer_top: float
    backer_bottom: float
    plug_nose: float
    passes: tuple[float, ...]
    air: float
    left_proud: float
    lowest: float
    highest: float
    reaches_face: int | None
    may_reach_face: int | None

    @property
    def first_bite(self) -> float:
        """Depth that the first pass takes which meets wood, in mm."""
        in_wood = [height for height in self.passes if height < self.backer_top]
        return self.backer_top - in_wood[0] if in_wood else 0.0

    @property
    def backer_left(self) -> bool:
        """Whether some of the backer itself is still there after the last pass."""
        return self.left_proud > self.backer_bottom


def levelling_stack(
    *,
    retract: float,
    cut_start: float,
    cut_depth: float,
    pass_depth: float,
    insert_thickness: float,
    start_depth: float,
    relief_depth: float,
    stand_off: float = 0.0,
    zero_off: float = 0.0,
) -> Stack:
    """
    Heights of everything above the host's face when the backer is cut away.

    Parameters
    ----------
    retract : float
        How high above the host's face the machine stands after touching off on it. [mm]
    cut_start, cut_depth : float
        How far below the retract the cut begins, and how much is cut from there. [mm]
    pass_depth : float
        Taken by one pass. [mm]
    insert_thickness, start_depth, relief_depth : float
        Insert thickness, start depth and relief depth of the insert board and of its plug. [mm]
    stand_off : float, optional
        How proud the plug sits; negative when it sank. [mm]
    zero_off : float, optional
        How far the touch-off may be off, either way. [mm]

    Returns
    -------
    stack : Stack

    Raises
    ------
    InputError
        For what is not a length, or an insert thinner than its plug.

    Notes
    -----
    Left proud: retract - cut start - cut depth. The insert lies upside down, its outline h above
    the host's face: its back is at thickness - S + h, the ground around the plug at F + h.

    Examples
    --------
    Retract 18, start 11, cut 6.4 mm leave 0.6 mm:

    >>> stack = levelling_stack(
    ...     retract=18, cut_start=11, cut_depth=6.4, pass_depth=1.2,
    ...     insert_thickness=9, start_depth=3.4, relief_depth=1.6,
    ... )
    >>> print(f"{stack.left_proud:.1f} mm after {len(stack.passes)} passes")
    0.6 mm after 6 passes
    """
    _check(retract=retract, cut_start=cut_start, cut_depth=cut_depth, zero_off=zero_off)
    _check(start_depth=start_depth, relief_depth=relief_depth)
    _check_boards(pass_depth, insert_thickness, start_depth + relief_depth)
    top, left_proud = retract - cut_start, retract - cut_start - cut_depth
    count = math.ceil(cut_depth / pass_depth - 1e-9)
    heights = tuple(top - min(cut_depth, number * pass_depth) for number in range(1, count + 1))
    backer_top = insert_thickness - start_depth + stand_off
    return Stack(
        retract=retract,
        backer_top=backer_top,
        backer_bottom=relief_depth + stand_off,
        plug_nose=stand_off - start_depth,
        passes=heights,
        air=top - backer_top,
        left_proud=left_proud,
        lowest=left_proud - zero_off,
        highest=left_proud + zero_off,
        reaches_face=_first_at_or_below(heights, 0.0),
        may_reach_face=_first_at_or_below(heights, zero_off),
    )


def _first_at_or_below(heights: tuple[float, ...], level: float) -> int | None:
    return next((number for number, height in enumerate(heights, start=1) if height <= level + 1e-9), None)


def _check(**lengths: float) -> None:
    for name, value in lengths.items():
        if not (math.isfinite(value) and value >= 0):
            raise InputError(
                f"the {name.replace('_', ' ')} must be a length", value=in_both(value), allowed="0 or more"
            )


def _check_boards(pass_depth: float, insert_thickness: float, plug: float) -> None:
    if not (math.isfinite(pass_depth) and pass_depth > 0):
        raise InputError("the pass depth must be above zero", value=in_both(pass_depth), allowed="above 0")
    if not insert_thickness > plug:
        raise InputError(
            "the insert is thinner than its plug is cut",
            value=in_both(insert_thickness),
            allowed=f"more than start depth and relief depth, {in_both(plug)}",
        )
