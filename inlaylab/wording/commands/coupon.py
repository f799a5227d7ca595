"""What the commands coupon and read-picture say."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.wording.commands.command import UNIT_MM
from inlaylab.wording.lengths import count, length
from inlaylab.wording.panels.log_a_test_cut import picture_proposal

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from inlaylab.artwork.sheets.coupon import CouponPlan
    from inlaylab.pictures.records import PictureReading

COUPON = "draw a coupon for test cuts: host and insert at true size (SVG, DXF, PDF), and its coupons.csv"
COUPON_DETAILS = (
    "Stroke widths are chosen for the bit and the pocket depth: some reach the floor, some do not. Nothing that is "
    "there already is overwritten."
)
OPTIONS = {
    "folder": "where to put the drawings; made if it is not there",
    "--name": "name of the coupon (ladder if left out)",
    "--bit-angle": "included angle that the path is computed for",
    "--pocket-depth": "programmed depth of the pocket",
    "--relief-depth": "how far below the start depth the ground around the plug is cut",
    "--length": "length of the blank, along the grain (120mm)",
    "--width": "width of the blank, across the grain (80mm)",
    "--border": "kept free all round (10mm)",
    "--stroke-widths": "full widths, instead of those chosen for the bit",
    "--sanded-off": "what will be sanded off; labels are cut deeper than that (0.3mm)",
    "--glue-groove": "add a groove to fill with glue alone, which helps to read pictures",
    "--mirror": "which way the mirror line runs (y)",
    "--unit": "unit of the table and the text (mm if left out)",
}
READ_PICTURE = "read the glue lines, fills and wedge of a coupon from a scan or photo of its finished face"
READ_PICTURE_DETAILS = (
    "Tried on rendered pictures only: compare the first readings with a loupe. Scan at 600 dpi, or hold the phone "
    "straight above and fill the frame; lay the coupon on a plain sheet of another colour. What cannot be read stays "
    "blank and says why; nothing is saved without --save."
)
READ_OPTIONS = {
    "image": "a scan or photo: PNG, JPEG or TIFF",
    "--layout": "the layout file that `inlaylab coupon` wrote; or give --log",
    "--log": "the log that has the cut and its coupon",
    "--cut": "the cut whose face this is",
    "--save": "put the readings into the log and keep a small copy of the picture beside it; without it they are only "
    "shown",
    "--unit": UNIT_MM,
}
SAVE_WHERE, LOG_AND_CUT = "--save needs to know where to", "--log LOG and --cut K beside it"
NOT_READ, WHAT_COUPON_WROTE = "the layout cannot be read", "the LAYOUT.json that `inlaylab coupon` wrote"
NO_LAYOUT, ONE_OF_BOTH = "no layout was given", "--layout LAYOUT.json, or --log LOG and --cut K"
NOT_KEPT, A_LAYOUT = "the log keeps no layout for this cut's coupon", "--layout LAYOUT.json"
NOTHING_READ = "no station could be read, so there is nothing to save"


def layout_of(coupon: str) -> str:
    """Name the layout that a log keeps of a coupon."""
    return f"the layout of coupon {coupon}"


def change(readings: int, cut: str) -> str:
    """Name a change of the log for its history."""
    return f"read {count(readings, 'reading')} of cut {cut} from a picture"


def saved(readings: int, cut: str, kept: str) -> str:
    """Say what of a picture was kept."""
    return (
        f"Saved {count(readings, 'reading')} with the cut {cut}, and a small copy of the picture without the camera's "
        f"data as {kept}, beside the log."
    )


def coupon_lines(plan: CouponPlan, unit: str, *, files: Iterable[Path], folder: Path) -> list[str]:
    """Say what was drawn and written, and what to check before cutting."""
    stations = plan.coupon.stations
    deep = sum(station.stroke_width > plan.floor_width for station in stations)
    return [
        f"Coupon {plan.coupon.coupon.removeprefix('coupon ')}: {count(len(stations), 'station')}, {deep} of them wider "
        f"than {length(plan.floor_width, unit)}, where strokes begin to reach the floor.",
        *plan.notes,
        f"Wrote {', '.join(path.name for path in files)} to {folder}.",
        "Check the line of known length (50 mm) on host and insert with a ruler before cutting; only the host carries "
        "the labels.",
    ]


def picture_lines(reading: PictureReading, unit: str) -> list[str]:
    """Say what a picture shows, station by station."""
    per = (
        f"{reading.pixels_per_mm:.1f} pixels to each mm" if unit == "mm" else f"{25.4 * reading.pixels_per_mm:.0f} dpi"
    )
    return [
        f"{per}; the drawing fits to {length(reading.drawing_fit, unit)}.",
        *(f"Note: {warning}." for warning in reading.warnings),
        *(f"{one.station}: {picture_proposal(one, unit)}" for one in reading.stations),
    ]
