"""``virtual-cut``: pocket, plug and seat of an artwork, before any wood is cut."""

import argparse
from pathlib import Path

from inlaylab.commands.command import Answer, Command, angle, length, size, size_or_zero
from inlaylab.services.open_log import Progress
from inlaylab.units import UNITS
from inlaylab.wording.commands import virtual_cut as words


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("artwork", metavar="ARTWORK", type=Path, help=words.OPTIONS["artwork"])
    parser.add_argument("--bit-angle", required=True, type=angle, metavar="DEG", help=words.OPTIONS["--bit-angle"])
    parser.add_argument("--true-angle", type=angle, metavar="DEG", help=words.OPTIONS["--true-angle"])
    parser.add_argument("--tip-flat", type=size_or_zero, default=0.0, metavar="L", help=words.OPTIONS["--tip-flat"])
    parser.add_argument(
        "--start-depth", required=True, type=size_or_zero, metavar="L", help=words.OPTIONS["--start-depth"]
    )
    parser.add_argument("--pocket-depth", required=True, type=size, metavar="L", help=words.OPTIONS["--pocket-depth"])
    parser.add_argument("--relief-depth", required=True, type=size, metavar="L", help=words.OPTIONS["--relief-depth"])
    parser.add_argument(
        "--host-zero-error", type=length, default=0.0, metavar="L", help=words.OPTIONS["--host-zero-error"]
    )
    parser.add_argument(
        "--insert-zero-error", type=length, default=0.0, metavar="L", help=words.OPTIONS["--insert-zero-error"]
    )
    parser.add_argument("--sanded-off", type=size_or_zero, default=0.0, metavar="L", help=words.OPTIONS["--sanded-off"])
    parser.add_argument(
        "--outline-offset", type=length, default=0.0, metavar="L", help=words.OPTIONS["--outline-offset"]
    )
    parser.add_argument("--pixel", type=size, default=0.1, metavar="L", help=words.OPTIONS["--pixel"])
    parser.add_argument("--at", type=Path, metavar="POINTS.csv", help=words.OPTIONS["--at"])
    parser.add_argument("--width", type=size, metavar="L", help=words.OPTIONS["--width"])
    parser.add_argument("--drawing-unit", metavar="U", help=words.OPTIONS["--drawing-unit"])
    parser.add_argument("--unit", choices=tuple(UNITS), default="mm", help=words.OPTIONS["--unit"])


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
    lines = words.cut_lines(cut, arguments.unit, source=artwork.source, fixed=artwork.mended)
    return Answer(record=record, text="\n".join(lines))


COMMANDS = (
    Command(
        name="virtual-cut",
        help=words.VIRTUAL_CUT,
        add_arguments=_add_arguments,
        run=_run,
        details=words.VIRTUAL_CUT_DETAILS,
        examples=(
            "virtual-cut leaf.svg --bit-angle 60 --tip-flat 0.1mm --start-depth 3.4mm --pocket-depth 4.2mm "
            "--relief-depth 1.6mm --sanded-off 0.3mm",
            "virtual-cut comb.dxf --bit-angle 30 --start-depth 0.17in --pocket-depth 0.19in "
            "--relief-depth 0.065in --json",
        ),
    ),
)
