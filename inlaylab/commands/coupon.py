"""``coupon``: a coupon's drawings at true size; ``read-picture``: its readings from a picture of its finished face."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from inlaylab.commands.command import Answer, Command, angle, size, size_or_zero
from inlaylab.errors import InputError, LogError
from inlaylab.units import UNITS
from inlaylab.wording.commands import coupon as words

if TYPE_CHECKING:
    from inlaylab.bench.layouts import Layout
    from inlaylab.pictures.opening import Picture
    from inlaylab.pictures.records import PictureReading


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", metavar="FOLDER", type=Path, help=words.OPTIONS["folder"])
    parser.add_argument("--name", default="ladder", metavar="C", help=words.OPTIONS["--name"])
    parser.add_argument("--bit-angle", required=True, type=angle, metavar="DEG", help=words.OPTIONS["--bit-angle"])
    parser.add_argument("--pocket-depth", required=True, type=size, metavar="L", help=words.OPTIONS["--pocket-depth"])
    parser.add_argument("--relief-depth", required=True, type=size, metavar="L", help=words.OPTIONS["--relief-depth"])
    parser.add_argument("--length", type=size, default=120.0, metavar="L", help=words.OPTIONS["--length"])
    parser.add_argument("--width", type=size, default=80.0, metavar="L", help=words.OPTIONS["--width"])
    parser.add_argument("--border", type=size_or_zero, default=10.0, metavar="L", help=words.OPTIONS["--border"])
    parser.add_argument("--stroke-widths", nargs="+", type=size, metavar="L", help=words.OPTIONS["--stroke-widths"])
    parser.add_argument("--sanded-off", type=size_or_zero, default=0.3, metavar="L", help=words.OPTIONS["--sanded-off"])
    parser.add_argument("--glue-groove", action="store_true", help=words.OPTIONS["--glue-groove"])
    parser.add_argument("--mirror", choices=("y", "x"), default="y", help=words.OPTIONS["--mirror"])
    parser.add_argument("--unit", choices=tuple(UNITS), default="mm", help=words.OPTIONS["--unit"])


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
            for station in plan.coupon.stations
        ],
    }
    return Answer(
        record=record, text="\n".join(words.coupon_lines(plan, arguments.unit, files=files, folder=arguments.folder))
    )


def _add_picture_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("image", metavar="IMAGE", type=Path, help=words.READ_OPTIONS["image"])
    parser.add_argument("--layout", metavar="LAYOUT.json", type=Path, help=words.READ_OPTIONS["--layout"])
    parser.add_argument("--log", metavar="LOG", type=Path, help=words.READ_OPTIONS["--log"])
    parser.add_argument("--cut", metavar="K", help=words.READ_OPTIONS["--cut"])
    parser.add_argument(
        "--save",
        action="store_true",
        help=words.READ_OPTIONS["--save"],
    )
    parser.add_argument("--unit", choices=tuple(UNITS), default="mm", help=words.READ_OPTIONS["--unit"])


def _read(arguments: argparse.Namespace) -> Answer:
    from inlaylab.pictures.opening import open_picture
    from inlaylab.pictures.read import read_picture

    if arguments.save and not (arguments.log and arguments.cut):
        raise InputError(words.SAVE_WHERE, allowed=words.LOG_AND_CUT)
    if arguments.save:
        _check_cut(arguments)
    layout = _layout(arguments)
    picture = open_picture(arguments.image)
    reading = read_picture(picture, layout, progress=_tell)
    record = reading.record()
    lines = words.picture_lines(reading, arguments.unit)
    if arguments.save:
        saved, kept = _save(arguments, reading, picture)
        record |= {"saved": saved, "picture": kept}
        lines.append(words.saved(saved, arguments.cut, kept))
    return Answer(record=record, text="\n".join(lines))


def _tell(doing: str, share: float) -> None:
    print(f"{share:4.0%} {doing}", file=sys.stderr, flush=True)


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
            raise InputError(words.NOT_READ, value=str(arguments.layout), allowed=words.WHAT_COUPON_WROTE) from fault
        return read_layout(text, where=arguments.layout.name)
    if not (arguments.log and arguments.cut):
        raise InputError(words.NO_LAYOUT, allowed=words.ONE_OF_BOTH)
    with Log.open(arguments.log) as log:
        shop = log.shop()
    cut = shop.cut(arguments.cut)
    text = shop.coupon(cut.coupon).layout if cut.coupon else ""
    if not text:
        raise LogError(words.NOT_KEPT, value=cut.coupon, allowed=words.A_LAYOUT)
    return read_layout(text, where=words.layout_of(str(cut.coupon)))


def _save(arguments: argparse.Namespace, reading: PictureReading, picture: Picture) -> tuple[int, str]:
    """Put the readings into the log and a small copy of the picture beside it, as one change; their count, its path."""
    from inlaylab.log.kept_pictures import keep_picture
    from inlaylab.log.store import Log
    from inlaylab.services.picture_readings import readings_of, reduced

    found = readings_of(reading, arguments.cut)
    if not found:
        raise InputError(words.NOTHING_READ, value=str(arguments.image))
    kept = keep_picture(arguments.log, reduced(picture.colors))
    with Log.open(arguments.log) as log:
        cut = log.shop().cut(arguments.cut)
        with log.change(words.change(len(found), cut.cut)) as change:
            for one in found:
                change.add(one)
            if cut.picture != kept:
                change.correct(cut, replace(cut, picture=kept))
    return len(found), kept


COMMANDS = (
    Command(
        name="coupon",
        help=words.COUPON,
        add_arguments=_add_arguments,
        run=_run,
        details=words.COUPON_DETAILS,
        examples=(
            "coupon my_coupon --bit-angle 60 --pocket-depth 4.2mm --relief-depth 1.6mm",
            "coupon inch_coupon --bit-angle 90 --pocket-depth 0.17in --relief-depth 0.065in --length 6in --width 4in "
            "--unit in",
        ),
    ),
    Command(
        name="read-picture",
        help=words.READ_PICTURE,
        add_arguments=_add_picture_arguments,
        run=_read,
        details=words.READ_PICTURE_DETAILS,
        examples=(
            "read-picture face.jpg --layout my_coupon/LAYOUT.json",
            "read-picture face.jpg --log shop.inlaylab --cut k7 --save",
        ),
    ),
)
