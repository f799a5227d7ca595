"""
What stands in a panel's fields: the state of each control, testable without a screen.

An entry keeps what was typed, what it was understood as, and what is wrong with it. Nothing is clamped and nothing is
guessed: a text that cannot be read gives no value and says why. `controls` shows entries on a screen.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable
from typing import Any, Protocol, TypeVar

import traitlets

from inlaylab.errors import InputError
from inlaylab.wording.panels import shared as words

#: What a choice shows for "make a new one".
ADD_NEW = words.ADD_NEW
#: What a choice shows before anything is chosen.
NOTHING = words.NOTHING


_T = TypeVar("_T")


class InUnit(Protocol):
    """A state whose lengths are read and shown in one unit, such as a panel's."""

    unit: str

    def observe(self, handler: Callable[..., object], names: str) -> None:
        """Call the handler with each change of a trait."""


class Held(traitlets.TraitType[_T, _T]):
    """A trait that holds a record or an answer, None at first; the annotation beside it says of which class."""

    default_value = None
    allow_none = True
    info_text = "anything"


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
    offers : iterable of str, optional
        Texts that are offered while typing; any other may be typed, too.

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
        self,
        label: str,
        *,
        required: bool = False,
        read: Callable[[str], object] | None = None,
        typed: str = "",
        offers: Iterable[str] = (),
    ):
        self._read, self.offers = read, tuple(offers)
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
    def _reread(self, change: traitlets.Bunch | None = None) -> None:
        text = self.typed.strip()
        value, said, shown = None, "", ""
        if text:
            try:
                value = self.read(text)
                shown = self.understood(value)
            except InputError as refusal:
                said = str(refusal)
        self.said, self.shown, self.value = said, shown, value


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

    def understood(self, value: float) -> str:
        """Say the number with its unit."""
        return words.number_with_unit(value, self.unit) if self.unit else ""


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
            raise InputError(self.label, value=text, allowed=words.A_DATE) from None


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
            raise InputError(self.label, value=text, allowed=words.OF_LIST)
        return match

    @traitlets.observe("options")
    def _options_changed(self, change: traitlets.Bunch) -> None:
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

    def _look(self, change: traitlets.Bunch | None = None) -> None:
        missing = [entry.label for entry in self.entries.values() if entry.missing]
        wrong = [entry.label for entry in self.entries.values() if entry.said]
        parts = []
        if missing:
            parts.append(words.still_needed(missing))
        if wrong:
            parts.append(words.please_fix(wrong))
        self.needs = " ".join(parts)
        self.whole = not parts
