"""Fields of lengths: read as a maker writes them, filled in with few digits, and turned from one unit to another."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import traitlets

from inlaylab import units
from inlaylab.bench import fields
from inlaylab.errors import LengthError
from inlaylab.panels.shared.entries import Entry
from inlaylab.wording.panels import shared as words

#: Inches are filled in as a fraction where they are a whole number of these, as a rule is marked.
_MARKS = 64
BOARD = 100.0
"""From here on a length is one of a board or a feed, and said with fewer digits; our choice. [mm]"""


class LengthEntry(Entry):
    """
    A length as a maker writes it; a bare number is taken in the entry's own unit.

    Parameters
    ----------
    label : str
        Name of the field.
    unit : str
        Unit of numbers typed without one, one of ``units.UNITS``.
    required : bool
        Whether it is needed.
    lowest, highest : float
        What the record itself allows; beyond it the entry refuses. [mm]
    above : bool
        Whether `lowest` itself is refused too.
    typed : str
        What stands in it at first.

    Notes
    -----
    A length that the kit fills in is shown in few digits. It stays exact until it is typed over, except in the fields
    of a record (`of`): there what is shown is what is kept.

    Examples
    --------
    >>> entry = LengthEntry("start depth", unit="in")
    >>> entry.typed = "3/32"
    >>> round(entry.value.mm, 3), entry.whole
    (2.381, True)
    >>> entry.set_mm(3.4)
    >>> entry.typed, entry.mm
    ('0.1339 in', 3.4)
    """

    unit = traitlets.Unicode("mm")

    def __init__(
        self,
        label: str,
        *,
        unit: str = "mm",
        required: bool = False,
        lowest: float = 0.0,
        highest: float = units.LONGEST_MM,
        above: bool = False,
        typed: str = "",
    ):
        self.lowest, self.highest, self.above = lowest, highest, above
        self._filled: dict[str, float] = {}
        self._written: dict[str, str] = {}
        self._as_shown = False
        super().__init__(label, required=required)
        self.unit = unit
        self.typed = typed
        if self.value is not None:
            self.set_mm(self.mm)

    @classmethod
    def of(cls, record: type, field: str, label: str = "", **options: Any) -> LengthEntry:
        """Make the entry of a record's length, with the record's own limits."""
        spec = fields.specs(record)[field]
        label = label or field.replace("_", " ")
        made = cls(label, lowest=spec.low, highest=spec.high, above=spec.above, **options)
        made._as_shown = True
        return made

    def read(self, text: str) -> Any:
        """Give the Length, or raise InputError."""
        length = units.parse_length(text, self.unit)
        if text in self._filled and not self._as_shown:
            exact = self._filled[text]
            typed = f"{units.number_text(exact, self.unit)} {self.unit}"
            length = replace(length, mm=exact, value=exact / units.UNITS[self.unit], unit=self.unit, typed=typed)
        if length.mm < self.lowest or (self.above and length.mm == self.lowest):
            least = words.ABOVE if self.above else words.AT_LEAST
            raise LengthError(words.too_small(self.label), value=text, allowed=f"{least} {self._both(self.lowest)}")
        if length.mm > self.highest:
            raise LengthError(
                words.too_large(self.label), value=text, allowed=f"{words.AT_MOST} {self._both(self.highest)}"
            )
        return length

    def understood(self, value: Any) -> str:
        """Say the length in the entry's unit, and in mm or inches beside it."""
        return "= " + self._both(value.mm)

    def set_mm(self, length: float | None) -> None:
        """Fill a length in, in the entry's unit."""
        self._fill(() if length is None else (length,))

    def turn(self, unit: str) -> None:
        """Take numbers without a unit in another one; the length keeps its meaning, and its text if it comes back."""
        kept = self.mm
        if self._written.get(self.unit) != self.typed:
            self._written = {self.unit: self.typed}
        self.unit = unit
        if kept is None:
            return
        text = self._written.get(unit)
        if text is None:
            self.set_mm(kept)
            self._written[unit] = self.typed
        else:
            self._filled = dict(zip(_parts(text), kept if isinstance(kept, tuple) else (kept,), strict=False))
            self.typed = text
            self._reread()

    def _fill(self, lengths: Iterable[float]) -> None:
        shown = [(short_text(float(length), self.unit), float(length)) for length in lengths]
        self._filled = dict(shown)
        self.typed = "; ".join(text for text, _ in shown)
        self._reread()

    @property
    def mm(self) -> float | None:
        """The length in mm, None where there is none."""
        return None if self.value is None else float(self.value.mm)

    @traitlets.observe("unit")
    def _unit_changed(self, change: traitlets.Bunch) -> None:
        parts = [part.strip() for part in self.typed.split(";")]
        if all(part in self._filled for part in parts):
            self._fill([self._filled[part] for part in parts])
        else:
            self._reread()

    @property
    def _other(self) -> str:
        return "mm" if self.unit != "mm" else "in"

    def _both(self, length: float) -> str:
        style = "rough" if length >= BOARD else "decimal"
        return f"{units.format_length(length, self.unit, style)} ({units.format_length(length, self._other, style)})"


class LengthsEntry(LengthEntry):
    """
    Several lengths in one field, with ``;`` between them (or a comma and a blank).

    Examples
    --------
    >>> entry = LengthsEntry("stroke widths", unit="mm", typed="0,8; 1.2; 1/8 in")
    >>> [round(length.mm, 3) for length in entry.value]
    [0.8, 1.2, 3.175]
    """

    def read(self, text: str) -> Any:
        """Give the lengths as a tuple, or raise InputError."""
        return tuple(super(LengthsEntry, self).read(part) for part in _parts(text))

    def understood(self, value: Any) -> str:
        """Say the lengths in the entry's unit, and in mm or inches beside it."""
        shown = [
            "; ".join(units.format_number(length.mm, unit) for length in value) for unit in (self.unit, self._other)
        ]
        return f"= {shown[0]} {self.unit} ({shown[1]} {self._other})"

    def set_mm(self, length: Any) -> None:
        """Fill lengths in, in the entry's unit."""
        self._fill(length or ())

    @property
    def mm(self) -> Any:
        """The lengths in mm, None where there are none."""
        return None if self.value is None else tuple(length.mm for length in self.value)


def _parts(text: str) -> list[str]:
    """Take several lengths apart."""
    return [part for part in map(str.strip, re.split(r";|,\s+", text)) if part]


def short_text(length: float, unit: str) -> str:
    """
    Write a length in few digits with its unit, as a maker would.

    Parameters
    ----------
    length : float
        [mm]
    unit : str
        One of ``units.UNITS``.

    Examples
    --------
    >>> short_text(3.6000000000000003, "mm"), short_text(3.4, "in"), short_text(2.38125, "in"), short_text(3.4, "thou")
    ('3.6 mm', '0.1339 in', '3/32 in', '133.9 thou')
    """
    value = length / units.UNITS[unit]
    marks = value * _MARKS
    if unit == "in" and round(marks) and abs(marks - round(marks)) < 1e-9 * _MARKS and not (value * 100).is_integer():
        return units.format_length(length, "in", "fraction")
    text = f"{value:.{units.decimals(unit, 'fine')}f}".rstrip("0").rstrip(".")
    if float(text) == 0.0 and value:
        text = f"{value:.2g}"
    return f"{text} {unit}"


def change_unit(entries: Iterable[Entry], unit: str) -> None:
    """
    Take numbers without a unit in another one from now on; lengths that stand in the fields keep their meaning.

    Parameters
    ----------
    entries : iterable of Entry
        Those of lengths are shown in the new unit.
    unit : str
        One of ``units.UNITS``.
    """
    for entry in entries:
        if isinstance(entry, LengthEntry) and entry.unit != unit:
            entry.turn(unit)


def typed_with_unit(length: units.Length) -> str:
    """Give what was typed, with its unit where the text alone does not say it."""
    text = length.typed.strip()
    return f"{text} {length.unit}" if text[-1:].isdigit() or text[-1:] in ".," else text
