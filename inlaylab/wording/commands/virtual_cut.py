"""What the command virtual-cut says."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from inlaylab.wording.commands.command import DRAWING_UNIT, UNIT_MM
from inlaylab.wording.lengths import fine, length

if TYPE_CHECKING:
    from inlaylab.artwork.cutting.virtual_cut import VirtualCut

VIRTUAL_CUT = "compute pocket, plug and seat of an artwork: what holds the plug up, and what fills"
VIRTUAL_CUT_DETAILS = (
    "All places are in the host's coordinates, x to the right and y up as the drawing is seen; an SVG's origin is the "
    "lower left corner of its sheet."
)
OPTIONS = {
    "artwork": "drawing: SVG, DXF, WKT (mm) or bitmap",
    "--bit-angle": "included angle of the path",
    "--true-angle": "angle the bit really cuts (the path's if left out)",
    "--tip-flat": "width of the flat tip",
    "--start-depth": "depth below the insert's face at which the outline is the artwork's",
    "--pocket-depth": "programmed depth of the pocket",
    "--relief-depth": "how far below the start depth the ground around the plug is cut",
    "--host-zero-error": "how much too deep the host was cut",
    "--insert-zero-error": "how much too deep the insert was cut",
    "--sanded-off": "what comes off the face",
    "--outline-offset": "how much the plug's outline is grown, per side",
    "--pixel": "fineness of the grid, for areas only (0.1mm)",
    "--at": "table of points where exact depths are wanted: x, y, unit",
    "--width": "width of the drawing, where it has no size",
    "--drawing-unit": DRAWING_UNIT,
    "--unit": UNIT_MM,
}


def cut_lines(cut: VirtualCut, unit: str, *, source: str, fixed: Iterable[str]) -> list[str]:
    """
    Tell a virtual cut to a person.

    Parameters
    ----------
    cut : artwork.cutting.virtual_cut.VirtualCut
        The cut.
    unit : str
        The reader's unit.
    source : str
        Name of the drawing.
    fixed : iterable of str
        What was put right in it.

    Returns
    -------
    lines : list of str
    """
    x, y = (length(value, unit) for value in cut.seat.contact_at)
    way = f"{fine(abs(cut.stand_off), unit)} {'above' if cut.stand_off > 0 else 'below'} its drawn level"
    lines = [f"Fixed in {source}: {note}." for note in fixed]
    lines.append(f"The plug rests {way}, held up by: {cut.held_up_by}, near x {x}, y {y}.")
    if cut.fill_rate is None:
        return [*lines, "Sanding leaves nothing of this artwork."]
    worst = fine(cut.worst_glue_line or 0.0, unit)
    lines.append(f"{cut.fill_rate:.1%} of the finished face fills; the widest glue line is {worst} per side.")
    if cut.strokes_lost_area > 0.005 * cut.artwork_area:
        lines.append(f"Sanding takes away strokes with {cut.strokes_lost_area / cut.artwork_area:.1%} of the area.")
    for point in cut.at:
        pocket, plug = fine(point["pocket"], unit), fine(point["plug"], unit)
        lines.append(
            f"At x {length(point['x'], unit)}, y {length(point['y'], unit)}: pocket {pocket} deep, plug {plug}."
        )
    return lines
