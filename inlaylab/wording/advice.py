"""An answer in words, the same on every screen and page."""

from __future__ import annotations

from typing import Any

from inlaylab.wording.contacts import HELD_BY
from inlaylab.wording.lengths import both, length, percent


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
        lines = [
            f"No start depth meets your target with {asked.bit} on {asked.pair}",
            f"The best chance is {percent(advice.chance)}.",
        ]
    else:
        lines = [
            f"Start depth {both(advice.start_depth, unit)}",
            f"How sure: {percent(advice.chance)} that every glue line is within {both(asked.within, unit)}; you asked "
            f"for {percent(asked.chance)}.",
            f"Likely range of the right depth: {both(advice.low, unit)} to {both(advice.high, unit)} (90 % range). "
            "More cuts narrow it.",
            f"Floor gap needed: {both(advice.floor_gap_needed, unit)}, whatever the pocket depth.",
        ]
    lines.append(f"Why: {advice.why}")
    if advice.held_up_by:
        lines.append(f"What would hold the plug up: {advice.held_up_by}. {HELD_BY[advice.held_up_by].capitalize()}.")
    if earlier is not None:
        lines.append(
            f"Before the log changed the answer was {both(earlier.start_depth, unit)}, at {percent(earlier.chance)}."
        )
    lines.append(_turned(advice.settings["now"], advice.settings["turned"], unit))
    return lines + [f"Caution: {warning}" for warning in advice.warnings]


def _turned(now: Any, turned: Any, unit: str) -> str:
    if turned == now:
        return "Changing the path angle or the outline offset gains less than you could see."
    return (
        f"Better settings: path angle {turned.path_angle_deg:.1f}°, outline offset "
        f"{both(turned.outline_offset, unit)}, start depth {both(turned.start_depth, unit)}: expected worst glue line "
        f"{length(turned.worst_glue_line, unit)} instead of "
        f"{length(now.worst_glue_line, unit)}."
    )
