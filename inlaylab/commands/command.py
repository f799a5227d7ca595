"""What a command is, what it answers, and the kinds of argument that several commands share."""

import argparse
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from inlaylab.errors import InlaylabError, shown
from inlaylab.units import UNITS, parse_angle, parse_length
from inlaylab.wording.commands import command as words


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What a command answers: a record for programs (lengths in mm) and a text for people."""

    record: Mapping[str, object]
    text: str


@dataclass(frozen=True, kw_only=True)
class Command:
    """
    One command of the kit.

    Parameters
    ----------
    name, help : str
        What is typed, and one line that says what it does.
    add_arguments : callable
        Adds the command's own arguments to its parser.
    run : callable
        Takes the parsed arguments and returns an Answer. Imports what it needs itself.
    details : str
        Paragraphs below the options in the command's help.
    examples : tuple of str
        Whole command lines, without the leading ``inlaylab``; a test parses each of them.
    hands_on : bool
        Whether options that it does not know are kept in ``arguments.handed_on`` instead of being refused.
    """

    name: str
    help: str
    add_arguments: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace], Answer]
    details: str = ""
    examples: tuple[str, ...] = ()
    hands_on: bool = False


def length(text: str) -> float:
    """
    Read a length with its unit from the command line, in mm.

    Parameters
    ----------
    text : str
        As a maker writes it: ``0.1mm``, ``0.13in``, ``4thou``, ``3/32in``.

    Returns
    -------
    length : float
        [mm]

    Raises
    ------
    argparse.ArgumentTypeError
        With the reason; a bare number is refused with a hint.

    Examples
    --------
    >>> length("3/32in")
    2.38125
    """
    try:
        return float(parse_length(text).mm)
    except InlaylabError as fault:
        if _is_number(text):
            raise argparse.ArgumentTypeError(words.no_unit(shown(text), text.strip())) from fault
        raise argparse.ArgumentTypeError(str(fault)) from fault


def size(text: str) -> float:
    """Read a length above zero, in mm."""
    value = length(text)
    if value <= 0:
        raise argparse.ArgumentTypeError(words.not_above_zero(shown(text)))
    return value


def size_or_zero(text: str) -> float:
    """Read a length of zero or more, in mm."""
    value = length(text)
    if value < 0:
        raise argparse.ArgumentTypeError(words.below_zero(shown(text)))
    return value


def chance(text: str) -> float:
    """
    Read a chance between 0 and 1, or in per cent.

    Examples
    --------
    >>> chance("0.9"), chance("90%")
    (0.9, 0.9)
    """
    number = text.strip()
    value = _number(number[:-1]) / 100 if number.endswith("%") else _number(number)
    if not 0 < value < 1:
        raise argparse.ArgumentTypeError(words.not_a_chance(shown(text)))
    return value


def angle(text: str) -> float:
    """Read an included angle, in degrees."""
    try:
        return parse_angle(text)
    except InlaylabError as fault:
        raise argparse.ArgumentTypeError(str(fault)) from fault


def add_log(parser: argparse.ArgumentParser) -> None:
    """Add the log, the first argument of most commands, and the unit in which lengths are told."""
    parser.add_argument("log", metavar="LOG", type=Path, help=words.LOG)


def add_unit(parser: argparse.ArgumentParser) -> None:
    """Add the unit in which lengths are told to people."""
    parser.add_argument("--unit", choices=tuple(UNITS), help=words.UNIT)


def whole_number(text: str, what: str, *, least: int, most: int) -> int:
    """
    Read a whole number from the command line.

    Parameters
    ----------
    text : str
        As typed.
    what : str
        What it is, for the refusal.
    least, most : int
        The smallest and the largest that are taken.

    Returns
    -------
    number : int

    Raises
    ------
    argparse.ArgumentTypeError
        If it is not one, or out of range.
    """
    if not text.isascii() or not text.isdigit() or not least <= int(text) <= most:
        raise argparse.ArgumentTypeError(words.not_whole(shown(text), what, least, most))
    return int(text)


def _is_number(text: str) -> bool:
    try:
        float(text.replace(",", "."))
    except ValueError:
        return False
    return True


def _number(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(words.not_a_number(shown(text))) from None
    if value != value or value in (float("inf"), float("-inf")):
        raise argparse.ArgumentTypeError(words.not_finite(shown(text)))
    return value
