"""The two things most commands start from: the log as a shop of records, and the fit stored beside it."""

import sys
import time
from pathlib import Path
from typing import Any

from inlaylab.errors import FitMissing, NotConverged


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
        Of all that matters to a fit.
    """
    from inlaylab.log.store import Log

    with Log.open(path) as log:
        return log.shop(), log.fingerprint()


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
    require_converged(fit)
    return shop, fit


def stored_fit(path: Path, fingerprint: str) -> Any | None:
    """Load the fit stored beside a log, or nothing where there is none for this fingerprint."""
    from inlaylab.fitting.stored_fit import load

    try:
        return load(path, fingerprint)
    except FitMissing:
        return None


def require_converged(fit: Any) -> None:
    """Refuse to go on from a fit whose chains do not agree."""
    if not fit.converged:
        raise NotConverged(
            f"the stored fit has not settled (worst R-hat {fit.worst_r_hat:.3f}, smallest effective sample "
            f"{fit.smallest_ess:.0f}); fit again with another --seed and --force, and look at `inlaylab check` for "
            "readings that contradict each other",
            diagnostics={"worst_r_hat": fit.worst_r_hat, "smallest_ess": fit.smallest_ess},
        )


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

    def close(self) -> None:
        """End the living line."""
        if self.living and self.width:
            self.stream.write("\r" + " " * self.width + "\r")
            self.stream.flush()
