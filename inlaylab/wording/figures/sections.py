"""Words on the pictures of boards cut open: section and cut_section."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inlaylab.wording.contacts import HELD_BY
from inlaylab.wording.lengths import length

if TYPE_CHECKING:
    from inlaylab.artwork.cutting.cut_section import CutSection
    from inlaylab.services.by_hand.section import Section

DEPTH, DEPTH_SHORT, ACROSS = "depth from the host's face", "depth", "across the strokes"
BACKER = "insert: the backer, cut away after gluing"
THIN_STROKE = "thin stroke:\nthe plug has a crest"
ALONG_LINE = "along the line, A to B"
FACE, FINISHED_FACE = "host's face", "finished face"


def title(held_up_by: object) -> str:
    """Say above a picture what holds the plug up."""
    return f"Held up by: {held_up_by}"


def section_alt(result: Section, unit: str) -> str:
    """Say what the section of pocket and plug shows."""
    import numpy as np

    stand_off, held = float(result.seat.stand_off), str(result.seat.held_up_by)
    way = "sinks" if stand_off < 0 else "stands proud"
    lines = ", ".join(
        f"{length(float(line), unit)} at the stroke {length(width, unit)} wide"
        for width, line in zip(result.stroke_widths, np.ravel(result.seat.glue_line), strict=True)
    )
    return (
        f"Section of pocket and plug at a start depth of {length(result.start_depth, unit)} and a pocket depth of "
        f"{length(result.pocket_depth, unit)}. The plug {way} by {length(abs(stand_off), unit)}; held up by {held}: "
        f"{HELD_BY.get(held, '')}. Glue line {lines}."
    )


def lengths_listed(
    unit: str,
    *,
    stand_off: float,
    floor_gap: float,
    backer_gap: float,
    glue_lines: Sequence[float],
    depths: tuple[float, float] | None,
) -> list[str]:
    """
    List the lengths of a section whose picture has no room for them.

    Parameters
    ----------
    unit : str
        The reader's unit.
    stand_off, floor_gap, backer_gap : float
        [mm]
    glue_lines : sequence of float
        From left to right. [mm]
    depths : tuple of float or None
        Pocket depth and start depth, where they are wanted with the names of the parts. [mm]

    Returns
    -------
    lines : list of str
    """

    def told(mm: float) -> str:
        return length(mm, unit)

    lines = [
        f"sink {told(-stand_off)}" if stand_off < 0 else f"stand-off {told(stand_off)}",
        f"floor gap {told(floor_gap)}, backer gap {told(backer_gap)}",
        f"glue lines, left to right: {', '.join(map(told, glue_lines))}",
    ]
    if depths is not None:
        lines.append(f"pocket depth {told(depths[0])}, start depth {told(depths[1])}")
        lines.append("dotted: the insert; its back comes off later")
    return lines


def _enlarged(times: float) -> str:
    return "true" if times == 1 else f"{times:g} times too large"


def cut_section_title(result: CutSection) -> str:
    """Say above a section through a virtual cut how its depths are drawn."""
    return f"Section from A to B, depth drawn {_enlarged(result.exaggeration)}"


def cut_section_alt(result: CutSection, unit: str) -> str:
    """Say what a section through a virtual cut shows."""
    import numpy as np

    room = np.maximum(result.pocket - result.plug, 0.0)[np.asarray(result.pocket) > 0]
    return (
        f"Section through pocket and plug over {length(float(result.along[-1]), unit)}; depths are drawn "
        f"{_enlarged(result.exaggeration)}. The pocket is up to {length(float(np.max(result.pocket)), unit)} deep; "
        f"between plug and pocket there is up to {length(float(room.max(initial=0.0)), unit)} of room, "
        "measured upright."
    )
