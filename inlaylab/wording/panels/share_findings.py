"""What notebook 7 says of the page that is shared, and of another maker's log."""

from __future__ import annotations

from collections.abc import Iterable

from inlaylab.wording.lengths import count

PAGE_NAME = "name of the page"
AS_PDF = "also as a PDF"
NO_BROWSER = "also as a PDF (needs an installed Chromium)"
AS_NOTEBOOK = "also as a notebook with its results"
ASKED = "What the page answers (blank: as for the newest cut)"
LEFT_OUT = "What to leave out"
WRITE = "Write the page"
WRITE_HINT = "about three seconds"
ANSWERS = "The answers"
PAGE = "The page"
TWO_MAKERS = "Two makers"
A_PAGE_NAME = "a plain file name that ends in .html"
OTHER = "the other log or page"
COMPARE = "Put both side by side"
COMPARE_HINT = "what each log knows"
MERGE = "Merge with the other log"
MERGE_HINT = "shows first what it brings"
LOOKED_AT = "What the other log brings is listed below; nothing is changed yet."
KEEP_MINE = "keep mine"
TAKE_THEIRS = "take theirs"
ALL_MINE = "Keep mine for all"
ALL_THEIRS = "Take theirs for all"
OF_BOTH = "of what was changed in both logs"
TAKE_CHANGES = "Take these changes into this log"
TAKE_CHANGES_HINT = "in one step; can be undone"
TAKE_BACK = "Take the merge back"
TAKE_BACK_HINT = "the log is then as it was before"
TAKEN_BACK = "The merge is taken back: the log is as it was before."
NOTHING_LOOKED_AT = "nothing to merge yet"
LOOK_FIRST = "first look at what the other log brings"
TAKE = "Take the page into this log"
TAKE_HINT = "all of its tables or nothing; can be undone"
A_PAGE = "a findings page, which ends in .html"
A_LOG = "a log; with a page, press “Take the page into this log”"
OTHER_KIND = "this needs another kind of file"
NEW_NAME = "name of the new log"
A_NEW_NAME = "a plain file name, as both.inlay"
A_FILE = "a file in this folder, or its whole path"
NO_FILE = "there is no such file"
PREFIX_HINT = "a word"
NEW_HINT = "a new name"
COMPARED = "Middle and 90% range of what each log knows; blank where a log's answers are not up to date"
LISTED = "Both logs are listed below."
ANOTHER = "another maker's log or page: compare, merge, or take it in"

OTHER_HINT = "friend.inlay or friend.html"
PREFIX = "before its names"
NEW_LOG = "new log, if needed"

NEVER_ONE = "these two logs never were one"


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


def leave_out(what: str) -> str:
    """Name what a box leaves out of the page when it is ticked."""
    return f"leave out {what}"


def still_to_choose(left: int) -> str:
    """Say of how many records a version is still to be chosen."""
    return f"still to choose: {left}"


def this_one(name: str) -> str:
    """Name the maker's own log beside another."""
    return f"this: {name}"


def other_one(name: str) -> str:
    """Name the other maker's log."""
    return f"other: {name}"
