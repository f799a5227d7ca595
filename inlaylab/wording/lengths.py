"""Lengths, chances and counts in words: the digits of every unit stand in ``inlaylab.units``, the phrases here."""

from __future__ import annotations

from inlaylab import units


def length(mm: float | None, unit: str) -> str:
    """
    Say a length in the reader's unit.

    Parameters
    ----------
    mm : float or None
        The length. [mm]
    unit : str
        The reader's unit.

    Returns
    -------
    words : str

    Examples
    --------
    >>> length(4.318, "in"), length(None, "in")
    ('0.170 in', 'not known')
    """
    return "not known" if mm is None else units.format_length(mm, unit)


def fine(mm: float | None, unit: str) -> str:
    """
    Say a small length with one digit more than usual: a tip flat, a glue line from a lean, a seat.

    Parameters
    ----------
    mm : float or None
        The length. [mm]
    unit : str
        The reader's unit.

    Returns
    -------
    words : str

    Examples
    --------
    >>> fine(0.0254, "mm"), fine(0.0254, "in"), fine(0.0254, "thou")
    ('0.025 mm', '0.0010 in', '1.0 thou')
    """
    return "not known" if mm is None else units.format_length(mm, unit, style="fine")


def both(mm: float | None, unit: str) -> str:
    """
    Say a length in the reader's unit, with millimetres or inches beside it.

    Parameters
    ----------
    mm : float or None
        The length. [mm]
    unit : str
        The reader's unit.

    Returns
    -------
    words : str

    Examples
    --------
    >>> both(4.318, "in"), both(4.318, "mm")
    ('0.170 in (4.32 mm)', '4.32 mm (0.170 in)')
    """
    if mm is None:
        return "not known"
    other = "mm" if unit != "mm" else "in"
    return f"{units.format_length(mm, unit)} ({units.format_length(mm, other)})"


def between(low: float, high: float, unit: str) -> str:
    """
    Say a range of lengths, the unit once.

    Parameters
    ----------
    low, high : float
        Its ends. [mm]
    unit : str
        The reader's unit.

    Returns
    -------
    words : str

    Examples
    --------
    >>> between(3.3, 3.6, "mm")
    '3.30 to 3.60 mm'
    """
    return f"{units.format_number(low, unit)} to {units.format_length(high, unit)}"


def area(square_mm: float, unit: str) -> str:
    """
    Say an area in the reader's units.

    Parameters
    ----------
    square_mm : float
        The area. [mm2]
    unit : str
        The reader's unit of length.

    Returns
    -------
    words : str

    Examples
    --------
    >>> area(6452.0, "mm"), area(6452.0, "in")
    ('64.5 cm²', '10.0 in²')
    """
    return f"{square_mm / 100:.1f} cm²" if unit == "mm" else f"{square_mm / units.UNITS['in'] ** 2:.1f} in²"


def volume(cubic_mm: float, unit: str) -> str:
    """
    Say a volume in the reader's units.

    Parameters
    ----------
    cubic_mm : float
        The volume. [mm3]
    unit : str
        The reader's unit of length.

    Returns
    -------
    words : str

    Examples
    --------
    >>> volume(100_000.0, "mm"), volume(100_000.0, "in")
    ('100 cm³', '6.1 in³')
    """
    return f"{cubic_mm / 1000:.3g} cm³" if unit == "mm" else f"{cubic_mm / units.UNITS['in'] ** 3:.2g} in³"


def path(mm: float, unit: str) -> str:
    """
    Say how long a path is: metres, or feet beside inches.

    Parameters
    ----------
    mm : float
        The length. [mm]
    unit : str
        The reader's unit of length.

    Returns
    -------
    words : str

    Examples
    --------
    >>> path(2500.0, "mm"), path(2500.0, "in")
    ('2.5 m', '8.2 ft')
    """
    return f"{mm / 1000:.1f} m" if unit == "mm" else f"{mm / units.UNITS['in'] / 12:.1f} ft"


def count(number: int, what: str, many: str = "") -> str:
    """
    Say how many there are of a thing.

    Parameters
    ----------
    number : int
        How many.
    what : str
        The thing, for one.
    many : str, optional
        The thing for any other number; with an s behind it where left out.

    Returns
    -------
    words : str

    Examples
    --------
    >>> count(1, "cut"), count(0, "cut"), count(2, "glass", "glasses")
    ('1 cut', '0 cuts', '2 glasses')
    """
    return f"{number} {what if number == 1 else many or what + 's'}"
