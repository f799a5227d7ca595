"""
What a record does when it is made: each field checked and tidied by the kind it is declared to be.

One refusal has one shape: the field, its value, the record, what is allowed.
"""

from __future__ import annotations

import datetime
import json
import math
import re
import unicodedata
from collections.abc import Callable, Mapping
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, NoReturn

from inlaylab.bench.fields import (
    LONGEST_JSON,
    LONGEST_NAME,
    LONGEST_NOTE,
    MOST_EXTRA,
    Spec,
    canonical,
    lengths_of,
    specs,
)
from inlaylab.errors import LengthError, RecordError
from inlaylab.units import UNITS, number_text, parse_length

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

SMALLEST_MM = 1e-9
"""A length below this is 0. [mm]"""


def check(record: DataclassInstance) -> None:
    """
    Check and tidy every field of a new record in place.

    Parameters
    ----------
    record : dataclass instance
        Called from its ``__post_init__``.

    Raises
    ------
    RecordError
        Naming the field, its value and what is allowed.
    """
    for field_name, spec in specs(type(record)).items():
        value = getattr(record, field_name)
        if value is None and spec.kind not in ("text", "photo", "json", "unit", "typed", "extra"):
            if spec.needed:
                refuse(record, field_name, f"{field_name} is missing", None)
            continue
        if value is None and spec.kind in ("text", "photo", "json"):
            value = ""
            object.__setattr__(record, field_name, value)
        tidy = _CHECKS[spec.kind](record, field_name, spec, value)
        if tidy is not value:
            object.__setattr__(record, field_name, tidy)


def refuse(
    record: DataclassInstance, field_name: str, what: str, value: object, allowed: str | None = None
) -> NoReturn:
    """
    Raise the `RecordError` of a record's field.

    Parameters
    ----------
    record : dataclass instance
        The record at fault.
    field_name : str
        Its field.
    what : str
        What is wrong.
    value : object
        What the field holds.
    allowed : str, optional
        What it may hold; by default what its `Spec` says.

    Raises
    ------
    RecordError
        Always.
    """
    of = type(record).__name__.lower()
    own = getattr(record, of, None) if of not in ("habits", "reading") else None
    some = "an" if of[0] in "aeiou" else "a"
    where = f"{field_name} of {of} {own}" if isinstance(own, str) else f"{field_name} of {some} {of}"
    allowed = specs(type(record))[field_name].allowed if allowed is None else allowed
    raise RecordError(what, field=field_name, value=value, where=where, allowed=allowed)


def _check_name(record: DataclassInstance, field_name: str, spec: Spec, value: object) -> str | None:
    if not isinstance(value, str):
        refuse(record, field_name, f"{field_name} is no text", value)
    if not value.isascii():
        value = unicodedata.normalize("NFC", value)
    value = value.strip()
    if not value:
        if spec.needed:
            refuse(record, field_name, f"{field_name} is blank", None)
        return None
    if len(value) > LONGEST_NAME:
        refuse(record, field_name, f"{field_name} is {len(value)} characters long", value)
    if not value.isprintable() and any(unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") for c in value):
        refuse(record, field_name, f"{field_name} has control characters", value)
    return value


def _check_text(record: DataclassInstance, field_name: str, _spec: Spec, value: object) -> str:
    if not isinstance(value, str):
        refuse(record, field_name, f"{field_name} is no text", value)
    return tidy_text(record, field_name, value)


def tidy_text(record: DataclassInstance, field_name: str, value: str) -> str:
    """
    Return a free text without outer blanks, its line ends as line feeds.

    Parameters
    ----------
    record, field_name
        As in `refuse`.
    value : str
        The text.

    Returns
    -------
    value : str
        The tidy text.

    Raises
    ------
    RecordError
        If it is too long, or holds a NUL or half a character.
    """
    if len(value) > LONGEST_NOTE:
        refuse(record, field_name, f"{field_name} is {len(value)} characters long", value)
    if "\0" in value or any("\ud800" <= c <= "\udfff" for c in value):
        refuse(record, field_name, f"{field_name} holds a NUL or half a character", value)
    return value.replace("\r\n", "\n").replace("\r", "\n").strip()


def _check_choice(record: DataclassInstance, field_name: str, spec: Spec, value: object) -> str | None:
    value = value.strip() if isinstance(value, str) else value
    if value == "" and not spec.needed:
        return None
    if value not in spec.choices:
        refuse(record, field_name, f"{field_name} is not one of the choices", value)
    return str(value)


def _check_number(record: DataclassInstance, field_name: str, spec: Spec, value: Any) -> float:
    given = value
    try:
        value = math.nan if isinstance(value, str | bool) else float(value)
    except (TypeError, ValueError, OverflowError):
        value = math.nan
    if not math.isfinite(value):
        refuse(record, field_name, f"{field_name} is not a number", given if isinstance(given, str) else repr(given))
    if spec.kind == "length" and abs(value) < SMALLEST_MM:
        value = 0.0
    if value < spec.low or value > spec.high or (spec.above and value == spec.low):
        what = "too small" if value <= spec.low else "too large"
        shown_value = f"{value:g} {spec.unit}".rstrip()
        refuse(record, field_name, f"{field_name} is {what}", shown_value)
    return value + 0.0


_MONTH = re.compile(r"(?:19|20|21)[0-9]{2}-(?:0[1-9]|1[0-2])")


def _check_date(record: DataclassInstance, field_name: str, spec: Spec, value: object) -> str | None:
    if isinstance(value, datetime.date):
        value = value.isoformat()
    if not isinstance(value, str):
        refuse(record, field_name, f"{field_name} is not a date", value)
    value = value.strip()
    if not value and not spec.needed:
        return None
    if _MONTH.fullmatch(value):  # a shared page may leave the day out
        return value
    try:
        day = datetime.date.fromisoformat(value).isoformat()
    except ValueError:
        try:
            day = datetime.datetime.fromisoformat(value).isoformat()
        except ValueError:
            day = ""
    if not (value.isascii() and "1900" <= day[:4] <= "2199"):
        refuse(record, field_name, f"{field_name} is not a date", value)
    return day


def _check_photo(record: DataclassInstance, field_name: str, _spec: Spec, value: object) -> str:
    if not isinstance(value, str):
        refuse(record, field_name, f"{field_name} is no text", value)
    path = value.strip().replace("\\", "/")
    bad = path.startswith("/") or ":" in path or ".." in path.split("/") or len(path) > 500
    if bad or any(unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") for c in path):
        refuse(record, field_name, f"{field_name} leads out of the log's folder or is no path", value)
    return path


def _check_json(record: DataclassInstance, field_name: str, _spec: Spec, value: object) -> str:
    if not isinstance(value, str):
        refuse(record, field_name, f"{field_name} is no text", value)
    if not value.strip():
        return ""
    if len(value) > LONGEST_JSON:
        refuse(record, field_name, f"{field_name} is {len(value)} characters long", None)
    try:
        found = json.loads(value, parse_constant=_no_number)
        text = canonical(found)
        text.encode()
    except (ValueError, RecursionError):
        found, text = None, ""
    if not isinstance(found, dict):
        refuse(record, field_name, f"{field_name} is not a JSON object", value[:100])
    return text


def _no_number(word: str) -> float:
    raise ValueError(word)


def _check_unit(record: DataclassInstance, field_name: str, _spec: Spec, value: object) -> str:
    default = specs(type(record))[field_name].default
    value = value.strip() if isinstance(value, str) else value
    if value in (None, ""):
        return str(default)
    if not isinstance(value, str) or value not in UNITS:
        refuse(record, field_name, f"{field_name} is unknown", value)
    return value


def _check_typed(record: DataclassInstance, field_name: str, _spec: Spec, value: object) -> dict[str, str]:
    if not value:
        return {}
    if not isinstance(value, Mapping):
        refuse(record, field_name, f"{field_name} is no dictionary", value)
    unit, kept = getattr(record, "unit", "") or "", {}
    for name_, text_ in value.items():
        mm = getattr(record, name_, None) if name_ in lengths_of(type(record)) else None
        try:
            same = mm is not None and isinstance(text_, str) and _reads_as(text_, unit or None, mm)
        except LengthError:
            same = False
        if not same:
            refuse(record, field_name, f"what was typed for {name_} is not its value", f"{name_}={text_}")
        if not unit or text_.strip() != number_text(float(mm or 0.0), unit):
            kept[name_] = text_.strip()
    return kept


def _reads_as(text_: str, unit_: str | None, mm: float) -> bool:
    return math.isclose(parse_length(text_, unit_).mm, mm, rel_tol=1e-12, abs_tol=1e-12)


def _check_extra(record: DataclassInstance, field_name: str, _spec: Spec, value: object) -> dict[str, str]:
    if not value:
        return {}
    if not isinstance(value, Mapping):
        refuse(record, field_name, f"{field_name} is no dictionary", value)
    if len(value) > MOST_EXTRA:
        refuse(record, field_name, f"there are {len(value)} extra columns", None)
    kept = {}
    for column, text_ in value.items():
        column = check_extra_name(record, field_name, column)
        if not isinstance(text_, str):
            refuse(record, field_name, f"extra column {column} holds no text", text_)
        tidy = tidy_text(record, field_name, text_)
        if tidy:
            kept[column] = tidy
    return kept


def check_extra_name(record: DataclassInstance, field_name: str, column: object) -> str:
    """
    Return the name of an extra column if it cannot be mistaken for one that inlaylab knows.

    Parameters
    ----------
    record, field_name
        As in `refuse`; ``record`` may be an instance of any record class.
    column : str
        The column's name.

    Returns
    -------
    column : str
        Without outer blanks.

    Raises
    ------
    RecordError
        If it is blank, too long, or nearly the name of a known column.
    """
    tidy = _check_name(record, field_name, Spec(kind="name", needed=True), column) or ""
    near = near_column(type(record), tidy)
    if near:
        refuse(
            record, field_name, "this extra column looks like one with a meaning", column, f"{near}, or another name"
        )
    return tidy


def near_column(record_class: type[DataclassInstance], column: str) -> str | None:
    """
    Return the known column that a name was probably meant to be.

    Parameters
    ----------
    record_class : type
        A record of the bench.
    column : str
        Name of a column that is not known.

    Returns
    -------
    known : str or None
        None where it resembles none.
    """
    known = [n for n, spec in specs(record_class).items() if spec.kind not in ("typed", "extra")] + ["as_typed"]
    plain = column.casefold().replace(" ", "_").replace("-", "_")
    if plain in known:
        return plain
    close = get_close_matches(plain[:60], known, n=1, cutoff=0.85)
    return close[0] if close else None


_CHECKS: dict[str, Callable[[DataclassInstance, str, Spec, Any], object]] = {
    "name": _check_name,
    "origin": _check_name,
    "text": _check_text,
    "choice": _check_choice,
    "length": _check_number,
    "number": _check_number,
    "date": _check_date,
    "photo": _check_photo,
    "json": _check_json,
    "unit": _check_unit,
    "typed": _check_typed,
    "extra": _check_extra,
}
