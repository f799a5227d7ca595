"""A log opened together with its fit: one way for panels and commands, read once."""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from inlaylab.errors import FitMissing

if TYPE_CHECKING:
    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.fit import Fit


@dataclass(frozen=True, kw_only=True, eq=False)
class OpenLog:
    """
    A log as one moment left it, and the fit beside it.

    Parameters
    ----------
    path : Path
        The log.
    shop : Shop
        Every record, lengths in mm.
    fingerprint : str
        Of all that matters to a fit.
    last : Fit or None
        The stored fit, of these records or of earlier ones.
    fault : FitMissing or None
        Why there is no stored fit.
    mark : tuple of int
        When the stored fit was written, and its size; empty where there is none.
    """

    path: Path
    shop: Shop
    fingerprint: str
    last: Fit | None
    fault: FitMissing | None = None
    mark: tuple[int, ...] = ()

    @property
    def state(self) -> str:
        """``none``, ``stale``, ``unsettled`` or ``fresh``: what the stored fit is to these records."""
        if self.last is None:
            return "none"
        if self.last.fingerprint != self.fingerprint:
            return "stale"
        return "fresh" if self.last.converged else "unsettled"

    @property
    def fit(self) -> Fit | None:
        """The fit of exactly these records, if it settled; else None."""
        return self.last if self.state == "fresh" else None

    def fitted(self) -> Fit:
        """
        Give the fit of exactly these records, and never fit in silence.

        Raises
        ------
        FitMissing
            Where the log was never fitted or has changed since.
        NotConverged
            Where the stored fit cannot be trusted.
        """
        if self.last is None:
            raise self.fault or FitMissing("no fit is stored beside the log", where=str(self.path))
        if self.state == "stale":
            raise FitMissing(
                "the log has changed since it was fitted",
                where=str(self.path),
                remedy=f"run `inlaylab fit {self.path}` first",
            )
        self.last.check()
        return self.last


def open_log(path: str | Path, *, known: OpenLog | None = None) -> OpenLog:
    """
    Read a log, and the fit beside it.

    Parameters
    ----------
    path : path
        The log; it must exist.
    known : OpenLog, optional
        What was read before: a stored fit that was not written since is not read again.

    Returns
    -------
    opened : OpenLog
        A stored fit that cannot be read counts as none, and `fault` says why.

    Raises
    ------
    LogError
        If there is no such log, it is none, damaged, or newer than this inlaylab.
    """
    from inlaylab.fitting import stored_fit

    path = Path(path)
    shop, fingerprint = open_shop(path)
    mark = mark_of(stored_fit.path_of(path))
    if known is not None and known.mark == mark and known.path == path:
        return replace(known, shop=shop, fingerprint=fingerprint)
    try:
        last, fault = stored_fit.read(path), None
    except FitMissing as missing:
        last, fault = None, missing
    return OpenLog(path=path, shop=shop, fingerprint=fingerprint, last=last, fault=fault, mark=mark)


def mark_of(path: Path) -> tuple[int, ...]:
    """Give the time and the size of a file, by which a later change of it is seen; empty where there is none."""
    try:
        found = path.stat()
    except OSError:
        return ()
    return (found.st_mtime_ns, found.st_size)


def open_shop(path: str | Path) -> tuple[Shop, str]:
    """
    Read a log alone.

    Parameters
    ----------
    path : path
        The log; it must exist.

    Returns
    -------
    shop : bench.shop.Shop
        Every record, lengths in mm.
    fingerprint : str
        Fingerprint of all that matters to a fit.
    """
    from inlaylab.log.store import Log

    with Log.open(path) as log:
        shop = log.shop()
    return shop, shop.fingerprint()


def open_fitted(path: str | Path) -> tuple[Shop, Fit]:
    """
    Read a log and the fit that belongs to it, and never fit in silence.

    Parameters
    ----------
    path : path
        The log.

    Returns
    -------
    shop : bench.shop.Shop
        Every record, lengths in mm.
    fit : fitting.fit.Fit
        The stored fit of exactly these records.

    Raises
    ------
    FitMissing
        Where the log was never fitted or has changed since.
    NotConverged
        Where the stored fit cannot be trusted.
    """
    opened = open_log(path)
    return opened.shop, opened.fitted()


def last_fit(path: str | Path) -> Fit | None:
    """Read the fit stored beside a log, of this log or of an earlier state of it; nothing where there is none."""
    from inlaylab.fitting import stored_fit

    try:
        return stored_fit.read(path)
    except FitMissing:
        return None


class Progress:
    """Tells on standard error how far a long computation is: one living line on a screen, few lines in a file."""

    def __init__(self, stream: TextIO | None = None):
        self.stream = stream or sys.stderr
        self.living = self.stream.isatty()
        self.said = time.monotonic()
        self.width = 0

    def __call__(self, done_share: float, seconds_left: float | None, text: str = "") -> None:
        """Say it: share done from 0 to 1, seconds left if known, what is being done."""
        now = time.monotonic()
        if now - self.said < (0.2 if self.living else 10.0):
            return
        self.said = now
        left = f", about {seconds_left:.0f} s left" if seconds_left else ""
        line = f"{text or 'working'}: {done_share:.0%}{left}"
        if self.living:
            self.stream.write("\r" + line.ljust(self.width))
            self.width = len(line)
        else:
            self.stream.write(line + "\n")
        self.stream.flush()

    def __enter__(self) -> Progress:
        return self

    def __exit__(self, *fault: object) -> None:
        """End the living line."""
        if self.living and self.width:
            self.stream.write("\r" + " " * self.width + "\r")
            self.stream.flush()
