"""The question that ``advise`` and ``next-cut`` put to a fit: which bit, pair and artwork, how tight, how sure."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from inlaylab.commands.command import add_log, add_unit, angle, chance, length, size, size_or_zero
from inlaylab.errors import InputError
from inlaylab.wording.commands import question as words

if TYPE_CHECKING:
    from inlaylab.bench.coupons import Stroke
    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.predict.question import Question

MOST_STROKES = 3000
"""Strokes of one question: more would take half a minute and more."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the log, the question and the unit of the answer."""
    add_log(parser)
    add_question(parser, needed=True)
    add_unit(parser)


def add_question(parser: argparse.ArgumentParser, *, needed: bool) -> None:
    """
    Add the arguments of a question.

    Parameters
    ----------
    parser : argparse.ArgumentParser
        Parser of the command.
    needed : bool
        Whether the command cannot do without a question.
    """
    parser.add_argument("--bit", required=needed, metavar="B", help=words.OPTIONS["--bit"])
    parser.add_argument("--pair", required=needed, metavar="P", help=words.OPTIONS["--pair"])
    artwork = parser.add_mutually_exclusive_group(required=needed)
    artwork.add_argument("--strokes", type=Path, metavar="FILE.csv", help=words.OPTIONS["--strokes"])
    artwork.add_argument("--artwork", type=Path, metavar="FILE", help=words.OPTIONS["--artwork"])
    parser.add_argument("--width", type=size, metavar="L", help=words.OPTIONS["--width"])
    parser.add_argument("--drawing-unit", metavar="U", help=words.OPTIONS["--drawing-unit"])
    parser.add_argument("--pocket-depth", type=size, metavar="L", help=words.OPTIONS["--pocket-depth"])
    parser.add_argument("--relief-depth", type=size, metavar="L", help=words.OPTIONS["--relief-depth"])
    parser.add_argument("--within", type=size, required=needed, metavar="L", help=words.OPTIONS["--within"])
    parser.add_argument("--chance", type=chance, default=0.9, metavar="X", help=words.OPTIONS["--chance"])
    parser.add_argument("--between", type=length, nargs=2, metavar="L", help=words.OPTIONS["--between"])
    parser.add_argument("--path-angle-deg", type=angle, metavar="DEG", help=words.OPTIONS["--path-angle-deg"])
    parser.add_argument(
        "--outline-offset", type=size_or_zero, default=0.0, metavar="L", help=words.OPTIONS["--outline-offset"]
    )
    parser.add_argument(
        "--pass-spacing", type=size_or_zero, default=0.0, metavar="L", help=words.OPTIONS["--pass-spacing"]
    )
    parser.add_argument("--coupon", metavar="C", help=words.OPTIONS["--coupon"])


def asked(arguments: argparse.Namespace, shop: Shop) -> Question | None:
    """
    Turn the arguments into a question where one was asked.

    Parameters
    ----------
    arguments, shop
        As in `ask`.

    Returns
    -------
    question : fitting.advice.start_depth.Question or None
        None where nothing of a question was given.

    Raises
    ------
    InputError
        Where only a part of it was given.
    """
    parts = {
        "--bit": arguments.bit,
        "--pair": arguments.pair,
        "--strokes or --artwork": arguments.strokes or arguments.artwork,
        "--within": arguments.within,
    }
    if not any(parts.values()):
        return None
    missing = [name for name, value in parts.items() if not value]
    if missing:
        raise InputError(words.ONLY_A_PART, allowed=words.missing(missing))
    return ask(arguments, shop)


def ask(arguments: argparse.Namespace, shop: Shop) -> Question:
    """
    Turn the arguments into a question to the fit.

    Parameters
    ----------
    arguments : argparse.Namespace
        As parsed.
    shop : bench.shop.Shop
        The log's records; names of bits and pairs are looked up there.

    Returns
    -------
    question : fitting.advice.start_depth.Question
        Lengths in mm.

    Raises
    ------
    InputError
        Where a name is not in the log, or a depth is neither given nor a habit of the log.
    """
    from inlaylab.fitting.predict.question import Question

    return Question(
        bit=_known("--bit", arguments.bit, [bit.bit for bit in shop.bits]),
        pair=_known("--pair", arguments.pair, [pair.pair for pair in shop.pairs]),
        strokes=_strokes(arguments),
        pocket_depth=_depth("--pocket-depth", arguments.pocket_depth, shop.habits.pocket_depth),
        relief_depth=_depth("--relief-depth", arguments.relief_depth, shop.habits.relief_depth),
        within=arguments.within,
        chance=arguments.chance,
        between=tuple(arguments.between) if arguments.between else None,
        path_angle_deg=arguments.path_angle_deg,
        outline_offset=arguments.outline_offset,
        pass_spacing=arguments.pass_spacing,
        coupon=_known("--coupon", arguments.coupon, [coupon.coupon for coupon in shop.coupons])
        if arguments.coupon
        else None,
    )


def _strokes(arguments: argparse.Namespace) -> tuple[Stroke, ...]:
    """Strokes of the artwork, from a table or a drawing."""
    if arguments.strokes:
        from inlaylab.log.tables.strokes import read_strokes

        found = read_strokes(arguments.strokes)
        if len(found) > MOST_STROKES:
            allowed = words.most_strokes(MOST_STROKES)
            raise InputError(words.STROKES, value=len(found), where=str(arguments.strokes), allowed=allowed)
        return found
    from inlaylab.artwork.axis.strokes import strokes
    from inlaylab.artwork.reading.outlines import read_artwork

    return strokes(read_artwork(arguments.artwork, width=arguments.width, unit=arguments.drawing_unit))


def artwork_size(arguments: argparse.Namespace) -> tuple[float, float] | None:
    """
    Give the size of the artwork that is asked about.

    Parameters
    ----------
    arguments : argparse.Namespace
        As parsed.

    Returns
    -------
    size : (float, float) or None
        Width and height [mm]; None where no drawing was given.
    """
    if not arguments.artwork:
        return None
    from inlaylab.artwork.polygons import as_polygons
    from inlaylab.artwork.reading.outlines import read_artwork

    artwork = read_artwork(arguments.artwork, width=arguments.width, unit=arguments.drawing_unit)
    left, bottom, right, top = as_polygons(artwork).bounds
    return right - left, top - bottom


def _depth(name: str, given: float | None, habit: float | None) -> float:
    depth = given if given is not None else habit
    if depth is None:
        raise InputError(words.is_missing(name), remedy=words.GIVE_IT)
    return depth


def _known(option: str, name: str, names: list[str]) -> str:
    if name not in names:
        raise InputError(option, value=name, allowed=words.one_of(names))
    return name
