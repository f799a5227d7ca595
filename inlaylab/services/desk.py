"""What the kit keeps beside a log and may be thrown away at any time: drafts, and the state of the running update."""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from inlaylab.units import UNITS


def desk_of(log: str | Path) -> Path:
    """
    Give the folder that belongs to a log.

    Parameters
    ----------
    log : path
        The log.

    Returns
    -------
    folder : Path
        Beside the log; it may not be there yet.
    """
    log = Path(log)
    return log.with_name(f".{log.name}.desk")


def read_note(path: Path) -> dict[str, Any]:
    """
    Read a small record; empty where there is none or where it can not be read.

    Parameters
    ----------
    path : Path
        Its file.
    """
    try:
        with path.open(encoding="utf-8") as file:
            found = json.loads(file.read(2_000_000))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def write_note(path: Path, record: Mapping[str, object]) -> bool:
    """
    Write a small record, whole or not at all; tell whether it could be written.

    Parameters
    ----------
    path : Path
        Its file; the folder is made where it is missing.
    record : dict
        Plain values.
    """
    fresh = path.with_name(f"{path.name}.{os.getpid()}.new")
    try:
        path.parent.mkdir(exist_ok=True)
        fresh.write_text(json.dumps(record, ensure_ascii=False), encoding="utf-8")
        fresh.replace(path)
    except OSError:
        return False
    finally:
        _remove(fresh)
    return True


def remove_note(path: Path) -> None:
    """Remove a small record, if it is there."""
    _remove(path)


def reader_unit(log: str | Path, own: str) -> str:
    """
    Give the unit that a maker last chose to read this log in.

    Parameters
    ----------
    log : path
        The log.
    own : str
        The log's own, where none was chosen.
    """
    chosen = read_note(_unit_note(log)).get("unit")
    return str(chosen) if chosen in UNITS else own


def keep_unit(log: str | Path, unit: str) -> None:
    """Keep the unit that a maker chose, for every panel that is opened on this log from now on."""
    write_note(_unit_note(log), {"unit": unit})


def _unit_note(log: str | Path) -> Path:
    return desk_of(log) / "unit.json"


def _remove(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink(missing_ok=True)
