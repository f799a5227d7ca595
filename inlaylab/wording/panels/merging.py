"""What a merge of two logs brings, what it asks, and what came of it, in words."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any

from inlaylab import units
from inlaylab.bench import fields
from inlaylab.wording.lengths import count
from inlaylab.wording.names import named
from inlaylab.wording.panels.log_and_fit import MONTHS

if TYPE_CHECKING:
    from inlaylab.log.merging.join import Conflict, Joined
    from inlaylab.log.records import Record

_NOT_SHOWN = ("typed", "unit", "origin", "layout", "extra")


def counted(numbers: Mapping[str, int]) -> str:
    """
    Say how many records of each kind there are, leaving out those of which there is none.

    Parameters
    ----------
    numbers : mapping
        Table of the log to a number.

    Returns
    -------
    words : str

    Examples
    --------
    >>> counted({"bits": 0, "cuts": 1, "readings": 12})
    '1 cut and 12 readings'
    >>> counted({"bits": 0})
    'nothing'
    """
    said = [count(number, table.removesuffix("s")) for table, number in numbers.items() if number]
    return " and ".join(filter(None, (", ".join(said[:-1]), *said[-1:]))) or "nothing"


def merge_lines(joined: Joined, *, other: str, done: bool) -> list[str]:
    """
    Say what a merge of two logs would bring, or has brought.

    Parameters
    ----------
    joined : log.merging.join.Joined
        What it brings.
    other : str
        Name of the other log.
    done : bool
        Whether it is merged.

    Returns
    -------
    lines : list of str
    """
    at = datetime.fromisoformat(joined.at) if joined.at else None
    since = f"since {at.day} {MONTHS[at.month - 1]} {at.year}" if at else "since the two logs were one"
    changed = {"added": joined.added, "corrected": joined.corrected, "deleted": joined.deleted}
    said = [f"{counted(numbers)} {word}" for word, numbers in changed.items() if any(numbers.values())]
    if said:
        lines = [f"{'Taken' if done else 'To take'} from {other} (its changes {since}): {', '.join(said)}."]
    elif joined.conflicts:
        lines = []
    else:
        lines = [f"{other} has nothing {since} that this log does not have."]
    if joined.conflicts:
        many = count(len(joined.conflicts), "record was", "records were")
        lines.append(f"{many} changed in both logs in different ways. Choose which to keep:")
    return [*lines, *(f"{note[:1].upper()}{note[1:]}." for note in joined.notes)]


def conflict_rows(conflict: Conflict, unit: str) -> list[dict[str, str]]:
    """
    Put the two versions of a record side by side, field by field where they differ.

    Parameters
    ----------
    conflict : log.merging.join.Conflict
        A record that both logs changed.
    unit : str
        The reader's unit.

    Returns
    -------
    rows : list of dict
        What it is about, as it was, in this log, in the other log.
    """
    versions = conflict.before, conflict.mine, conflict.theirs
    there = next(each for each in (conflict.mine, conflict.theirs, conflict.before) if each is not None)
    rows = []
    if conflict.mine is None or conflict.theirs is None:
        rows.append(_row("the record", *(_presence(each, conflict) for each in versions)))
    elif conflict.needed_by:
        rows.append(_row("needed as it was by", counted(conflict.needed_by), "", ""))
    known = [each for each in versions if each is not None]
    for name, spec in fields.specs(type(there)).items():
        values = [getattr(each, name) for each in known]
        if name not in _NOT_SHOWN and any(value != values[0] for value in values):
            said = ["" if each is None else _said(getattr(each, name), spec, unit) for each in versions]
            rows.append(_row(named(name), *said))
    for name in ("stations", "layout"):
        values = [getattr(each, name, None) for each in known]
        if any(value != values[0] for value in values):
            said = ["" if each is None else _inside(getattr(each, name), name, unit) for each in versions]
            rows.append(_row(named(name), *said))
    if not rows:
        rows.append(_row("how it was typed", *("" if each is None else _typed(each) for each in versions)))
    return rows


def _row(what: str, before: str, mine: str, theirs: str) -> dict[str, str]:
    return {"what": what, "before": before, "mine (this log)": mine, "theirs (the other log)": theirs}


def _presence(record: Record | None, conflict: Conflict) -> str:
    if record is None:
        return "not there" if conflict.before is None else "deleted"
    if record is conflict.before or not conflict.needed_by:
        return "there"
    return f"there, and {counted(conflict.needed_by)} changed"


def _said(value: Any, spec: fields.Spec, unit: str) -> str:
    if value is None or value == "":
        return "blank"
    if spec.kind == "length":
        return units.format_length(value, unit, style="fine")
    if spec.kind == "number":
        return f"{value:g}{'°' if spec.unit == 'degrees' else f' {spec.unit}'.rstrip()}"
    return str(value)


def _inside(value: Any, name: str, unit: str) -> str:
    if name == "layout":
        return "a drawing of its face" + _digest(value) if value else "no drawing of its face"
    told = []
    for each in value:
        width = getattr(each, "stroke_width", None)
        told.append(each.station if width is None else f"{each.station} {units.format_length(width, unit)}")
    return ", ".join(told)


def _digest(layout: str) -> str:
    return f", {len(json.loads(layout).get('stations', []))} stations"


def _typed(record: Record) -> str:
    texts = [*getattr(record, "typed", {}).values(), *getattr(record, "extra", {}).values()]
    return ", ".join(texts) or "blank"
