"""
A fit as a thing of its own: made from a shop, kept beside its log, looked up again.

The file is NumPy's ``.npz`` without pickle: the draws, and one JSON text that says what they are.
It carries the fingerprint of the log it was made from; a log that has changed since wants a new fit. It carries the
starting beliefs, too: draws are kept as latents, which only mean something with the beliefs they were drawn with.
"""

import json
import os
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import numpy as np

from inlaylab.errors import FitMissing
from inlaylab.fitting.fit import Carried, Fit
from inlaylab.fitting.kernel.packing import Packed
from inlaylab.fitting.model.cut_arrays import Names
from inlaylab.fitting.model.priors import KIT, KNEE, TAIL, Beliefs
from inlaylab.fitting.sampling.diagnostics import Diagnostics

FORMAT = 4
LARGEST = 400_000_000
"""A stored fit over this size is not opened. [bytes]"""


def path_of(log_path: str | os.PathLike[str]) -> Path:
    """
    Where the fit of a log is kept.

    Parameters
    ----------
    log_path : path
        The log's file.

    Returns
    -------
    path : Path

    Examples
    --------
    >>> path_of("shop.db").name
    'shop.db.fit.npz'
    """
    log_path = Path(log_path)
    return log_path.with_name(log_path.name + ".fit.npz")


def save(fit: Fit, log_path: str | os.PathLike[str]) -> Path:
    """
    Keep a fit beside its log; a crash leaves the old one or the new one, never half of either.

    Parameters
    ----------
    fit : Fit
        The fit.
    log_path : path
        The log's file.

    Returns
    -------
    path : Path
        Where it went.
    """
    path = path_of(log_path)
    record = {
        "format": FORMAT,
        "beliefs": fit.beliefs.record(),
        "tail": [KNEE, TAIL],
        "names": asdict(fit.names),
        "seed": fit.seed,
        "cuts": fit.cuts,
        "readings": fit.readings,
        "seconds": fit.seconds,
        "diagnostics": asdict(fit.diagnostics),
        "fingerprint": fit.fingerprint,
        "versions": fit.versions,
        "updates": fit.updates,
        "why_full": fit.why_full,
    }
    fresh = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        with fresh.open("wb") as file:
            np.savez(file, **_arrays(fit), record=np.array(json.dumps(record)))
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(path)
    finally:
        fresh.unlink(missing_ok=True)
    return path


def load(log_path: str | os.PathLike[str], fingerprint: str) -> Fit:
    """
    Look up the fit of a log.

    Parameters
    ----------
    log_path : path
        The log's file.
    fingerprint : str
        Fingerprint of the log as it is now.

    Returns
    -------
    fit : Fit

    Raises
    ------
    FitMissing
        Where there is none, where the log has changed since, or where the file is not a stored fit.

    Examples
    --------
    >>> load("no_such_shop.db", "")  # doctest: +IGNORE_EXCEPTION_DETAIL
    Traceback (most recent call last):
    inlaylab.errors.FitMissing: no fit is stored ...
    """
    fit = read(log_path)
    if fit.fingerprint != fingerprint:
        raise FitMissing(
            "the log has changed since it was fitted",
            where=str(log_path),
            remedy=f"run `inlaylab fit {log_path}` first",
        )
    return fit


def read(log_path: str | os.PathLike[str]) -> Fit:
    """
    Read the fit that is stored beside a log, whether or not the log has changed since.

    Parameters
    ----------
    log_path : path
        The log's file.

    Returns
    -------
    fit : Fit

    Raises
    ------
    FitMissing
        Where there is none, or where the file is not a stored fit.

    Examples
    --------
    >>> read("no_such_shop.db")  # doctest: +IGNORE_EXCEPTION_DETAIL
    Traceback (most recent call last):
    inlaylab.errors.FitMissing: no fit is stored ...
    """
    path, again = path_of(log_path), f"run `inlaylab fit {log_path}`"
    if not path.is_file():
        raise FitMissing("no fit is stored beside the log", where=str(log_path), allowed=f"{again} first")
    try:
        if path.stat().st_size > LARGEST:
            raise ValueError("too large")
        with path.open("rb") as file, np.load(file, allow_pickle=False) as stored:
            draws, angles = stored["draws"], stored["nominal_angles"]
            record = json.loads(str(stored["record"]))
            carried = _carried(stored)
        if record["format"] != FORMAT:
            raise ValueError("another format")
        beliefs = Beliefs.from_record(record["beliefs"])
        stale = beliefs.basis == KIT.basis and beliefs.figures() != KIT.figures()
        if stale or record["tail"] != [KNEE, TAIL]:
            raise ValueError("made with other starting beliefs")
        return replace(_rebuilt(draws, angles, record, beliefs), carried=carried)
    except (OSError, ValueError, KeyError, TypeError, EOFError, RecursionError, _bad_archive()) as fault:
        raise FitMissing("the stored fit can not be read", value=str(fault), where=str(path), allowed=again) from None


def _arrays(fit: Fit) -> dict[str, Any]:
    own = {"draws": fit.draws, "nominal_angles": fit.nominal_angles}
    if fit.carried is None:
        return own
    packed = {f"packed_{name}": part for name, part in fit.carried.packed._asdict().items()}
    return own | packed | {"step_size": np.array(fit.carried.step_size)}


def _carried(stored: "np.lib.npyio.NpzFile") -> Carried | None:
    if "step_size" not in stored:
        return None
    whole = {"sizes", "cut_at", "read_at", "late_at"}
    parts = {name: stored[f"packed_{name}"] for name in Packed._fields}
    if any(part.dtype != (np.int64 if name in whole else float) for name, part in parts.items()):
        raise ValueError("what it hands on is of another form")
    return Carried(packed=Packed(**parts), step_size=float(stored["step_size"]))


def _bad_archive() -> type[Exception]:
    from zipfile import BadZipFile

    return BadZipFile


def _rebuilt(draws: np.ndarray, angles: np.ndarray, record: dict[str, Any], beliefs: Beliefs) -> Fit:
    lists = record["names"]
    setups = tuple((str(a), str(b)) for a, b in lists["setups"])
    plain = {key: tuple(map(str, lists[key])) for key in ("bits", "pairs", "species", "cuts")}
    names = Names(**plain, setups=setups)
    sound = draws.ndim == 3 and draws.dtype == float and draws.shape[-1] == names.layout().size
    if not sound or angles.shape != (len(names.bits),) or not np.isfinite(draws).all():
        raise ValueError("draws of another shape")
    keys = ("seed", "cuts", "readings", "seconds", "fingerprint", "versions")
    return Fit(
        names=names,
        nominal_angles=angles,
        draws=draws,
        diagnostics=Diagnostics(**record["diagnostics"]),
        beliefs=beliefs,
        **{key: record[key] for key in keys},
        updates=record.get("updates", 0),
        why_full=record.get("why_full", ""),
    )
