"""What notebook 7 says of the page that is shared, and of another maker's log."""

from __future__ import annotations

from collections.abc import Iterable

from inlaylab.wording.lengths import count


def page_written(names: Iterable[str]) -> str:
    """Say what was written."""
    return f"Written: {', '.join(names)}, beside the log."


def progress(done: float, left: float | None, doing: str) -> str:
    """Say how far a page is, and how long it still takes."""
    return f"{100 * done:.0f}%, {doing}, about {count(round(left or 0), 'second')} left"


def merged(new: str, *, cuts: int, bits: int, notes: Iterable[str] = ()) -> str:
    """Say what came into a new log, and what to do with it."""
    said = f"{new} now holds both logs: {count(cuts, 'cut')} and {count(bits, 'bit')} came from the other one."
    return " ".join([said, *notes, "Work out its answers as for any log."])
