"""How an answer has moved, and which cut had to do with it."""

from __future__ import annotations

from inlaylab.services.what_moved import Moved
from inlaylab.wording.lengths import length

SURPRISES = {
    "higher": "cut {cut} sat higher than forecast",
    "lower": "cut {cut} sat lower than forecast",
    "wider": "the glue lines of cut {cut} were wider than forecast",
    "tighter": "the glue lines of cut {cut} were tighter than forecast",
    "as expected": "cut {cut} came out as forecast",
    "not compared": "cut {cut} was added or corrected",
    "gone": "cut {cut} was taken out of the log",
}


def moved_line(moved: Moved, unit: str) -> str:
    """
    Say what moved and why.

    Parameters
    ----------
    moved : Moved
        The answer and the one before.
    unit : str
        The maker's unit.

    Examples
    --------
    >>> moved_line(Moved(start_depth=3.42, before=3.36, cut="T27", surprise="lower"), "mm")
    'Start depth 3.42 mm, was 3.36 mm: cut T27 sat lower than forecast.'
    >>> moved_line(Moved(start_depth=3.42, before=3.42), "mm")
    'Start depth still 3.42 mm: the log has changed.'
    """
    now, before = length(moved.start_depth, unit), length(moved.before, unit)
    told = f"still {now}" if now == before else f"{now}, was {before}"
    name = moved.cut.removeprefix("cut ")
    why = SURPRISES[moved.surprise].format(cut=name) if moved.cut else "the log has changed"
    return f"Start depth {told}: {why}."
