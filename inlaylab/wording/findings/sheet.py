"""What stands on the sheet for the machine."""

from __future__ import annotations

from inlaylab.units import format_length

TIGHTEST, ALONE = "tightest", "start depth alone"
MIRROR = "mirror the plug left to right, about its upright middle line, and turn it over sideways"
WHICH = "the tightest needs a path program that can set an angle and an offset; else use the start depth alone"
BOARDS = "Bit, woods and boards"
POCKET_DEPTH = "host: pocket depth"
START_DEPTH = "insert: start depth"
GROUND = "insert: ground around the plug, below its face"
OFFSET = "insert: outline grown by, per side"
FLOOR_GAP = "floor gap that this leaves"
SANDED_OFF = "to sand off the face at the end"
SPACING = "spacing of passes over flat ground"
PATH_ANGLE = "path angle, both boards"
WHAT_TO_SET = "what to set"


def title(bit: str, pair: str) -> str:
    """Name the sheet."""
    return f"Settings for the machine: {bit}, {pair}"


def woods(insert: str, host: str) -> str:
    """Say which wood goes into which."""
    return f"plug of {insert}, into a pocket in {host}"


def board_size(mm: float, unit: str) -> str:
    """
    Say the size of a board, roughly and in both units.

    Examples
    --------
    >>> board_size(118.4, "mm"), board_size(118.4, "in")
    ('118.4 mm (4.66 in)', '4.66 in (118.4 mm)')
    """
    other = "in" if unit == "mm" else "mm"
    return f"{format_length(mm, unit, 'rough')} ({format_length(mm, other, 'rough')})"


def blank(what: str, size: tuple[float, float, float], unit: str) -> str:
    """Say how large a blank must be at least: along, across and thick [mm]."""
    along, across, thick = (board_size(side, unit) for side in size)
    return f"{what}: {along} by {across}, {thick} thick or more"


def blank_around(what: str, more: float, thick: float, unit: str) -> str:
    """Say how much wood there must be around an artwork whose size is not known [mm]."""
    return (
        f"{what}: {board_size(more, unit)} more on each side than the artwork, {board_size(thick, unit)} thick or more"
    )
