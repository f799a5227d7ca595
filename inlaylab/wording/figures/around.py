"""Words on the pictures of what surrounds the cut: season, levelling, sanding, tram and glue."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from inlaylab.wording.lengths import count, fine, length, volume

if TYPE_CHECKING:
    from inlaylab.models.levelling import Stack

HUMIDITY, GROWS = "relative humidity [%]", "insert grows more by"
HEIGHT, INSERT, PASSES = "height above the host's face", "insert with its plug", "passes"
DEPTH, FINISHED, PLUG_WOOD = "depth below the face as cut", "finished face", "wood of the plug"
LOST_HERE = "sanded to here, the stroke is lost"


def season_alt(growths: Mapping[str, Iterable[float]], unit: str) -> str:
    """Say what the picture of a year's movement shows, by direction [mm]."""
    spans = []
    for name, growth in growths.items():
        every = [float(each) for each in growth]
        spans.append(f"{name}: {length(min(every), unit)} to {length(max(every), unit)}")
    return f"Growth of the insert less that of the host against relative humidity. {'; '.join(spans)}."


def levelling_heights(stack: Stack, unit: str) -> list[tuple[float, str]]:
    """
    Name every height of levelling.

    Parameters
    ----------
    stack : models.levelling.Stack
        The heights.
    unit : str
        The reader's unit.

    Returns
    -------
    heights : list of (float, str)
        From the top down. [mm]
    """
    passes = len(stack.passes)
    named = [
        (stack.retract, "where the bit starts"),
        (stack.backer_top, "back of the insert"),
        (stack.backer_bottom, "ground around the plug"),
        (stack.left_proud, f"pass {passes}, left proud"),
        (stack.plug_nose, "end of the plug"),
    ]
    if passes > 1:
        named.append((stack.passes[0], "pass 1"))
    lines = [(height, f"{length(height, unit)}: {what}") for height, what in named]
    return sorted([*lines, (0.0, "0: host's face")], key=lambda line: -line[0])


def levelling_alt(stack: Stack, unit: str) -> str:
    """Say what the picture of levelling shows."""
    reach = (
        f"pass {stack.reaches_face} would reach the host's face" if stack.reaches_face else "no pass reaches the host"
    )
    return (
        f"Stack from the host's face up: {length(stack.left_proud, unit)} left proud after "
        f"{count(len(stack.passes), 'pass', 'passes')}, back of the insert at {length(stack.backer_top, unit)}, the "
        f"bit starts at {length(stack.retract, unit)}; {reach}."
    )


def may_come_off(reserve: float, unit: str) -> str:
    """Say how much more of a stroke may be sanded off [mm]."""
    return f"{length(reserve, unit)} more may come off" if reserve > 0 else "lost"


def sanding_alt(strokes: Iterable[tuple[float, float]], unit: str, *, sanded_off: float) -> str:
    """Say what the picture of sanding shows, by width and what more may come off [mm]."""
    told = "; ".join(f"{length(width, unit)}: {may_come_off(reserve, unit)}" for width, reserve in strokes)
    return f"Strokes in section, {length(sanded_off, unit)} sanded off. {told}."


def mirror_title(along: str, *, doubled: bool) -> str:
    """Say above a picture what a mirror line does to the leans of both boards."""
    return f"Mirror line along {along}: the leans {'add up' if doubled else 'cancel'}"


def worst_line(mm: float, unit: str) -> str:
    """Say how wide the worst glue line gets [mm]."""
    return f"worst glue line {fine(mm, unit)}"


def tram_alt(along: str, across: str, unit: str, *, right: float, wrong: float) -> str:
    """Say what the picture of a leaning spindle shows; worst lines along the one mirror line and the other [mm]."""
    return (
        f"Pocket and plug cut by a leaning spindle, the lean drawn much larger than it is. Mirrored about a line along "
        f"{along} the leans cancel, {worst_line(right, unit)}; about a line along {across} they add up, "
        f"{fine(wrong, unit)}."
    )


def film_size(cubic_mm: float, unit: str) -> str:
    """Say how much glue is on the walls."""
    return f"film on all walls: {volume(cubic_mm, unit)}"


def void_size(gap: float, cubic_mm: float, unit: str) -> str:
    """Say how much room there is under the plug."""
    return f"void under the plug ({length(gap, unit)}): {volume(cubic_mm, unit)}"


def glue_alt(unit: str, *, film: float, gap: float, void: float) -> str:
    """Say what the picture of the glue shows: film and void [mm3], floor gap [mm]."""
    return (
        f"Where the glue goes: a film on all walls is {volume(film, unit)}; the void of {length(gap, unit)} under the "
        f"plug could hold {volume(void, unit)} more."
    )
