"""What every command says: the line as a whole, shared arguments, and what is not a length or a chance."""

from __future__ import annotations

DESCRIPTION = "Log test cuts of V-bit inlays, tune the start depth, share findings."
EPILOG = "Lengths carry their unit: 0.1mm, 0.13in, 4thou, 3/32in. Every command takes --json and --help."
LOG = "your shop's log: one file"
UNIT = "unit of the text (your log's own if left out)"
UNIT_MM = "unit of the text (mm if left out)"
JSON = "print one JSON object (lengths in mm) instead of text"
DRAWING_UNIT = "unit of a DXF that does not state one: mm, cm, m, in or ft"
STOPPED = "stopped; nothing was written"


def unknown_words(command: str, rest: str) -> str:
    """Say that words of a command line are not known."""
    return f"{command} does not know: {rest}"


def no_unit(shown: str, typed: str) -> str:
    """Say that a length has no unit, and how to write one."""
    return f"{shown} has no unit; write it with one, as in {typed}mm or {typed}in"


def not_above_zero(shown: str) -> str:
    """Say that a size must be above zero."""
    return f"{shown} is not above zero"


def below_zero(shown: str) -> str:
    """Say that a length must not be below zero."""
    return f"{shown} is below zero"


def not_a_chance(shown: str) -> str:
    """Say how a chance is written."""
    return f"{shown} is not a chance; write a number between 0 and 1, as in 0.9 or 90%"


def not_a_number(shown: str) -> str:
    """Say that a text is not a number."""
    return f"{shown} is not a number"


def not_finite(shown: str) -> str:
    """Say that a number is too large to be one."""
    return f"{shown} is not a finite number"


def not_whole(shown: str, what: str, least: int, most: int) -> str:
    """Say which whole numbers would do."""
    return f"{shown} is not {what}; write a whole number from {least} to {most}"
