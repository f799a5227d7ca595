"""What a panel says of the log that is open and of the answers that are being worked out."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from inlaylab.services.find_log import SAMPLE
from inlaylab.wording.lengths import count

if TYPE_CHECKING:
    from inlaylab.fitting.fit import Fit

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
#: What each state of a fit means to the maker.
STATES = {
    "empty": "There are no test cuts in this log yet. Log the first one in notebook 3; the answers then follow by "
    "themselves.",
    "none": "The answers from this log have not been worked out yet. That takes about a minute the first time.",
    "stale": "The log has changed since these answers were worked out.",
    "fresh": "The answers are up to date with the log.",
    "unsettled": "The cuts in this log contradict each other so much that no advice is taken from them. Look for a "
    "typing mistake among the readings.",
    "running": "Working out the answers",
    "stopped": "Stopped. The log is safe; press the button when you want the new answers.",
    "failed": "The answers could not be worked out.",
}


#: Below a question whose answer is no longer to it.
CHANGED = "The question has changed since this answer: ask again."
COMING = "The log has changed since this answer; the new one is being worked out and appears here by itself."


WHY_FULL = {
    "no good fit before": "there were no answers before to start from",
    "much has changed": "a large part of the log has changed",
    "did not settle": "the change was too large to carry the old answers over",
}
"""Why old answers could not be brought up to date."""


def how_it_was_made(fit: Fit) -> str:
    """
    Say whether answers were brought up to date or worked out from nothing, and why.

    Parameters
    ----------
    fit : Fit
        With ``updates`` and ``why_full``.
    """
    if fit.why_full:
        return f"Worked out from scratch, because {WHY_FULL[fit.why_full]}."
    return "Brought up to date." if fit.updates else "Worked out from scratch."


def log_line(path: Path, cuts: int) -> str:
    """
    Say which log is open.

    Examples
    --------
    >>> log_line(Path("sample_shop.inlay"), 26)
    'Log: the sample shop (invented), 26 cuts.'
    >>> log_line(Path("oak.inlay"), 0)
    'Log: oak.inlay, no cuts yet.'
    """
    name = "the sample shop (invented)" if path.name == SAMPLE else path.name
    return f"Log: {name}, {count(cuts, 'cut') if cuts else 'no cuts yet'}."


def draft_is_back(at: str) -> str:
    """
    Say that what was typed before is back in the form.

    Examples
    --------
    >>> draft_is_back("2026-03-05T14:02+01:00")
    'What you had typed on 5 March at 14:02 is back in the form.'
    >>> draft_is_back("")
    'What you had typed is back in the form.'
    """
    try:
        typed = datetime.fromisoformat(at)
    except ValueError:
        return "What you had typed is back in the form."
    return f"What you had typed on {typed.day} {MONTHS[typed.month - 1]} at {typed:%H:%M} is back in the form."


def no_answers_yet(cuts: int) -> str:
    """
    Say why there is no answer.

    Parameters
    ----------
    cuts : int
        How many the log holds.
    """
    if not cuts:
        return "No answer yet: this log has no test cut. Log one in notebook 3, and the answers follow by themselves."
    return "The answers are not worked out yet; they appear here by themselves."


def first_steps(*, bits: int, coupons: int) -> list[str]:
    """
    Say how to begin with a log that has no cut yet.

    Parameters
    ----------
    bits, coupons : int
        How many the log knows.
    """
    return [
        "Your log has no test cut yet. The way to the first answer:",
        "1. Notebook 1: add your V-bit; measure it from a few grooves if you like."
        if not bits
        else "1. Your bit is in the log. Notebook 1 measures it from a few grooves, if you like.",
        "2. Notebook 2: draw a coupon for it, and add the coupon to the log."
        if not coupons
        else "2. Your coupon is in the log: cut it, glue it, level it.",
        "3. Notebook 3: write down what you cut and what you saw. Bit, woods, depths and outcome are enough.",
        "4. Notebook 4: the start depth to use, and what to cut next.",
    ]


def missing_log(fault: Exception) -> str:
    """Say that a panel cannot open, and where to get what is missing."""
    return f"This panel needs a log and cannot open this one: {fault} Choose a log below, or begin a new one."
