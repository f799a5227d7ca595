"""
Lengths, areas, volumes and counts in words, in the reader's unit.

Each takes millimetres (square, cubic) and a unit of `inlaylab.units.UNITS`, and gives words; the digits of every unit
stand there, the phrases here. A length that is not there is "not known".
"""

from __future__ import annotations

from collections.abc import Mapping

from inlaylab import units


def length(mm: float | None, unit: str) -> str:
    """
    Say a length in the reader's unit.

    Examples
    --------
    >>> length(4.318, "in"), length(None, "in")
    ('0.170 in', 'not known')
    """
    return "not known" if mm is None else units.format_length(mm, unit)


NOTHING = "nothing"
"""A change that rounding leaves nothing of."""


def change(mm: float, unit: str, style: str = "decimal") -> str:
    """
    Say by how much something changes, or `NOTHING`.

    Examples
    --------
    >>> change(0.12, "mm"), change(0.004, "mm"), change(0.005, "thou")
    ('0.12 mm', 'nothing', 'nothing')
    """
    seen = float(units.format_number(mm, unit, style)) != 0
    return units.format_length(mm, unit, style) if seen else NOTHING


def fine(mm: float | None, unit: str) -> str:
    """
    Say a small length with one digit more than usual: a tip flat, a glue line from a lean, a seat.

    Examples
    --------
    >>> fine(0.0254, "mm"), fine(0.0254, "in"), fine(0.0254, "thou")
    ('0.025 mm', '0.0010 in', '1.0 thou')
    """
    return "not known" if mm is None else units.format_length(mm, unit, style="fine")


def rough(mm: float, unit: str) -> str:
    """
    Say the size of a board, with one digit less than usual.

    Examples
    --------
    >>> rough(132.54, "mm"), rough(132.54, "in")
    ('132.5 mm', '5.22 in')
    """
    return units.format_length(mm, unit, "rough")


def tiny(mm: float, unit: str) -> str:
    """
    Say a length far below what is set or read, as wear is: micrometres, or parts of a thousandth of an inch.

    Examples
    --------
    >>> tiny(0.0002, "mm"), tiny(0.0002, "in")
    ('0.2 µm', '0.008 thou')
    """
    return units.format_tiny(mm, unit)


def both(mm: float | None, unit: str) -> str:
    """
    Say a length in the reader's unit, with millimetres or inches beside it.

    Examples
    --------
    >>> both(4.318, "in"), both(4.318, "mm")
    ('0.170 in (4.32 mm)', '4.32 mm (0.170 in)')
    """
    if mm is None:
        return "not known"
    other = "mm" if unit != "mm" else "in"
    return f"{units.format_length(mm, unit)} ({units.format_length(mm, other)})"


def between(low: float, high: float, unit: str, style: str = "decimal") -> str:
    """
    Say a range of lengths, the unit once; ``style`` as in `units.format_length`.

    Examples
    --------
    >>> between(3.3, 3.6, "mm"), between(0.0254, 0.0508, "in", "fine")
    ('3.30 to 3.60 mm', '0.0010 to 0.0020 in')
    """
    return f"{units.format_number(low, unit, style)} to {units.format_length(high, unit, style)}"


def spread(quantiles: Mapping[str, float], unit: str) -> str:
    """
    Say what is known of a length, as a number of a table: the middle, and in brackets the 90% range.

    Examples
    --------
    >>> spread({"q05": 0.04, "q50": 0.0721, "q95": 0.11}, "mm")
    '0.072 (0.040 to 0.110)'
    """
    low, middle, high = (units.format_number(quantiles[key], unit, style="fine") for key in ("q05", "q50", "q95"))
    return f"{middle} ({low} to {high})"


def angle_spread(quantiles: Mapping[str, float]) -> str:
    """
    Say what is known of an angle: the middle, and in brackets the 90% range.

    Examples
    --------
    >>> angle_spread({"q05": 59.8, "q50": 60.31, "q95": 60.9})
    '60.31° (59.80° to 60.90°)'
    """
    low, middle, high = (f"{quantiles[key]:.2f}°" for key in ("q05", "q50", "q95"))
    return f"{middle} ({low} to {high})"


def area(square_mm: float, unit: str) -> str:
    """
    Say an area in the reader's units.

    Examples
    --------
    >>> area(6452.0, "mm"), area(6452.0, "in")
    ('64.5 cm²', '10.0 in²')
    """
    return f"{square_mm / 100:.1f} cm²" if unit == "mm" else f"{square_mm / units.UNITS['in'] ** 2:.1f} in²"


def volume(cubic_mm: float, unit: str) -> str:
    """
    Say a volume in the reader's units.

    Examples
    --------
    >>> volume(100_000.0, "mm"), volume(100_000.0, "in")
    ('100 cm³', '6.1 in³')
    >>> volume(72.0, "mm")
    '0.072 cm³'
    """
    amount = cubic_mm / 1000 if unit == "mm" else cubic_mm / units.UNITS["in"] ** 3
    decimals = sum(amount < least for least in (10, 1, 0.1))
    return f"{amount:.{decimals}f} {'cm³' if unit == 'mm' else 'in³'}"


def path(mm: float, unit: str) -> str:
    """
    Say how long a path is: metres, or feet beside inches.

    Examples
    --------
    >>> path(2500.0, "mm"), path(2500.0, "in")
    ('2.5 m', '8.2 ft')
    """
    return f"{mm / 1000:.1f} m" if unit == "mm" else f"{mm / units.UNITS['in'] / 12:.1f} ft"


def hollow(ml_per_metre: float, unit: str) -> str:
    """
    Say how much a hollow under a stroke holds along it.

    Examples
    --------
    >>> hollow(4.2, "mm"), hollow(4.2, "in")
    ('4.2 ml in each metre', '0.08 in³ in each foot')
    """
    if unit == "mm":
        return f"{ml_per_metre:.1f} ml in each metre"
    foot = 12 * units.UNITS["in"]
    return f"{ml_per_metre * foot / units.UNITS['in'] ** 3:.2f} in³ in each foot"


def count(number: int, what: str, many: str = "") -> str:
    """
    Say how many there are of a thing.

    Examples
    --------
    >>> count(1, "cut"), count(0, "cut"), count(2, "glass", "glasses")
    ('1 cut', '0 cuts', '2 glasses')
    """
    return f"{number} {what if number == 1 else many or what + 's'}"
