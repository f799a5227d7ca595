"""What notebook 8 says about settings turned by hand: what holds the plug up, the bend, the chance."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from inlaylab.wording.chances import percent
from inlaylab.wording.contacts import HELD_BY
from inlaylab.wording.lengths import both, fine

if TYPE_CHECKING:
    from inlaylab.models.seating import Seat
    from inlaylab.services.by_hand.turned_by_hand import Bend, Chance

DEFER = (
    "These are figures on paper: what your machine may do is said by its manual, and that goes before anything here."
)
"""Said under the title."""


def held_line(seat: Seat, worst: float, unit: str) -> str:
    """
    Say what holds the plug up and what that leaves open.

    Parameters
    ----------
    seat : models.seating.Seat
        Where the plug rests.
    worst : float
        Its widest glue line, per side. [mm]
    unit : str
        The reader's unit.

    Returns
    -------
    words : str
    """
    held, stand_off = str(seat.held_up_by), float(seat.stand_off)
    rests = f"sinks {fine(-stand_off, unit)} below" if stand_off < 0 else f"stands {fine(stand_off, unit)} above"
    return (
        f"Held up by the {held}: {HELD_BY[held]}. The plug {rests} where the drawing has it, and the worst glue line "
        f"is {fine(worst, unit)} per side."
    )


def bend_line(bend: Bend, unit: str) -> str:
    """
    Say where the worst line begins to open, and where the start depth stands.

    Parameters
    ----------
    bend : services.by_hand.turned_by_hand.Bend
        The curve.
    unit : str
        The reader's unit.

    Returns
    -------
    words : str
    """
    now = f"Now, at {both(bend.start_depth, unit)}, it is {fine(bend.here, unit)}."
    if not math.isfinite(bend.bend):
        return f"No start depth changes the worst glue line by anything that can be seen. {now}"
    gap = bend.pocket_depth - bend.bend
    place = f"{fine(abs(gap), unit)} {'above' if gap >= 0 else 'below'} the pocket's bottom"
    return (
        f"The worst glue line stays the same up to the bend at {both(bend.bend, unit)}, {place}, and opens from there "
        f"(the bend is where it has opened by {fine(bend.hair, unit)}). {now}"
    )


def chance_lines(chance: Chance, unit: str) -> list[str]:
    """
    Say how many simulated cuts are good, what holds them up, and which start depth to go by.

    Parameters
    ----------
    chance : services.by_hand.turned_by_hand.Chance
        What the cuts showed.
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
    """
    within = both(chance.question.within, unit)
    held = ", ".join(f"{contact} in {percent(share)}" for contact, share in chance.held_up.items())
    lines = [
        f"At {both(chance.turned_to, unit)} every glue line is within {within} in {percent(chance.share)} of the "
        f"simulated cuts. Held up by: {held}."
    ]
    go_by = f"Start depth to go by: {both(chance.start_depth, unit)}, where {percent(chance.chance)} are good"
    if chance.bend is None:
        lines.append(f"{go_by}. In 19 of 20 no start depth changes the worst line.")
    elif chance.start_depth < chance.bend - 1e-6:
        lines.append(f"{go_by}; at most 1 cut in 20 has its bend before {both(chance.bend, unit)}.")
    else:
        lines.append(f"{go_by}. At most 1 cut in 20 has its bend before it.")
    if chance.limit is None:
        lines.append(f"No start depth makes {percent(chance.question.chance)} of them good.")
    return lines
