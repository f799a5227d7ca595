"""What notebook 2 says of the coupon that is being drawn."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from inlaylab.wording.lengths import between, count, length

if TYPE_CHECKING:
    from inlaylab.artwork.sheets.coupon import CouponPlan

WRITE = "Write the drawings"
ADD = "Add this coupon to the log"
BLANK_WIDTHS = "blank: chosen for the bit"
BLANK_FOLDER = "blank: the coupon's name"
FOR = "What it is for"
BLANK = "The blank, the same for host and insert"
DRAWING = "The drawing"
STATIONS = "Stations of the coupon"
NO_GROOVE = "left out"
GLUE_GROOVE = "one, filled with glue alone"
SIDEWAYS = "sideways (mirror line y)"
LENGTHWAYS = "lengthways (mirror line x)"
NOTHING_TO_WRITE = "there is no coupon to write yet"
NOTHING_TO_ADD = "there is no coupon to add yet"
TAKEN = "the log already has a coupon of this name"
NAME = "name of the coupon"
ALONG = "blank, along the grain"
ACROSS = "blank, across the grain"
FOLDER = "folder for the drawings"

REACHES = "reaches the floor"
PAIR = "pair of woods"
BORDER = "border for holding"
GROOVE = "glue groove"
TURNED = "turn the insert over"
LENGTH_HINT = "120 mm or 5 in"
WIDTH_HINT = "80 mm or 3 in"

OTHER_NAME = "another name"


def plan_lines(plan: CouponPlan, unit: str, *, thin: tuple[float, float], thin_from_fit: bool) -> list[str]:
    """
    Say what a coupon holds and what to mind.

    Parameters
    ----------
    plan : artwork.sheets.coupon.CouponPlan
        The coupon.
    unit : str
        The reader's unit.
    thin : (float, float)
        Widths between which thin bars are spread. [mm]
    thin_from_fit : bool
        Whether the log's fit says so.

    Returns
    -------
    lines : list of str
    """
    stations = plan.coupon.stations
    deep = sum(station.stroke_width > plan.floor_width for station in stations)
    whose = "where your log is still unsure" if thin_from_fit else "where thin strokes usually begin to fill"
    return [
        f"{count(len(stations), 'station')}; strokes wider than {length(plan.floor_width, unit)} reach the floor, and "
        f"{deep} of them do. Thin bars span {between(*thin, unit)}, {whose}.",
        f"Labels are cut in the host alone, {length(plan.mark_depth, unit)} deep, so sanding leaves them.",
        *plan.notes,
        "Lay a ruler on the line of known length (50 mm) on both drawings before cutting. One coupon for each start "
        "depth.",
    ]


def written(folder: object, files: Iterable[str]) -> str:
    """Say which drawings were written."""
    names = list(files)
    return f"Wrote {count(len(names), 'file')} to the folder {folder}: {', '.join(names)}."


def added(coupon: str, stations: int) -> str:
    """Say that the log knows a coupon now."""
    has = f"{coupon} is in the log now, with {count(stations, 'station')}."
    return f"{has} Choose it in notebook 3 once it is cut."
