"""``coupon``: host and insert drawings of a coupon at true size, and its table of stations."""

import argparse
from pathlib import Path

from inlaylab.commands.command import Answer, Command, angle, size, size_or_zero
from inlaylab.units import UNITS, format_length


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
)
