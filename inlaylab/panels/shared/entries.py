"""
What stands in a panel's fields: the state of each control, testable without a screen.

An entry keeps what was typed, what it was understood as, and what is wrong with it. Nothing is clamped and nothing is
guessed: a text that cannot be read gives no value and says why. `controls` shows entries on a screen.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Iterable
from typing import Any

import traitlets

from inlaylab import units
from inlaylab.bench import fields
from inlaylab.errors import InputError, LengthError

#: What a choice shows for "make a new one".
ADD_NEW = "add new …"
#: What a choice shows before anything is chosen.
NOTHING = "choose …"


class Entry(traitlets.HasTraits):
    """
    A field of words: what was typed, and whether it will do.

    Parameters
    ----------
    label : str
        Name of the field, as the maker reads it.
    required : bool
        Whether a record without it is not whole.
    read : callable, optional
        Takes the trimmed text and gives its value, or raises InputError.

    Notes
    -----
    `value` is None where the field is blank or refused; `said` holds the refusal; `shown` what was understood.
    """

    label = traitlets.Unicode()
    typed = traitlets.Unicode()
    required = traitlets.Bool(False)
    value = traitlets.Any(None, allow_none=True)
    said = traitlets.Unicode()
    shown = traitlets.Unicode()

    def __init__(
        self, label: str, *, required: bool = False, read: Callable[[str], Any] | None = None, typed: str = ""
    ):
        self._read = read
        super().__init__(label=label, required=required)
        self.typed = typed

    @property
    def whole(self) -> bool:
        """Whether the field may go into a record as it stands."""
        return not self.said and (self.value is not None or not self.required)

    @property
    def missing(self) -> bool:
        """Whether the field is needed and still blank."""
        return self.required and self.value is None and not self.said

    def read(self, text: str) -> Any:
        """Give the value of a text that is not blank, or raise InputError."""
        return self._read(text) if self._read else text

    def understood(self, value: Any) -> str:
        """Say what a value was understood as, where that is more than the text itself."""
        return ""

    def clear(self) -> None:
        """Empty the field."""
        self.typed = ""
        self._reread()

    @traitlets.observe("typed")
    def _reread(self, change: Any = None) -> None:
        text = self.typed.strip()
        value, said, shown = None, "", ""
        if text:
            try:
                value = self.read(text)
                shown = self.understood(value)
            except InputError as refusal:
                said = str(refusal)
        self.said, self.shown, self.value = said, shown, value


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

    Examples
    --------
    >>> entry = LengthEntry("start depth", unit="in")
    >>> entry.typed = "3/32"
    >>> round(entry.value.mm, 3), entry.whole
    (2.381, True)
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
        super().__init__(label, required=required)
        self.unit = unit
        self.typed = typed

    @classmethod
    def of(cls, record: type, field: str, label: str = "", **options: Any) -> LengthEntry:
        """Make the entry of a record's length, with the record's own limits."""
        spec = fields.specs(record)[field]
        label = label or field.replace("_", " ")
        return cls(label, lowest=spec.low, highest=spec.high, above=spec.above, **options)

    def read(self, text: str) -> Any:
        """Give the Length, or raise InputError."""
        length = units.parse_length(text, self.unit)
        if length.mm < self.lowest or (self.above and length.mm == self.lowest):
            least = "above" if self.above else "at least"
            raise LengthError(f"{self.label} is too small", value=text, allowed=f"{least} {self._both(self.lowest)}")
        if length.mm > self.highest:
            raise LengthError(f"{self.label} is too large", value=text, allowed=f"at most {self._both(self.highest)}")
        return length

    def understood(self, value: Any) -> str:
        """Say the length in mm and in the entry's unit."""
        return "= " + self._both(value.mm)

    def set_mm(self, length: float | None) -> None:
        """Type a stored length into the field, in the entry's unit and without losing a digit."""
        self.typed = "" if length is None else f"{units.number_text(length, self.unit)} {self.unit}"

    @property
    def mm(self) -> float | None:
        """The length in mm, None where there is none."""
        return None if self.value is None else float(self.value.mm)

    @traitlets.observe("unit")
    def _unit_changed(self, change: Any) -> None:
        self._reread()

    @property
    def _other(self) -> str:
        return self.unit if self.unit != "mm" else "in"

    def _both(self, length: float) -> str:
        return f"{units.format_length(length, 'mm')} ({units.format_length(length, self._other)})"


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
        parts = [part.strip() for part in re.split(r";|,\s+", text)]
        return tuple(super(LengthsEntry, self).read(part) for part in parts if part)

    def understood(self, value: Any) -> str:
        """Say the lengths in mm and in the entry's unit."""
        shown = ["; ".join(units.format_number(length.mm, unit) for length in value) for unit in ("mm", self._other)]
        return f"= {shown[0]} mm ({shown[1]} {self._other})"

    @property
    def mm(self) -> Any:
        """The lengths in mm, None where there are none."""
        return None if self.value is None else tuple(length.mm for length in self.value)


class NumberEntry(Entry):
    """
    A plain number with its bounds: an angle, a chance, metres of path.

    Parameters
    ----------
    label : str
        Name of the field.
    lowest, highest : float
        What is allowed, ends included.
    unit : str
        Word or sign that may follow the number and is shown behind it.
    required : bool
        Whether it is needed.

    Examples
    --------
    >>> entry = NumberEntry("chance", lowest=50, highest=99, unit="%")
    >>> entry.typed = "90 %"
    >>> entry.value
    90.0
    >>> entry.typed = "120"
    >>> entry.said
    'chance: "120"; allowed: 50 to 99 %.'
    """

    def __init__(
        self,
        label: str,
        *,
        lowest: float,
        highest: float,
        unit: str = "",
        required: bool = False,
        typed: str = "",
    ):
        self.lowest, self.highest, self.unit = lowest, highest, unit
        super().__init__(label, required=required)
        self.typed = typed

    def read(self, text: str) -> float:
        """Give the number, or raise InputError."""
        import math

        allowed = f"{self.lowest:g} to {self.highest:g} {self.unit}".strip()
        bare = text.removesuffix(self.unit).strip() if self.unit else text
        if bare.count(",") == 1 and "." not in bare and len(bare.rsplit(",", 1)[1]) != 3:
            bare = bare.replace(",", ".")
        try:
            number = float(bare)
        except ValueError:
            raise InputError(self.label, value=text, allowed=allowed) from None
        if not math.isfinite(number) or not self.lowest <= number <= self.highest:
            raise InputError(self.label, value=text, allowed=allowed)
        return number


class DateEntry(Entry):
    """
    A day, written year-month-day.

    Examples
    --------
    >>> entry = DateEntry("date")
    >>> entry.typed = "12/3/2026"
    >>> entry.whole
    False
    """

    def read(self, text: str) -> datetime.date:
        """Give the day, or raise InputError."""
        try:
            return datetime.date.fromisoformat(text)
        except ValueError:
            raise InputError(self.label, value=text, allowed="year-month-day, as 2026-03-12") from None


class ChoiceEntry(Entry):
    """
    One of a list, or a new one.

    Parameters
    ----------
    label : str
        Name of the field.
    options : iterable of str
        What can be chosen.
    required : bool
        Whether it is needed.
    can_add : bool
        Whether the last line of the list is "add new".

    Examples
    --------
    >>> entry = ChoiceEntry("bit", options=["60 new", "90 old"], required=True)
    >>> entry.missing
    True
    >>> entry.typed = "60 new"
    >>> entry.whole
    True
    """

    options = traitlets.Tuple()
    can_add = traitlets.Bool(False)

    def __init__(self, label: str, *, options: Iterable[str] = (), required: bool = False, can_add: bool = False):
        super().__init__(label, required=required)
        self.options = tuple(options)
        self.can_add = can_add

    @property
    def adding(self) -> bool:
        """Whether "add new" is chosen."""
        return self.can_add and self.typed == ADD_NEW

    def read(self, text: str) -> str | None:
        """Give the choice itself, or raise InputError where it is not on the list."""
        if text in (NOTHING, ADD_NEW):
            return None
        match = next((option for option in self.options if option.strip() == text), None)
        if match is None:
            raise InputError(self.label, value=text, allowed="one of the list")
        return match

    @traitlets.observe("options")
    def _options_changed(self, change: Any) -> None:
        self._reread()


class Form(traitlets.HasTraits):
    """
    Several entries that make one record.

    Parameters
    ----------
    **entries : Entry
        The fields by name, in the order of work; anything with an entry's traits will do.

    Attributes
    ----------
    whole, needs : bool, str
        Whether every field will do; if not, what is needed or wrong.

    Examples
    --------
    >>> form = Form(name=Entry("name", required=True), notes=Entry("notes"))
    >>> form.whole, form.needs
    (False, 'Still needed: name.')
    >>> form["name"].typed = "oak sign"
    >>> form.whole, form.values()
    (True, {'name': 'oak sign', 'notes': None})
    """

    whole = traitlets.Bool(False)
    needs = traitlets.Unicode()

    def __init__(self, **entries: Any):
        super().__init__()
        self.entries = entries
        for entry in entries.values():
            entry.observe(self._look, ["value", "said", "required"])
        self._look()

    def __getitem__(self, name: str) -> Any:
        return self.entries[name]

    def values(self) -> dict[str, Any]:
        """Give the value of each field by name."""
        return {name: entry.value for name, entry in self.entries.items()}

    def clear(self) -> None:
        """Empty every field."""
        for entry in self.entries.values():
            entry.clear()

    def _look(self, change: Any = None) -> None:
        missing = [entry.label for entry in self.entries.values() if entry.missing]
        wrong = [entry.label for entry in self.entries.values() if entry.said]
        parts = []
        if missing:
            parts.append(f"Still needed: {', '.join(missing)}.")
        if wrong:
            parts.append(f"Please fix: {', '.join(wrong)}.")
        self.needs = " ".join(parts)
        self.whole = not parts


def typed_with_unit(length: Any) -> str:
    """Give what was typed, with its unit where the text alone does not say it."""
    text = length.typed.strip()
    return f"{text} {length.unit}" if text[-1:].isdigit() or text[-1:] in ".," else text
