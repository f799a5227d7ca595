"""
Lengths and angles as makers type and read them: millimetres inside, the reader's unit at every edge.

``parse_length`` reads, ``format_length`` writes, ``number_text`` writes without losing anything.
"""

from __future__ import annotations

import functools
import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction

from inlaylab.errors import LengthError

UNITS = {"mm": 1.0, "in": 25.4, "thou": 0.0254}
"""Length of each unit [mm]; an inch is 25.4 mm by definition (ISO 80000-3)."""

LONGEST_MM = 10_000.0
"""No length of the shop is longer [mm]; a larger one is a slip of the pen."""

_LONGEST = Fraction(LONGEST_MM)
_EXACT = {"mm": Fraction(1), "in": Fraction(254, 10), "thou": Fraction(254, 10_000)}
_WORDS = {
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "in": "in", "inch": "in", "inches": "in", '"': "in", "''": "in",
    "thou": "thou", "thous": "thou",
}  # fmt: skip
_DIGITS = {
    "rough": {"mm": 1, "in": 2, "thou": 0},
    "decimal": {"mm": 2, "in": 3, "thou": 0},
    "setting": {"mm": 2, "in": 4, "thou": 1},
    "fine": {"mm": 3, "in": 4, "thou": 1},
}
SETTING_STEP = {"mm": 0.01, "in": 0.0005, "thou": 0.5}
"""Finest turn of a setting in each unit: our choice, finer than a machine is set."""

_ALLOWED = 'a number with its unit, as 3.4 mm, 0.13in, 130 thou, 5/32 in or 1 1/4"'
_LENGTH = re.compile(
    r"(?P<sign>[+-]?)(?:(?:(?P<whole>[0-9]+)(?:\s+|-))?(?P<over>[0-9]+)\s*/\s*(?P<under>[0-9]+)"
    r"|(?P<number>(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,2})?))"
    r"\s*(?P<unit>[^0-9\s.,/+-][^0-9]*)?"
)
_SIGNS = str.maketrans({"⁄": "/", "∕": "/", "″": '"', "”": '"', "“": '"', "−": "-", "\u00a0": " ", "\u202f": " "})


@dataclass(frozen=True, kw_only=True)
class Length:
    """
    A length as it was typed.

    Parameters
    ----------
    mm : float
        The length. [mm]
    value : float
        The length in ``unit``.
    unit : str
        Unit that it was typed in.
    typed : str
        The text itself.
    """

    mm: float
    value: float
    unit: str
    typed: str


def parse_length(text: str, unit: str | None = None) -> Length:
    """
    Read a length as a maker types it.

    Parameters
    ----------
    text : str
        Number or fraction with its unit; a comma may stand for the decimal point.
    unit : str, optional
        Unit of a bare number; without it a bare number is refused.

    Returns
    -------
    length : Length
        Millimetres, exactly rounded, beside what was typed.

    Raises
    ------
    LengthError
        If the text is not a length, has no unit, or can be read two ways (``1,500``).

    Examples
    --------
    >>> print(parse_length('1 1/4"').mm, parse_length("2,5 mm").mm, parse_length("100", unit="thou").mm)
    31.75 2.5 2.54
    """
    if unit is not None:
        check_unit(unit)
    return _parse(str(text), unit)


@functools.lru_cache(maxsize=16384)  # a table says the same lengths over and over
def _parse(given: str, unit: str | None) -> Length:
    clean = _unfold_fractions(given[:80]).translate(_SIGNS).strip()
    match = _LENGTH.fullmatch(clean) if len(given) <= 60 else None
    if match is None:
        raise LengthError("this is not a length", value=given, allowed=_ALLOWED)
    own_unit = _unit_of(match["unit"], unit, given)
    value = _value_of(match, given)
    exact = value * _EXACT[own_unit]
    if abs(exact) > _LONGEST:
        raise LengthError("this length is too large", value=given, allowed=f"up to {in_both(LONGEST_MM)}")
    return Length(mm=float(exact) + 0.0, value=float(value) + 0.0, unit=own_unit, typed=given.strip())


def _unfold_fractions(text: str) -> str:
    """Write the one-letter fractions of Unicode (a half, a quarter) with a slash."""
    if text.isascii():
        return text
    letters = []
    for letter in text:
        kind, *parts = unicodedata.decomposition(letter).split() or [""]
        letters.append(" " + "".join(chr(int(p, 16)) for p in parts) if kind == "<fraction>" else letter)
    return "".join(letters)


def _unit_of(word: str | None, unit: str | None, given: str) -> str:
    if word is None or not word.strip():
        if unit is None:
            raise LengthError("this length has no unit", value=given, allowed=_ALLOWED)
        return unit
    known = _WORDS.get(word.strip().lower().rstrip("."))
    if known is None:
        raise LengthError("this length has an unknown unit", value=given, allowed="mm, in or thou")
    return known


def _value_of(match: re.Match[str], given: str) -> Fraction:
    sign = -1 if match["sign"] == "-" else 1
    if match["under"]:
        if int(match["under"]) == 0:
            raise LengthError("this fraction divides by zero", value=given, allowed=_ALLOWED)
        return sign * (int(match["whole"] or 0) + Fraction(int(match["over"]), int(match["under"])))
    number = match["number"]
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", number):
        point, plain = number.replace(",", "."), number.replace(",", "")
        raise LengthError("this length can be read two ways", value=given, allowed=f"{point} or {plain}")
    return sign * Fraction(number.replace(",", ".").rstrip("."))


def check_unit(unit: str) -> str:
    """
    Return the unit if it is one of `UNITS`.

    Raises
    ------
    LengthError
        If there is no such unit.
    """
    if unit not in UNITS:
        raise LengthError("there is no such unit", value=unit, allowed=", ".join(UNITS))
    return unit


def number_text(mm: float, unit: str) -> str:
    """
    Shortest decimal text of a length in a unit that reads back as exactly the same length.

    Parameters
    ----------
    mm : float
        The length. [mm]
    unit : str
        Unit to write it in.

    Returns
    -------
    text : str
        Digits with a decimal point, no unit.

    Examples
    --------
    >>> print(number_text(4.318, "in"), number_text(4.2, "mm"))
    0.17 4.2
    """
    if unit == "mm" and 1e-4 < abs(mm) < 1e15:
        text = repr(float(mm))
        return text.removesuffix(".0")
    if mm == 0:
        return "0"
    factor = _EXACT[check_unit(unit)]
    with localcontext() as context:
        context.prec = 40
        exact = Decimal(mm) * factor.denominator / factor.numerator
        for digits in range(1, 25):
            context.prec = digits
            short = +exact
            if float(Fraction(short) * factor) == mm:
                break
    text = f"{short:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def decimals(unit: str, style: str = "decimal") -> int:
    """
    Give how many decimals a length is written with; here and nowhere else.

    Parameters
    ----------
    unit : str
        Unit that it is written in.
    style : {"decimal", "fine", "rough", "setting"}
        Usual; finer, for glue lines and tip flats; rough, for boards; as finely as a machine is set.

    Returns
    -------
    decimals : int

    Raises
    ------
    LengthError
        If there is no such unit or style.

    Examples
    --------
    >>> decimals("in"), decimals("mm", "fine")
    (3, 3)
    """
    if style not in _DIGITS:
        raise LengthError("there is no such style of length", value=style, allowed=", ".join(_DIGITS))
    return _DIGITS[style][check_unit(unit)]


def format_number(mm: float | None, unit: str, style: str = "decimal") -> str:
    """
    Write a length in a unit with its usual rounding, without the unit.

    Parameters
    ----------
    mm : float or None
        The length; None gives an empty text. [mm]
    unit : str
        Unit to write it in.
    style : {"decimal", "fine", "rough", "setting"}
        See `decimals`.

    Returns
    -------
    text : str
        The number.

    Examples
    --------
    >>> print(format_number(4.318, "in"), format_number(4.318, "thou"))
    0.170 170
    """
    if mm is None:
        return ""
    text = f"{float(mm) / UNITS[check_unit(unit)]:.{decimals(unit, style)}f}"
    return text.lstrip("-") if not text.strip("-0.") else text


def format_length(mm: float | None, unit: str, style: str = "decimal") -> str:
    """
    Write a length in the reader's unit with its usual rounding.

    Parameters
    ----------
    mm : float or None
        The length; None gives an empty text. [mm]
    unit : str
        Unit to write it in.
    style : {"decimal", "fine", "rough", "setting", "fraction"}
        See `decimals`. Fractions (to the nearest 1/64) are for inches; other units stay decimal.

    Returns
    -------
    text : str
        Number and unit.

    Examples
    --------
    >>> print(format_length(4.318, "in"), "or", format_length(31.75, "in", style="fraction"))
    0.170 in or 1 1/4 in
    """
    if mm is None:
        return ""
    if style == "fraction" and unit == "in":
        return _fraction_text(round(float(mm) / UNITS["in"] * 64))
    return f"{format_number(mm, unit, 'decimal' if style == 'fraction' else style)} {unit}"


def in_both(mm: float, style: str = "decimal") -> str:
    """
    Write a length [mm] in millimetres and inches, where nobody knows the reader's unit: in a refusal.

    Examples
    --------
    >>> in_both(0.254)
    '0.25 mm (0.010 in)'
    """
    return f"{format_length(mm, 'mm', style)} ({format_length(mm, 'in', style)})"


def format_tiny(mm: float, unit: str) -> str:
    """
    Write a length far below what is set or read: in micrometres, or in thousandths of an inch.

    Parameters
    ----------
    mm : float
        The length. [mm]
    unit : str
        The reader's unit.

    Returns
    -------
    text : str
        Number and unit.

    Examples
    --------
    >>> print(format_tiny(0.0021, "mm"), "or", format_tiny(0.0021, "in"))
    2.1 µm or 0.083 thou
    """
    return f"{1000 * mm:.1f} µm" if check_unit(unit) == "mm" else f"{mm / UNITS['thou']:.3f} thou"


def _fraction_text(sixty_fourths: int) -> str:
    whole, rest = divmod(abs(sixty_fourths), 64)
    part = Fraction(rest, 64)
    words = [str(whole)] if whole or not rest else []
    words += [f"{part.numerator}/{part.denominator}"] if rest else []
    return ("-" if sixty_fourths < 0 else "") + " ".join(words) + " in"


def parse_number(text: str) -> float:
    """
    Read a plain number; a comma may stand for the decimal point.

    Parameters
    ----------
    text : str
        The number.

    Returns
    -------
    number : float
        Its value.

    Raises
    ------
    LengthError
        If it is no number, or can be read two ways (``1,500``).

    Examples
    --------
    >>> parse_number("12,5")
    12.5
    """
    match = _LENGTH.fullmatch(str(text)[:80].translate(_SIGNS).strip())
    if match is None or match["unit"] or match["under"] or len(str(text)) > 60:
        raise LengthError("this is not a number", value=text, allowed="digits with a decimal point")
    return float(_value_of(match, text)) + 0.0


def parse_angle(text: str | float) -> float:
    """
    Read an included angle in degrees.

    Parameters
    ----------
    text : str or float
        A number, with or without ``deg``, ``degrees`` or the degree sign.

    Returns
    -------
    angle : float
        Included angle. [degrees]

    Raises
    ------
    LengthError
        If it is no number above 0 and below 180.

    Examples
    --------
    >>> parse_angle("60 deg")
    60.0
    """
    match = re.fullmatch(r"\s*([0-9]{1,3}(?:[.,][0-9]{0,12})?)\s*(?:°|deg|degrees?)?\s*", str(text)[:40], re.IGNORECASE)
    angle = float(match[1].replace(",", ".")) if match else 0.0
    if not 0.0 < angle < 180.0:
        raise LengthError("this is not an included angle", value=text, allowed="above 0 and below 180 degrees")
    return angle
