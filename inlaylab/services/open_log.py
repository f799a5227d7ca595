"""The two things most commands start from: the log as a shop of records, and the fit stored beside it."""

import sys
import time
from pathlib import Path
from typing import Any

from inlaylab.errors import FitMissing


def open_shop(path: Path) -> tuple[Any, str]:
    """
    Read a log.

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


def open_fitted(path: Path) -> tuple[Any, Any]:
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
    fit : fitting.stored_fit.Fit
        The stored fit of exactly these records.

    Raises
    ------
    FitMissing
        Where the log was never fitted or has changed since.
    NotConverged
        Where the stored fit cannot be trusted.
    """
    from inlaylab.fitting.stored_fit import load

    shop, fingerprint = open_shop(path)
    fit = load(path, fingerprint)
    fit.check()
    return shop, fit


def last_fit(path: Path) -> Any | None:
    """Read the fit stored beside a log, of this log or of an earlier state of it; nothing where there is none."""
    from inlaylab.fitting.stored_fit import read

    try:
        return read(path)
    except FitMissing:
        return None


class Progress:
    """Tells on standard error how far a long computation is: one living line on a screen, few lines in a file."""

    def __init__(self, stream: Any = None):
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

    def __enter__(self) -> "Progress":
        return self

    def __exit__(self, *fault: object) -> None:
        """End the living line."""
        if self.living and self.width:
            self.stream.write("\r" + " " * self.width + "\r")
            self.stream.flush()
