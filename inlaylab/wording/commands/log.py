"""What the commands import, export and check say."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from inlaylab.wording.answers.suspects import suspect_line

if TYPE_CHECKING:
    from inlaylab.fitting.review.suspects import Suspect
    from inlaylab.log.health import Problem

IMPORT = "add a folder of tables, or a findings page's, to a log, made if it is not there: all or nothing"
IMPORT_DETAILS = (
    "What the log holds already is passed over; a row that says something else is refused. A page's names that the log "
    "has given to other things get a prefix; an edited page is refused."
)
IMPORT_OPTIONS = {
    "log": "your shop's log; made if it is not there",
    "folder": "folder of tables (bits.csv, cuts.csv and so on), or a findings page",
    "--prefix": "put before names of a page that the log has given to other things",
    "--by": "who brings them, for the log's history",
}
EXPORT = "write a log as a folder of tables; importing them again gives an equal log"
EXPORT_OPTIONS = {"folder": "a new or empty folder"}
CHECK = "say whether a log's file is sound, what contradicts what, and which readings look like mistakes"
CHECK_DETAILS = "Readings that look like mistakes are named after `inlaylab fit`; nothing is corrected by itself."
CHECK_OPTIONS = {
    "--copy": "also put a consistent copy here, even while the log is in use",
    "--recover": "read what a damaged log still holds into a new one",
}
HOW_TO_RECOVER = "Read what it still holds with --recover NEW; the damaged file is not touched."
NO_CONTRADICTION, CONTRADICTIONS = "Nothing contradicts anything else.", "These contradict something else:"
MISTAKES, NO_MISTAKES = "These are probably mistakes; correct them in notebook 3:", "No reading looks like a mistake."


def sound(name: str, *, healthy: bool) -> str:
    """Say whether a log's file is sound."""
    return f"The file {name} is {'sound' if healthy else 'damaged'}."


def check_lines(found: Sequence[Problem], suspects: Iterable[Suspect] | None, unit: str, *, path: Path) -> list[str]:
    """
    Say what of a log contradicts what, and which readings look like mistakes.

    Parameters
    ----------
    found : sequence of log.health.Problem
        The contradictions.
    suspects : iterable of fitting.review.suspects.Suspect or None
        None where the log has no fit.
    unit : str
        The reader's unit.
    path : path
        The log.

    Returns
    -------
    lines : list of str
    """
    lines = [CONTRADICTIONS if found else NO_CONTRADICTION]
    lines += [f"  {problem.where}: {problem.what}" for problem in found]
    if suspects is None:
        return [*lines, f"Run `inlaylab fit {path}` to see which readings look like mistakes."]
    every = list(suspects)
    return [*lines, MISTAKES if every else NO_MISTAKES, *(f"  {suspect_line(each, unit)}." for each in every)]


def copied(target: object) -> str:
    """Say where a copy of the log is."""
    return f"Copied to {target}."


def recovered_lines(target: object, kept: Mapping[str, int], missing: Iterable[str]) -> list[str]:
    """Say what was read from a damaged log, and what was not."""
    held = ", ".join(f"{number} {name.removesuffix('s') if number == 1 else name}" for name, number in kept.items())
    return [f"Recovered into {target}: {held}.", *(f"  missing: {what}" for what in missing)]
