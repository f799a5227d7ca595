"""What notebook 6 says about cutting: levelling, sanding and floors, tram, time and wood."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.wording.lengths import between, count, fine, length, rough, volume

if TYPE_CHECKING:
    from inlaylab.models.around.tram import MirrorLine
    from inlaylab.models.around.workload import Blank
    from inlaylab.models.levelling import Stack

STROKES_LOST = "Some strokes would be lost: they are named here."
ADD_METRES = "Add the metres of path to the cut in the log: notebook 1 then tells when the bit is due."
RETRACT = "stands above the host's face"
CUT_START = "cut begins below that by"
CUT_DEPTH = "cut goes down by"
INSERT_THICKNESS = "thickness of the insert"
ZERO_OFF = "zero may be off by"
FLOOR_SPACING = "pass spacing on floors"
CIRCLE = "circle that the dial sweeps"
ALONG_X = "reading differs along x by"
ALONG_Y = "reading differs along y by"
ALONG_GRAIN = "artwork, along the grain"
ACROSS_GRAIN = "artwork, across the grain"
FILLED = "share of that to be filled"
SPACING = "spacing of passes on flat ground"
FEED = "feed per minute"
BORDER = "border for holding"
BACKER = "backer behind the plug"
FLOOR = "host below the pocket"
OUTLINE = "length of all outlines"

SANDING = "Sanding and floors"
TIME = "Time and wood"
ONE_PASS = "one pass takes"
SANK = "plug sank by"
CRESTS_LOST = "crests lost"
STROKE = "stroke looked at"
BIT_ANGLE = "bit's angle"
ALL_CAUTIONS = "All cautions"


def levelling_lines(stack: Stack, unit: str, *, zero_off: float) -> list[str]:
    """
    Say what levelling leaves proud.

    Parameters
    ----------
    stack : models.levelling.Stack
        The heights.
    unit : str
        The reader's unit.
    zero_off : float
        How far the zero may be off. [mm]

    Returns
    -------
    lines : list of str
    """
    lines = [
        f"After {count(len(stack.passes), 'pass', 'passes')} {length(stack.left_proud, unit)} is left proud for the "
        f"sander; with the zero off by {length(zero_off, unit)} it is {between(stack.lowest, stack.highest, unit)}.",
        f"The back of the insert stands {length(stack.backer_top, unit)} above the host's face, the ground around the "
        f"plug {length(stack.backer_bottom, unit)}.",
        f"There is {length(stack.air, unit)} of air below the cut's start."
        if stack.air >= 0
        else f"The cut begins {length(-stack.air, unit)} inside the insert: take a lighter first pass.",
        f"The first pass in wood takes {length(stack.first_bite, unit)}.",
    ]
    if stack.backer_left:
        lines.append("The last pass stops in the backer: more must come off before the plug shows.")
    return lines


def levelling_warning(stack: Stack, unit: str, *, pass_depth: float) -> str:
    """
    Say what must not be overlooked in levelling, the worst of it alone; empty where nothing.

    Parameters
    ----------
    stack : models.levelling.Stack
        The heights.
    unit : str
        The reader's unit.
    pass_depth : float
        The most that one pass should take. [mm]

    Returns
    -------
    warning : str
    """
    if stack.reaches_face:
        return f"Pass {stack.reaches_face} would reach the host's face: do not run it."
    if stack.may_reach_face:
        return f"Pass {stack.may_reach_face} would reach the host's face if the zero is off as stated: stop before it."
    if stack.first_bite > pass_depth + 1e-9:
        return f"The first pass in wood would take {length(stack.first_bite, unit)}, more than one pass should."
    return ""


def sanded_line(drawn: float, unit: str, *, finished: float, left: float, ridge: float) -> str:
    """
    Say what sanding leaves of one stroke.

    Parameters
    ----------
    drawn : float
        Its width on the drawing. [mm]
    unit : str
        The reader's unit.
    finished, left, ridge : float
        Its width on the finished face, how much more may come off, and the height of its floor's ridges. [mm]

    Returns
    -------
    line : str
    """
    name = f"Stroke of {length(drawn, unit)}"
    if left <= 0 or finished <= 0:
        return f"{name}: lost; it would take {length(-left, unit)} less sanding."
    floor = f"; its floor has ridges {length(ridge, unit)} high" if ridge > 0 else ""
    return f"{name}: {length(finished, unit)} wide on the finished face, {length(left, unit)} more may come off{floor}."


def floor_gap_line(gap: float, unit: str, *, tallest: float) -> str:
    """Say what ridges as tall as these leave of the floor gap [mm]."""
    left = gap - tallest
    if left < 0:
        return f"Floor gap as programmed: {length(gap, unit)}; the ridges stand {length(-left, unit)} higher than that."
    return f"Floor gap as programmed: {length(gap, unit)}; ridges leave {length(left, unit)} of it for the sink."


def tram_lines(line: MirrorLine, unit: str, *, leans: tuple[float, float], right: float, wrong: float) -> list[str]:
    """
    Say how a spindle leans, and about which line to mirror the plug.

    Parameters
    ----------
    line : models.around.tram.MirrorLine
        The line.
    unit : str
        The reader's unit.
    leans : (float, float)
        Along x and y. [degrees]
    right, wrong : float
        Worst glue line mirrored about that line, and about the other. [mm]

    Returns
    -------
    lines : list of str
    """
    return [
        f"The spindle leans {abs(leans[0]):.2f}° along x and {abs(leans[1]):.2f}° along y.",
        f"Mirror the plug about a line along {line.along}, across the worse lean: {line.cancels:.2f}° then cancels "
        f"between pocket and plug, {line.doubles:.2f}° doubles.",
        f"Worst glue line of this stroke from the lean alone: {fine(right, unit)}; mirrored the other way "
        f"{fine(wrong, unit)}.",
        f"A mirror line at {line.best_direction:.0f}° from x would cancel the whole lean, where the insert's grain "
        "allows.",
    ]


def time_line(what: str, *, metres: float, passes: int, minutes: float) -> str:
    """Say how long one part is cut, and over how many metres of path."""
    return (
        f"{what}: about {metres:.1f} m of path in {count(passes, 'pass', 'passes')}, {minutes:.0f} min of cutting at "
        "that feed, not counting moves in the air and tool changes."
    )


def blank_line(what: str, blank: Blank, unit: str) -> str:
    """Say how large a blank must be."""
    size = " by ".join(rough(side, unit) for side in (blank.length, blank.width, blank.thickness))
    return f"{what}: a blank of at least {size}, {volume(blank.volume, unit)} of wood."


def watch_out(warning: str) -> str:
    """Set a warning apart from the answer."""
    return f"Watch out: {warning[:1].lower()}{warning[1:]}"
