"""An answer in words, the same on every screen and page."""

from __future__ import annotations

from typing import Any

from inlaylab import units
from inlaylab.wording.contacts import HELD_BY


def told(length: float | None, unit: str) -> str:
    """
    Tell a length in the maker's unit, with millimetres or inches beside it.

    Examples
    --------
    >>> told(3.81, "in"), told(3.81, "mm"), told(None, "mm")
    ('0.150 in (3.81 mm)', '3.81 mm (0.150 in)', 'not known')
    """
    if length is None:
        return "not known"
    other = "mm" if unit != "mm" else "in"
    return f"{units.format_length(length, unit)} ({units.format_length(length, other)})"


def answer_lines(advice: Any, unit: str, *, earlier: Any = None) -> list[str]:
    """
    Tell an answer line by line; the first is the answer itself.

    Parameters
    ----------
    advice : fitting.advice.start_depth.Advice
        The answer.
    unit : str
        The maker's unit.
    earlier : fitting.advice.start_depth.Advice, optional
        The answer to the same question before.

    Returns
    -------
    lines : list of str
    """
    asked = advice.question
    if advice.start_depth is None:
        lines = [f"No start depth serves {asked.bit} on {asked.pair}", f"Best chance: {advice.chance:.0%}."]
    else:
        lines = [
            f"Start depth {told(advice.start_depth, unit)}",
            f"How sure: {advice.chance:.0%} that every glue line is within {told(asked.within, unit)}; "
            f"{asked.chance:.0%} was asked for.",
            f"For what the log does not know yet, the right depth may lie between {told(advice.low, unit)} and "
            f"{told(advice.high, unit)} (nine chances in ten).",
            f"Floor gap needed: {told(advice.floor_gap_needed, unit)}; it holds for any pocket depth.",
        ]
    lines.append(f"Why: {advice.why}")
    if advice.held_up_by:
        lines.append(f"What would hold the plug up: {advice.held_up_by}. {HELD_BY[advice.held_up_by].capitalize()}.")
    if earlier is not None:
        lines.append(
            f"Before the log changed the answer was {told(earlier.start_depth, unit)}, with {earlier.chance:.0%}."
        )
    lines.append(_turned(advice.settings["now"], advice.settings["turned"], unit))
    return lines + [f"Caution: {warning}" for warning in advice.warnings]


def _turned(now: Any, turned: Any, unit: str) -> str:
    if turned == now:
        return "Turning path angle or outline offset gains less than you could see."
    return (
        f"Turned settings: path angle {turned.path_angle_deg:.1f}°, outline offset "
        f"{told(turned.outline_offset, unit)}, start depth {told(turned.start_depth, unit)}: expected worst glue line "
        f"{units.format_length(turned.worst_glue_line, unit)} instead of "
        f"{units.format_length(now.worst_glue_line, unit)}."
    )
