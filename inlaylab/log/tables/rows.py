"""One row of a table makes one record, and one record one row: cell by cell, nothing dropped."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

from inlaylab.bench import checks, fields
from inlaylab.bench.bits import Bit, Groove
from inlaylab.bench.coupons import Point, Station, Stroke
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.bench.habits import Habits
from inlaylab.bench.readings import Reading
from inlaylab.errors import LengthError, RecordError, TableError
from inlaylab.log.tables.csv_rows import NUMBER, Sheet, check_number
from inlaylab.units import UNITS, number_text, parse_length

AS_TYPED = "as_typed"
"""Column for lengths that were typed in another way than the row's unit, as ``start_depth=3/32 in``."""

Written = Bit | Groove | Pair | Station | Cut | Reading | Habits | Stroke | Point
"""What a row of a table may make."""

_Made = TypeVar("_Made", bound=Written)

_FROM_HABIT = ("pocket_depth", "relief_depth")


def read_rows(record_class: type[_Made], sheet: Sheet, habits: Habits, notes: list[str]) -> list[tuple[int, _Made]]:
    """
    Make one record of each row of a sheet.

    Parameters
    ----------
    record_class : type
        What a row makes.
    sheet : Sheet
        The rows as text.
    habits : Habits
        Fills the blank depths of a cut.
    notes : list of str
        Takes a word about columns that are kept without a use.

    Returns
    -------
    rows : list of (int, record)
        Row number and record.

    Raises
    ------
    TableError
        Naming file, row and column of the first cell that cannot be taken.
    """
    known = {name: spec for name, spec in fields.specs(record_class).items() if spec.kind not in ("typed", "extra")}
    for name, spec in known.items():
        if spec.needed and name not in sheet.columns and not (record_class is Cut and name in _FROM_HABIT):
            raise TableError("a column is missing", file=sheet.file, row=1, column=name)
    others = [column for column in sheet.columns if column not in known and column != AS_TYPED]
    for column in others:
        near = checks.near_column(record_class, column)
        if near:
            what = "this column looks like one with a meaning"
            raise TableError(
                what, value=column, file=sheet.file, row=1, column=column, allowed=f"{near}, or another name"
            )
    if others:
        notes.append(f"{sheet.file}: kept without a use: {', '.join(others)}")
    return [(row, _record(record_class, cells, sheet.file, row, habits)) for row, cells in sheet.rows]


def _record(record_class: type[_Made], cells: dict[str, str], file: str, row: int, habits: Habits) -> _Made:
    values: dict[str, Any] = {}
    typed: dict[str, str] = {}
    specs = fields.specs(record_class)
    extra = {column: text for column, text in cells.items() if column not in specs and column != AS_TYPED and text}
    unit = cells.get("unit", "")
    for name, spec in specs.items():
        text = cells.get(name, "")
        if not text or spec.kind in ("typed", "extra"):
            continue
        if spec.kind in ("length", "number"):
            check_number(text, file=file, row=row, column=name)
        if spec.kind == "length":
            if unit not in UNITS:
                what = "unit is unknown" if unit else "unit is missing"
                raise TableError(what, value=unit or None, file=file, row=row, column="unit", allowed=", ".join(UNITS))
            typed[name] = text
        values[name] = text
    if record_class is Cut:
        _fill_from_habit(values, habits, file, row)
    try:
        if cells.get(AS_TYPED):
            return _as_typed(record_class, values, typed, cells[AS_TYPED], unit, extra)
        return _make(record_class, values, typed, unit, extra)
    except RecordError as fault:
        column = {"typed": AS_TYPED, "extra": None}.get(fault.field, fault.field)
        raise TableError(
            fault.what, value=fault.value, file=file, row=row, column=column, allowed=fault.allowed
        ) from None


def _fill_from_habit(values: dict[str, Any], habits: Habits, file: str, row: int) -> None:
    for name in _FROM_HABIT:
        if name not in values:
            if getattr(habits, name) is None:
                allowed = "a depth, or a habit that states it"
                raise TableError(f"{name} is blank", file=file, row=row, column=name, allowed=allowed)
            values[name] = getattr(habits, name)


def _make(
    record_class: type[_Made], values: dict[str, Any], typed: Mapping[str, str], unit: str, extra: dict[str, str]
) -> _Made:
    specs = fields.specs(record_class)
    values = {**{name: None for name, spec in specs.items() if spec.needed}, **values}
    for name, text in values.items():
        if isinstance(text, str) and specs[name].kind == "length":
            try:
                values[name] = parse_length(text, unit).mm
            except LengthError as fault:
                raise RecordError(fault.what, field=name, value=text, allowed=specs[name].allowed) from None
        elif isinstance(text, str) and specs[name].kind == "number":
            values[name] = float(text)
    if "typed" in specs:
        values["typed"] = typed
    return record_class(**values, extra=extra)


def _as_typed(
    record_class: type[_Made],
    values: dict[str, Any],
    typed: dict[str, str],
    cell: str,
    unit: str,
    extra: dict[str, str],
) -> _Made:
    said = {}
    for part in cell.split(";"):
        name, equals, text = part.partition("=")
        if not equals or name.strip() not in typed:
            allowed = "column=text of that column's length, parted by semicolons"
            raise RecordError("what was typed for no length of this row", field="typed", value=part, allowed=allowed)
        said[name.strip()] = text.strip()
    return _make(record_class, values, {**typed, **said}, unit, extra)


def write_rows(record_class: type[Written], records: Sequence[Written]) -> tuple[list[str], list[dict[str, str]]]:
    """
    Write records as rows of text that read back equal.

    Parameters
    ----------
    record_class : type
        Class of the records.
    records : list of records
        What to write.

    Returns
    -------
    columns, rows : list of str, list of dict
        The header, and cells by column; ``as_typed``, extra columns and those that are seldom filled only where they
        are needed.
    """
    rows = [_row(record) for record in records]
    columns = [
        name
        for name, spec in fields.specs(record_class).items()
        if spec.kind not in ("typed", "extra", "origin")
        and not (spec.seldom and not any(row.get(name) for row in rows))
    ]
    others = dict.fromkeys(name for row in rows for name in row if name not in columns and name != AS_TYPED)
    typed = [AS_TYPED] if any(AS_TYPED in row for row in rows) else []
    return [*columns, *typed, *others], rows


def _row(record: Written) -> dict[str, str]:
    row: dict[str, str] = dict(record.extra)
    typed, unit = dict(getattr(record, "typed", {})), getattr(record, "unit", "")
    for name, spec in fields.specs(type(record)).items():
        value = getattr(record, name)
        if value is None or spec.kind in ("typed", "extra", "origin"):
            continue
        if spec.kind == "length":
            plain = typed.get(name, "")
            if NUMBER.fullmatch(plain) and len(plain) <= 60 and parse_length(plain, unit).mm == value:
                row[name] = typed.pop(name)
            else:
                row[name] = number_text(value, unit)
        else:
            row[name] = repr(value).removesuffix(".0") if spec.kind == "number" else str(value)
    if typed:
        row[AS_TYPED] = "; ".join(f"{name}={text}" for name, text in typed.items())
    return row
