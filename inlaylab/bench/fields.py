"""
The fields that records are made of: what each may hold, stated in one place.

A record says ``start_depth: float = length(needed=True)`` and calls ``checks.check(self)`` in ``__post_init__``;
``specs`` answers with its limits. Lengths are millimetres; ``typed`` keeps the text of each as the maker typed it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import TYPE_CHECKING, Any

from inlaylab.units import UNITS

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

LONGEST_NAME = 200
LONGEST_NOTE = 20_000
LONGEST_JSON = 2_000_000
MOST_EXTRA = 50


@dataclass(frozen=True, kw_only=True)
class Spec:
    """
    What one field of a record may hold.

    Parameters
    ----------
    kind : str
        name, text, choice, length, number, date, photo, json, unit, origin, typed or extra.
    needed : bool
        Whether it must be given.
    low, high : float
        Limits of a number or length, both allowed.
    above : bool
        Whether the lower limit itself is not allowed.
    choices : tuple of str
        What a choice may be.
    unit : str
        Unit of a number, for messages and glossaries.
    default : object
        What the field holds when it is not given.
    seldom : bool
        Whether a table has its column only where a row fills it.
    """

    kind: str
    needed: bool = False
    low: float = 0.0
    high: float = 0.0
    above: bool = False
    choices: tuple[str, ...] = ()
    unit: str = ""
    default: str | float | None = None
    seldom: bool = False

    @property
    def allowed(self) -> str:
        """What the field may hold, in words."""
        if self.kind == "choice":
            return ", ".join(self.choices)
        if self.kind in ("length", "number"):
            least = f"above {self.low:g}" if self.above else f"{self.low:g}"
            return f"{least} to {self.high:g} {self.unit}".rstrip()
        return _ALLOWED[self.kind]


_ALLOWED = {
    "name": f"1 to {LONGEST_NAME} characters, no control characters",
    "origin": f"whose page, in 1 to {LONGEST_NAME} characters",
    "text": f"up to {LONGEST_NOTE} characters, no NUL",
    "date": "an ISO 8601 date as 2026-03-05, or a month as 2026-03, years 1900 to 2199",
    "photo": "a path inside the log's folder, as photos/k1.jpg",
    "json": f"a JSON object of up to {LONGEST_JSON} characters",
    "unit": ", ".join(UNITS),
    "typed": "for each length of the record the text that was typed, of the same value",
    "extra": f"up to {MOST_EXTRA} named columns with texts",
}


def _field(spec: Spec) -> Any:
    if spec.kind in ("typed", "extra"):
        return field(default_factory=dict, hash=False, metadata={"spec": spec})
    if spec.needed:
        return field(metadata={"spec": spec})
    return field(default=spec.default, metadata={"spec": spec})


def name(*, needed: bool = True) -> Any:
    """Declare a name: short, on one line."""
    return _field(Spec(kind="name", needed=needed))


def origin() -> Any:
    """Declare whose page a record was taken from, and that page's fingerprint; None: it was logged here."""
    return _field(Spec(kind="origin"))


def text() -> Any:
    """Declare a free text."""
    return _field(Spec(kind="text", default=""))


def choice(*choices: str, needed: bool = True, seldom: bool = False) -> Any:
    """Declare one of some words."""
    return _field(Spec(kind="choice", choices=choices, needed=needed, seldom=seldom))


def length(
    *,
    low: float = 0.0,
    high: float = 100.0,
    above: bool = False,
    needed: bool = False,
    default: float | None = None,
    seldom: bool = False,
) -> Any:
    """Declare a length within limits, in mm."""
    limits = Spec(
        kind="length", low=low, high=high, above=above, needed=needed, unit="mm", default=default, seldom=seldom
    )
    return _field(limits)


def number(*, low: float, high: float, needed: bool = False, unit: str = "") -> Any:
    """Declare a plain number within limits."""
    return _field(Spec(kind="number", low=low, high=high, needed=needed, unit=unit))


def date(*, needed: bool = False) -> Any:
    """Declare an ISO 8601 date."""
    return _field(Spec(kind="date", needed=needed))


def photo(*, seldom: bool = False) -> Any:
    """Declare the path of a picture, relative to the log's folder."""
    return _field(Spec(kind="photo", default="", seldom=seldom))


def json_object() -> Any:
    """Declare a JSON object, kept as one text that is the same for the same content; blank where there is none."""
    return _field(Spec(kind="json", default=""))


def unit(default: str = "mm") -> Any:
    """Declare the unit that the record's lengths were typed in."""
    return _field(Spec(kind="unit", default=default))


def typed() -> Any:
    """Declare texts of lengths as typed, where they say more than the number does."""
    return _field(Spec(kind="typed"))


def extra() -> Any:
    """Declare columns that inlaylab has no use for but keeps."""
    return _field(Spec(kind="extra"))


_SPECS: dict[type, dict[str, Spec]] = {}


def specs(record_class: type[DataclassInstance]) -> dict[str, Spec]:
    """
    Return the fields of a record class and what they may hold, in order.

    Parameters
    ----------
    record_class : type
        A record of the bench.

    Returns
    -------
    specs : dict
        Field name to `Spec`.
    """
    if record_class not in _SPECS:
        _SPECS[record_class] = {f.name: f.metadata["spec"] for f in fields(record_class) if "spec" in f.metadata}
    return _SPECS[record_class]


def lengths_of(record_class: type[DataclassInstance]) -> tuple[str, ...]:
    """
    Return the names of a record class's lengths.

    Parameters
    ----------
    record_class : type
        A record of the bench.

    Returns
    -------
    names : tuple of str
        In the record's order.
    """
    return tuple(n for n, spec in specs(record_class).items() if spec.kind == "length")


def as_values(record: DataclassInstance) -> dict[str, Any]:
    """
    Return a record's fields as plain values that JSON can hold.

    Parameters
    ----------
    record : dataclass instance
        A record of the bench.

    Returns
    -------
    values : dict
        Field name to None, text, number, dict or list.
    """
    return {f.name: getattr(record, f.name) for f in fields(record)}


def canonical(values: Mapping[str, object]) -> str:
    """
    Write plain values as one JSON text that is the same for the same content.

    Parameters
    ----------
    values : mapping
        Plain values.

    Returns
    -------
    text : str
        JSON with sorted keys.
    """
    return json.dumps(values, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
