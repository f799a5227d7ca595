"""``coupon``: a coupon's drawings at true size; ``read-picture``: its readings from a picture of its finished face."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from inlaylab.commands.command import Answer, Command, angle, size, size_or_zero
from inlaylab.errors import InputError, LogError
from inlaylab.units import UNITS, format_length

if TYPE_CHECKING:
    from inlaylab.bench.layouts import Layout
    from inlaylab.pictures.opening import Picture
    from inlaylab.pictures.records import PictureReading


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "folder", metavar="FOLDER", type=Path, help="where to put the drawings; made if it is not there"
    )
    parser.add_argument("--name", default="ladder", metavar="C", help="name of the coupon (ladder if left out)")
    parser.add_argument(
        "--bit-angle", required=True, type=angle, metavar="DEG", help="included angle that the path is computed for"
    )
    parser.add_argument("--pocket-depth", required=True, type=size, metavar="L", help="programmed depth of the pocket")
    parser.add_argument("--relief-depth", required=True, type=size, metavar="L", help="ground below the start depth")
    parser.add_argument("--length", type=size, default=120.0, metavar="L", help="of the blank, along the grain (120mm)")
    parser.add_argument("--width", type=size, default=80.0, metavar="L", help="of the blank, across the grain (80mm)")
    parser.add_argument("--border", type=size_or_zero, default=10.0, metavar="L", help="kept free all round (10mm)")
    parser.add_argument(
        "--stroke-widths", nargs="+", type=size, metavar="L", help="full widths, instead of those chosen for the bit"
    )
    parser.add_argument("--sanded-off", type=size_or_zero, default=0.3, metavar="L", help="labels go deeper (0.3mm)")
    parser.add_argument("--glue-groove", action="store_true", help="a groove to fill with glue alone, for pictures")
    parser.add_argument("--mirror", choices=("y", "x"), default="y", help="which way the mirror line runs (y)")
    parser.add_argument("--unit", choices=tuple(UNITS), default="mm", help="unit of the table and the text (mm)")


def _run(arguments: argparse.Namespace) -> Answer:
    from inlaylab.artwork.sheets.coupon import design_coupon, write_coupon

    plan = design_coupon(
        name=arguments.name,
        path_angle=arguments.bit_angle,
        pocket_depth=arguments.pocket_depth,
        relief_depth=arguments.relief_depth,
        length=arguments.length,
        width=arguments.width,
        border=arguments.border,
        widths=arguments.stroke_widths,
        sanded_off=arguments.sanded_off,
        unit=arguments.unit,
        glue_groove=arguments.glue_groove,
    )
    files = write_coupon(plan, arguments.folder, mirror=arguments.mirror)
    stations = plan.coupon.stations
    deep = sum(station.stroke_width > plan.floor_width for station in stations)
    lines = [
        f"Coupon {plan.coupon.coupon}: {len(stations)} stations, {deep} of them wider than "
        f"{format_length(plan.floor_width, arguments.unit)}, where strokes begin to reach the floor.",
        *plan.notes,
        f"Wrote {', '.join(path.name for path in files)} to {arguments.folder}.",
        "Check the 50 mm line on host and insert with a ruler before cutting; only the host carries the labels.",
    ]
    record = {
        "coupon": plan.coupon.coupon,
        "files": [str(path) for path in files],
        "length": plan.length,
        "width": plan.width,
        "floor_width": plan.floor_width,
        "mark_depth": plan.mark_depth,
        "notes": list(plan.notes),
        "stations": [
            {
                "station": station.station,
                "kind": station.kind,
                "stroke_width": station.stroke_width,
                "land_width": station.land_width,
                "grain": station.grain,
                "x": plan.places[station.station][0],
                "y": plan.places[station.station][1],
            }
            for station in stations
        ],
    }
    return Answer(record=record, text="\n".join(lines))


def _add_picture_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("image", metavar="IMAGE", type=Path, help="a scan or photo: PNG, JPEG or TIFF")
    parser.add_argument("--layout", metavar="LAYOUT.json", type=Path, help="the file that coupon wrote; or give --log")
    parser.add_argument("--log", metavar="LOG", type=Path, help="the log that has the cut and its coupon")
    parser.add_argument("--cut", metavar="K", help="the cut whose face this is")
    parser.add_argument(
        "--save",
        action="store_true",
        help="put the readings into the log and keep a small copy of the picture beside it; else they are only shown",
    )
    parser.add_argument("--unit", choices=tuple(UNITS), default="mm", help="unit of the text (mm)")


def _read(arguments: argparse.Namespace) -> Answer:
    from inlaylab.pictures.opening import open_picture
    from inlaylab.pictures.read import read_picture

    if arguments.save and not (arguments.log and arguments.cut):
        raise InputError("--save needs to know where to", allowed="--log LOG and --cut K beside it")
    if arguments.save:
        _check_cut(arguments)
    layout = _layout(arguments)
    picture = open_picture(arguments.image)
    reading = read_picture(picture, layout, progress=_tell)
    record = reading.record()
    lines = _picture_text(reading, arguments.unit)
    if arguments.save:
        saved, kept = _save(arguments, reading, picture)
        record |= {"saved": saved, "picture": kept}
        lines.append(
            f"Saved {saved} readings with the cut {arguments.cut}, and a small copy of the picture without the "
            f"camera's data as {kept}, beside the log."
        )
    return Answer(record=record, text="\n".join(lines))


def _tell(words: str, share: float) -> None:
    print(f"{share:4.0%} {words}", file=sys.stderr, flush=True)


def _check_cut(arguments: argparse.Namespace) -> None:
    from inlaylab.log.store import Log

    with Log.open(arguments.log) as log:
        log.shop().cut(arguments.cut)


def _layout(arguments: argparse.Namespace) -> Layout:
    """The layout from its file, or the one that the log keeps with the cut's coupon."""
    from inlaylab.bench.layouts import read_layout
    from inlaylab.log.store import Log

    if arguments.layout is not None:
        try:
            text = arguments.layout.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as fault:
            raise InputError(
                "the layout cannot be read", value=str(arguments.layout), allowed="the LAYOUT.json that coupon wrote"
            ) from fault
        return read_layout(text, where=arguments.layout.name)
    if not (arguments.log and arguments.cut):
        raise InputError("no layout was given", allowed="--layout LAYOUT.json, or --log LOG and --cut K")
    with Log.open(arguments.log) as log:
        shop = log.shop()
    cut = shop.cut(arguments.cut)
    text = shop.coupon(cut.coupon).layout if cut.coupon else ""
    if not text:
        raise LogError(
            "the log keeps no layout for this cut's coupon", value=cut.coupon, allowed="--layout LAYOUT.json"
        )
    return read_layout(text, where=f"the layout of coupon {cut.coupon}")


def _save(arguments: argparse.Namespace, reading: PictureReading, picture: Picture) -> tuple[int, str]:
    """Put the readings into the log and a small copy of the picture beside it, as one change; their count, its path."""
    from inlaylab.log.kept_pictures import keep_picture
    from inlaylab.log.store import Log
    from inlaylab.services.picture_readings import readings_of, reduced

    found = readings_of(reading, arguments.cut)
    if not found:
        raise InputError("no station could be read, so there is nothing to save", value=str(arguments.image))
    kept = keep_picture(arguments.log, reduced(picture.colors))
    with Log.open(arguments.log) as log:
        cut = log.shop().cut(arguments.cut)
        with log.change(f"read {len(found)} readings of cut {cut.cut} from a picture") as change:
            for one in found:
                change.add(one)
            if cut.picture != kept:
                change.correct(cut, replace(cut, picture=kept))
    return len(found), kept


def _picture_text(reading: PictureReading, unit: str) -> list[str]:
    lines = [
        f"{reading.pixels_per_mm:.1f} pixels a mm; the drawing fits to {format_length(reading.drawing_fit, unit)}.",
        *(f"Note: {warning}." for warning in reading.warnings),
    ]
    for one in reading.stations:
        said = []
        if one.glue_line is not None and one.sd is not None:
            give = format_length(one.sd, unit, style="fine")
            said.append(f"glue line {format_length(one.glue_line, unit, style='fine')}, give or take {give}")
        if one.fill is not None:
            said.append(one.fill)
        if one.wedge_stop is not None:
            said.append(f"filling stops at {format_length(one.wedge_stop, unit)}")
        if one.why:
            said.append(f"not read: {one.why}" if not said else one.why)
        lines.append(f"{one.station}: {'; '.join(said)}")
    return lines


COMMANDS = (
    Command(
        name="coupon",
        help="draw a coupon for test cuts: host and insert at true size (SVG, DXF, PDF), and its coupons.csv",
        add_arguments=_add_arguments,
        run=_run,
        details="Stroke widths are chosen for the bit and the pocket depth: some reach the floor, some do not. "
        "No file is written over.",
        examples=(
            "coupon my_coupon --bit-angle 60 --pocket-depth 4.2mm --relief-depth 1.6mm",
            "coupon inch_coupon --bit-angle 90 --pocket-depth 0.17in --relief-depth 0.065in --length 6in --width 4in "
            "--unit in",
        ),
    ),
    Command(
        name="read-picture",
        help="read the glue lines, fills and wedge of a coupon from a scan or photo of its finished face",
        add_arguments=_add_picture_arguments,
        run=_read,
        details="Tried on rendered pictures only: compare the first readings with a loupe. Scan at 600 dpi, or hold "
        "the phone straight above and fill the frame; lay the coupon on a plain sheet of another colour. What cannot "
        "be read stays blank and says why; nothing is saved without --save.",
        examples=(
            "read-picture face.jpg --layout my_coupon/LAYOUT.json",
            "read-picture face.jpg --log shop.inlaylab --cut k7 --save",
        ),
    ),
)
