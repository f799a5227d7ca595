"""What to measure next, in words."""

from __future__ import annotations

from inlaylab.fitting.advice.reweighting import NEAR
from inlaylab.fitting.next.next_cut import SETTABLE, NextCut
from inlaylab.fitting.next.options import Candidate
from inlaylab.units import format_length
from inlaylab.wording.chances import percent
from inlaylab.wording.lengths import NOTHING, change, fine

GAUGED = {
    "backer_gap": "the backer gap by feeler gauge before the backer is cut off",
    "pocket_depth": "the pocket depth by gauge before the glue",
    "plug_depth": "the plug depth by gauge before the glue",
}
"""Readings of the whole piece."""
VISIBLE = 0.005
"""A growth of a chance below this is not worth saying."""


def why(found: NextCut, unit: str) -> str:
    """
    Say what to do, what it is expected to change, and whether that is worth it.

    Parameters
    ----------
    found : NextCut
        What to measure next.
    unit : str
        The maker's unit.

    Returns
    -------
    words : str
    """
    if found.enough:
        what = _what(found, unit)
        return (
            f"You can stop here: no test cut and no measurement is expected to move the start depth by as much as "
            f"{format_length(SETTABLE, unit)}, and the chance that it is within {format_length(NEAR, unit)} of the "
            f"best is already {percent(found.near)}. If you want to know more: {what[0].lower()}{what[1:]}"
        )
    words = [_what(found, unit), _gain(found, unit)]
    if not found.reached and found.candidates[0].reached >= 0.01:
        words.append(
            f"Today no start depth meets your target of {percent(found.question.chance)}; with a chance of "
            f"{percent(found.candidates[0].reached)} one will after that."
        )
    return " ".join(words)


def _what(found: NextCut, unit: str) -> str:
    """Say what to do."""
    chosen, asked = found.candidates[0], found.question
    if chosen.measure == "tip_flat":
        return f"Look at the tip of {asked.bit} with a loupe and enter the width of its flat: no cut is needed."
    if chosen.measure == "groove":
        depths = ", ".join(format_length(depth, unit) for depth in chosen.groove_depths)
        return f"Cut straight grooves with {asked.bit}, {depths} deep, in one setup, and measure their widths."
    if chosen.measure == "depth_gauge":
        return "Cut a pocket and a plug's ground in scrap and measure both with a depth gauge; nothing is glued."
    depth = format_length(chosen.start_depth, unit)
    where = f"at today's start depth to go by, {depth}," if _same(found, chosen) else f"at a start depth of {depth}"
    more = f"; take {' and '.join(GAUGED[kind] for kind in chosen.also)}, too" if chosen.also else ""
    return f"Make a test cut with {asked.bit} on {asked.pair} {where} and read it as usual{more}."


def _same(found: NextCut, chosen: Candidate) -> bool:
    return chosen.start_depth is not None and abs(chosen.start_depth - found.advised) < 1e-6


def _gain(found: NextCut, unit: str) -> str:
    """Say what it is expected to change."""
    chosen, cut = found.candidates[0], found.best_cut
    said = []
    if change(chosen.expected_gain, unit) != NOTHING:
        said.append(f"to move the start depth by {format_length(chosen.expected_gain, unit)}")
    if change(chosen.line_saved, unit, "fine") != NOTHING:
        said.append(f"to save {fine(chosen.line_saved, unit)} of glue line")
    if chosen.near - found.near >= VISIBLE:
        said.append(
            f"to take the chance that it is within {format_length(NEAR, unit)} of the best from "
            f"{percent(found.near)} to {percent(chosen.near)}"
        )
    if not said:
        return "It is not expected to change much."
    beside = ""
    if chosen.measure != "cut" and change(cut.expected_gain, unit) != NOTHING:
        beside = (
            f"; a test cut would move it by {format_length(cut.expected_gain, unit)}, and takes a night in the clamps"
        )
    listed = said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"
    return f"It is expected {listed}{beside}."
