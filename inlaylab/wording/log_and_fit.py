"""What a panel says of the log that is open and of the answers that are being worked out."""

from __future__ import annotations

from pathlib import Path

from inlaylab.services.find_log import SAMPLE

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


def count(number: int, one: str, many: str = "") -> str:
    """
    Say how many there are, singular and plural right.

    Examples
    --------
    >>> count(1, "cut"), count(0, "cut"), count(2, "species pair")
    ('1 cut', 'no cuts', '2 species pairs')
    """
    word = one if number == 1 else many or f"{one}s"
    return f"{number or 'no'} {word}"


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
    return f"Log: {name}, {count(cuts, 'cut')}{'' if cuts else ' yet'}."


def missing_log(fault: Exception) -> str:
    """Say that a panel cannot open, and where to get what is missing."""
    return f"This panel needs a log and cannot open this one: {fault} Choose a log below, or begin a new one."
