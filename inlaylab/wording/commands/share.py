"""What the commands findings and merge say."""

from __future__ import annotations

from collections.abc import Sequence

from inlaylab.wording.lengths import count

FINDINGS = "write one page that shows what the log teaches and carries its tables; it opens anywhere"
FINDINGS_DETAILS = (
    "Fit the log first. Without a question the page answers for the newest cut's bit, pair and coupon. The page "
    "carries the log's tables: `inlaylab import LOG FILE.html` takes them."
)
FINDINGS_OPTIONS = {
    "--out": "the page to write",
    "--pdf": "print it too, by an installed Chromium",
    "--notebook": "keep the executed notebook too",
    "--leave-out": "what not to share; without days, dates say only the month",
}
MERGE = "take what another maker changed in a copy of this log: both sides' changes, in one step"
MERGE_DETAILS = (
    "Two logs that were one log once keep both sides' changes. A record that both changed in different ways is shown "
    "side by side and has to be chosen; until then nothing is written. What both added under one name is kept twice, "
    "the other log's with a prefix. Logs that never were one go into a new log (--out)."
)
MERGE_OPTIONS = {
    "other": "the other maker's log; it is only read",
    "--out": "make a new log of both and leave LOG as it is",
    "--prefix": "put before the other log's names that are taken here",
    "--mine": 'keep LOG\'s version of these, as "cut k1"',
    "--theirs": "take the other log's version of these",
    "--rest": "whose version of all records not named",
    "--look": "only say what would come and what has to be chosen",
    "--by": "who merges, for the log's history",
}
NAMED_TWICE, ONE_OF_THEM = "this record is named twice", "--mine or --theirs"
NEVER_ONE = "these two logs never were one, so their changes cannot be put together"
OUT_AND_PREFIX = "--out NEW --prefix WORD, which makes a new log with the records of both"


def wrote(files: Sequence[str], kilobytes: float) -> str:
    """Say which files hold the findings."""
    return f"Wrote {', '.join(files)}. The page ({kilobytes:.0f} kB) opens anywhere, without a network."


def holds_both(log: object) -> str:
    """Say that a log holds what both makers did."""
    return f"{log} holds both; undo takes the whole merge back."


def made(log: object) -> str:
    """Say that a new log was made."""
    return f"Made {log}."


def made_of_both(log: object, other: str, *, cuts: int, bits: int) -> str:
    """Say what came into a new log from the other one."""
    return f"Made {log} of both: {count(cuts, 'cut')} and {count(bits, 'bit')} came from {other}."
