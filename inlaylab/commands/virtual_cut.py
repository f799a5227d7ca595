"""``virtual-cut``: pocket, plug and seat of an artwork, before any wood is cut."""

import argparse
from pathlib import Path
from typing import Any

from inlaylab.commands.command import Answer, Command, angle, length, size, size_or_zero
from inlaylab.services.open_log import Progress
from inlaylab.units import UNITS, format_length
from inlaylab.wording.lengths import fine


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("artwork", metavar="ARTWORK", type=Path, help="drawing: SVG, DXF, WKT (mm) or bitmap")
    parser.add_argument("--bit-angle", required=True, type=angle, metavar="DEG", help="included angle of the path")
    parser.add_argument("--true-angle", type=angle, metavar="DEG", help="angle the bit really cuts (that of the path)")
    parser.add_argument("--tip-flat", type=size_or_zero, default=0.0, metavar="L", help="width of the flat tip")
    parser.add_argument(
        "--start-depth", required=True, type=size_or_zero, metavar="L", help="level of the outline in the insert"
    )
    parser.add_argument("--pocket-depth", required=True, type=size, metavar="L", help="programmed depth of the pocket")
    parser.add_argument("--relief-depth", required=True, type=size, metavar="L", help="ground below the start depth")
    parser.add_argument(
        "--host-zero-error", type=length, default=0.0, metavar="L", help="how much deeper the host was cut"
    )
    parser.add_argument(
        "--insert-zero-error", type=length, default=0.0, metavar="L", help="how much deeper the insert was cut"
    )
    parser.add_argument("--sanded-off", type=size_or_zero, default=0.0, metavar="L", help="what comes off the face")
    parser.add_argument(
        "--outline-offset", type=length, default=0.0, metavar="L", help="growth of the plug's outline, per side"
    )
    parser.add_argument("--pixel", type=size, default=0.1, metavar="L", help="for areas only (0.1mm)")
    parser.add_argument("--at", type=Path, metavar="POINTS.csv", help="where to tell exact depths: x, y, unit")
    parser.add_argument("--width", type=size, metavar="L", help="width of the drawing, where it has no size")
    parser.add_argument("--drawing-unit", metavar="U", help="unit of a DXF that states none: mm, cm, m, in or ft")
    parser.add_argument("--unit", choices=tuple(UNITS), default="mm", help="unit of the text (mm)")


def _run(arguments: argparse.Namespace) -> Answer:
    from inlaylab.artwork.cutting.virtual_cut import virtual_cut
    from inlaylab.artwork.reading.outlines import read_artwork
    from inlaylab.log.tables.strokes import read_points

    artwork = read_artwork(arguments.artwork, width=arguments.width, unit=arguments.drawing_unit)
    points = read_points(arguments.at) if arguments.at else None
    with Progress() as progress:
        cut = virtual_cut(
            artwork,
            bit_angle=arguments.bit_angle,
            true_angle=arguments.true_angle,
            tip_flat=arguments.tip_flat,
            start_depth=arguments.start_depth,
            pocket_depth=arguments.pocket_depth,
            relief_depth=arguments.relief_depth,
            host_zero_error=arguments.host_zero_error,
            insert_zero_error=arguments.insert_zero_error,
            sanded_off=arguments.sanded_off,
            outline_offset=arguments.outline_offset,
            pixel=arguments.pixel,
            at=points,
            progress=progress,
        )
    record = cut.to_json() | {"mended": list(artwork.mended)}
    return Answer(record=record, text=_told(cut, artwork, arguments.unit))


def _told(cut: Any, artwork: Any, unit: str) -> str:
    x, y = (format_length(value, unit) for value in cut.seat.contact_at)
    proud = "proud of" if cut.stand_off > 0 else "below"
    stand_off = fine(abs(cut.stand_off), unit)
    lines = [f"Fixed in {artwork.source}: {note}." for note in artwork.mended]
    lines.append(
        f"The plug rests {stand_off} {proud} its drawn level, held up by: {cut.held_up_by}, near x {x}, y {y}."
    )
    if cut.fill_rate is None:
        lines.append("Sanding leaves nothing of this artwork.")
        return "\n".join(lines)
    worst = fine(cut.worst_glue_line or 0.0, unit)
    lines.append(f"{cut.fill_rate:.1%} of the finished face fills; the widest glue line is {worst} per side.")
    if cut.strokes_lost_area > 0.005 * cut.artwork_area:
        lines.append(f"Sanding takes away strokes with {cut.strokes_lost_area / cut.artwork_area:.1%} of the area.")
    lines += [
        f"At x {p['x']:g} mm, y {p['y']:g} mm: pocket {fine(p['pocket'], unit)} deep, plug {fine(p['plug'], unit)}."
        for p in cut.at
    ]
    return "\n".join(lines)


COMMANDS = (
    Command(
        name="virtual-cut",
        help="compute pocket, plug and seat of an artwork: what holds the plug up, and what fills",
        add_arguments=_add_arguments,
        run=_run,
        details="All places are in the host's coordinates, x to the right and y up as the drawing is seen; an SVG's "
        "origin is the lower left corner of its sheet.",
        examples=(
            "virtual-cut leaf.svg --bit-angle 60 --tip-flat 0.1mm --start-depth 3.4mm --pocket-depth 4.2mm "
            "--relief-depth 1.6mm --sanded-off 0.3mm",
            "virtual-cut comb.dxf --bit-angle 30 --start-depth 0.17in --pocket-depth 0.19in "
            "--relief-depth 0.065in --json",
        ),
    ),
)
