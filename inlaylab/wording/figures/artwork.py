"""Words on the pictures of an artwork: planned_artwork, virtual_cut and their scales of colours."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.wording.chances import percent
from inlaylab.wording.contacts import HELD_BY
from inlaylab.wording.lengths import length

if TYPE_CHECKING:
    from inlaylab.artwork.cutting.virtual_cut import VirtualCut

X, GRAIN = "x on the host", "grain of the insert"
SANDED_AWAY = "sanded away"
FACES = ("host", "filled", "open")
GLUE_BAR, GLUE_SCALE = "glue line, per side", "light is tight, dark is open"
CHANCE_BAR = "chance that it fills [%]\nlight fills, dark does not"


def by_what(told: str) -> str:
    """Say above a drawing by what its strokes are coloured."""
    return f"Each stroke by its {told}"


def planned_alt(size: tuple[float, float], unit: str, *, told: str, ends: tuple[str, str] | None, lost: bool) -> str:
    """
    Say what the picture of a planned artwork shows.

    Parameters
    ----------
    size : (float, float)
        Width and height. [mm]
    unit : str
        The reader's unit.
    told : str
        By what its strokes are coloured.
    ends : (str, str) or None
        Least and most of that, in words; None where sanding takes all.
    lost : bool
        Whether strokes are sanded away.

    Returns
    -------
    words : str
    """
    wide, high = (length(side, unit) for side in size)
    words = f"The artwork, {wide} wide and {high} high, each stroke coloured by its {told}"
    if ends is None:
        return f"{words}: sanding takes all of it away."
    return f"{words}: from {ends[0]} to {ends[1]}." + (" Strokes left white are sanded away." if lost else "")


def planned_ends(low: float, high: float, unit: str, *, chances: bool) -> tuple[str, str]:
    """Say the least and the most of what strokes are coloured by: chances, or glue lines [mm]."""
    return (percent(low), percent(high)) if chances else (length(low, unit), length(high, unit))


def virtual_cut_title(result: VirtualCut) -> str:
    """Say above a virtual cut what holds its plug up, and how that is marked."""
    return f"Held up by: {result.held_up_by} (star)"


def virtual_cut_alt(result: VirtualCut, unit: str) -> str:
    """Say what the picture of a virtual cut shows."""
    way = "stands proud" if result.stand_off > 0 else "sinks"
    x, y = (length(float(place), unit) for place in result.seat.contact_at)
    said = (
        f"Finished face of the virtual cut. The plug {way} by {length(abs(result.stand_off), unit)}; held up near "
        f"x {x}, y {y} by {result.held_up_by}: {HELD_BY[result.held_up_by]}. "
    )
    if result.fill_rate is None:
        return f"{said}Sanding leaves nothing of the artwork."
    worst = length(result.worst_glue_line or 0.0, unit)
    return f"{said}{result.fill_rate:.1%} of the face that was cut is filled; the widest glue line is {worst} per side."
