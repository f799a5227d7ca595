"""What a panel says of the log that is open and of the answers that are being worked out."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

from inlaylab.services.find_log import SAMPLE
from inlaylab.wording.lengths import count, fine, length

MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]
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


def how_it_was_made(fit: Any) -> str:
    """
    Say whether answers were brought up to date or worked out from nothing, and why.

    Parameters
    ----------
    fit : Fit
        With ``updates`` and ``why_full``.
    """
    if fit.why_full:
        return f"Worked out from nothing, because {WHY_FULL[fit.why_full]}."
    return "Brought up to date." if fit.updates else "Worked out from nothing."


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


def no_groove_yet(bit: str | None) -> str:
    """
    Say what to do where a bit was not measured yet.

    Examples
    --------
    >>> no_groove_yet(None)
    'Choose a bit first, or add a new one: the last line of the list.'
    """
    if bit is None:
        return "Choose a bit first, or add a new one: the last line of the list."
    return (
        f"No groove of {bit} is in the log yet. Cut at least two straight grooves at different depths (three or more "
        "are better) and type each above: depth as programmed, width across the top."
    )


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
        "3. Notebook 3: write down what you cut and what you saw. Bit, woods, start depth and outcome are enough.",
        "4. Notebook 4: the start depth to use, and what to cut next.",
    ]


def missing_log(fault: Exception) -> str:
    """Say that a panel cannot open, and where to get what is missing."""
    return f"This panel needs a log and cannot open this one: {fault} Choose a log below, or begin a new one."


PICTURE_HOW = (
    "Scan the finished face at 600 dpi, or hold the phone straight above and fill the frame. Lay the coupon on a plain "
    "sheet of another colour, with some of the sheet showing all round. Tried on rendered pictures only, so check the "
    "first ones with a loupe."
)


def picture_proposal(one: Any, unit: str) -> str:
    """
    Say what a picture shows at a station.

    Parameters
    ----------
    one : StationReading
        What was read.
    unit : str
        The reader's unit.

    Returns
    -------
    said : str
        One line.
    """
    said = []
    if one.glue_line is not None and one.sd is not None:
        said.append(f"glue line {fine(one.glue_line, unit)}, give or take {fine(one.sd, unit)}")
    if one.fill is not None:
        said.append(one.fill)
    if one.wedge_stop is not None:
        said.append(f"filling stops at {length(one.wedge_stop, unit)}")
    if one.why:
        said.append(one.why if said else f"not read: {one.why}")
    return "; ".join(said)


def picture_agreement(found: Any, unit: str) -> str:
    """
    Say how well pictures and loupe agreed here, and how many more loupe readings are worth it.

    Parameters
    ----------
    found : Agreement
        From stations read both ways.
    unit : str
        The reader's unit.

    Returns
    -------
    said : str
        One or two sentences.
    """
    if not found.pairs:
        return (
            "No line here was read both ways yet. Please read two lines with the loupe too, one tight and one open: "
            "that shows how far pictures can be trusted in your shop."
        )
    way = "wider" if found.bias > 0 else "tighter"
    said = (
        f"On {count(found.pairs, 'line')} read both ways, pictures read {fine(abs(found.bias), unit)} {way} than the "
        f"loupe on average, give or take {fine(found.bias_sd, unit)}."
    )
    if found.more:
        return said + f" {count(found.more, 'more loupe reading')} would be worth it."
    return said + " More loupe readings would change little."
