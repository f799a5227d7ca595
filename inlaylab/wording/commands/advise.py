"""What the command advise says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.units import format_length
from inlaylab.wording.chances import percent
from inlaylab.wording.lengths import fine

if TYPE_CHECKING:
    from inlaylab.fitting.advice.settings import Settings

ADVISE = "say which settings give the tightest glue lines, start depth first, and how sure that is"
ADVISE_DETAILS = "Fit the log first. The strokes of the artwork come from a table or from the drawing itself."
HEADS = ("settings", "path angle", "outline offset", "relief depth", "start depth", "worst line", "good")
KEPT, ALONE, TIGHTEST = "last floor gap kept", "start depth alone", "tightest"


def settings_table(settings: Settings, unit: str) -> list[str]:
    """
    Lay out what each way of setting the machine would give; the worst line is the expected one.

    Parameters
    ----------
    settings : fitting.advice.settings.Settings
        Of an answer.
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
        The first holds the headings.
    """
    ways = {KEPT: settings.kept, ALONE: settings.now}
    if settings.turned != settings.now:
        ways[TIGHTEST] = settings.turned
    lines = [f"{HEADS[0]:<21}" + "".join(f"{head:>15}" for head in HEADS[1:])]
    for way, row in ways.items():
        if row is not None:
            lengths = (format_length(x, unit) for x in (row.outline_offset, row.relief_depth, row.start_depth))
            cells = (f"{row.path_angle_deg:.1f}°", *lengths, fine(row.worst_glue_line, unit), percent(row.chance))
            lines.append(f"{way:<21}" + "".join(f"{cell:>15}" for cell in cells))
    return lines
