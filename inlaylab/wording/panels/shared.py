"""What every panel says: which log, undo, and that something did not work."""

from __future__ import annotations

from collections.abc import Iterable

NEW = "begin a new log"
MINE = "open a log of mine"
SAMPLE_SHOP = "the sample shop (invented)"
ELSEWHERE = "or a file elsewhere"
NEW_NAME = "name of the new log"
BEGIN_FIRST = "begin a new log first"
ONE_OF_LIST = "one from the list, or the path of a file"
CHOOSE = "choose the log to open"
ELSEWHERE_HINT = "blank, or as C:/shop/oak.inlay"
NONE_YET = "There is no log of yours in this folder yet: begin a new one."
WORK_ON = "Work on this log"
WORK_ON_HINT = "every notebook in this folder then opens it"
BEGIN = "Begin this log"

ASLEEP = "This panel is asleep. To wake it, choose Run All Cells in the Run menu (or press ⏩)."
ANOTHER_LOG = "work on another log"

WORK_OUT = "Work out the answers"
WORK_OUT_HINT = "you can go on working meanwhile"
STOP = "Stop working it out"
EARLY = ". A first answer is below; it is being refined."

UNDO_HINT = "takes back only what was done in this panel since it was opened"
NOTHING_BACK = "There was nothing to take back."
CLEAR_HINT = "forgets what was typed and not saved"

THROW_HINT = "empties the form; the log is not changed"

BARE = "numbers without a unit are in"

THROW = "Throw it away"
ADD_NEW = "add new …"
NOTHING = "choose …"
ABOVE, AT_MOST = "above", "at most"
AT_LEAST = "at least"
TIP_FLAT = "tip flat, by loupe"
LAND = "land between"
WEDGE = "wedge, wide end"
CLEAR = "Empty the form"
TAKEN_BACK = "Taken back"
DONE_AGAIN = "Done again"
AGAIN = "Try again"
ON_LOG = "work on"
MY_LOG = "my log"
NAME_HINT = "as my shop"
OTHER_LOG, NO_LINE = "the line in this notebook names another log", "log = None in that line"
READ_ONLY = "Its file is read-only: you can look at everything, and nothing can be saved."
LIMITS = "Published limits, by country"
STOPPED, DONE, NEEDED = "Stopped.", "Done.", "needed"

OF_LIST = "one of the list"
A_DATE = "year-month-day, as 2026-03-12"
ONE_THREAD = "one thread keeps the order of what is typed and pressed"


def works_on(log: str, *, new: bool) -> str:
    """Say which log the notebooks of a folder work on from now on."""
    return f"{log} is {'ready' if new else 'open'}. Every notebook in this folder works on it now."


def cannot_open(why: object) -> str:
    """Say that a panel cannot open."""
    return f"This panel cannot open: {why}"


def fault(error: Exception) -> str:
    """Say that something went wrong that should not, and that nothing was changed by it."""
    return f"This did not work, and nothing was changed: {type(error).__name__}: {error}"


def number_with_unit(value: float, unit: str) -> str:
    """Say what a number without a unit was understood as."""
    return f"= {value:g}{'' if unit in '°%' else ' '}{unit}"


def still_needed(names: Iterable[str]) -> str:
    """Say which fields are still blank."""
    return f"Still needed: {', '.join(names)}."


def please_fix(names: Iterable[str]) -> str:
    """Say which fields hold what cannot be used."""
    return f"Please fix: {', '.join(names)}."


def working(doing: str) -> str:
    """Say what is being done."""
    return f"Working: {doing}"


def none_yet(caption: str) -> str:
    """Say that a table has no row yet."""
    return f"{caption}: none yet."


def keep(what: str) -> str:
    """Name the button that puts a new bit, pair or coupon into the log."""
    return f"Keep this {what}"


def no_new(what: str) -> str:
    """Name the button that closes the form of a new bit, pair or coupon."""
    return f"No new {what}"


def save(what: str) -> str:
    """Name the button that saves what was typed."""
    return f"Save this {what}"


def undo(what: str) -> str:
    """Name the button that takes something back, and what that is."""
    return f"Undo: {what}" if what else "Undo"


def redo(what: str) -> str:
    """Name the button that does something again, and what that is."""
    return f"Redo: {what}" if what else "Redo"


def too_small(field: str) -> str:
    """Say that a length is too small."""
    return f"{field} is too small"


def too_large(field: str) -> str:
    """Say that a length is too large."""
    return f"{field} is too large"
