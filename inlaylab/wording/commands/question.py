"""What the command line says of a question: the options of advise, next-cut and others."""

from __future__ import annotations

from collections.abc import Sequence

from inlaylab.wording.commands.command import DRAWING_UNIT

OPTIONS = {
    "--bit": "name of a bit in the log",
    "--pair": "name of a species pair in the log",
    "--strokes": "table of the artwork's strokes, with the columns `stroke_width`, `land_width` and `unit`",
    "--artwork": "drawing of the artwork: SVG, DXF, WKT or bitmap",
    "--width": "width of the artwork, where the drawing has no size",
    "--drawing-unit": DRAWING_UNIT,
    "--pocket-depth": "your log's usual if left out",
    "--relief-depth": "your log's usual if left out",
    "--within": "widest glue line that is good enough",
    "--chance": "how sure to be, 0.9 if left out",
    "--between": "shallowest and deepest start depth to consider",
    "--path-angle-deg": "angle the path is computed for (the bit's nominal angle if left out)",
    "--outline-offset": "how much the plug's outline is grown, per side",
    "--pass-spacing": "spacing of V-bit passes on flat ground",
    "--coupon": "coupon on which a test cut would be made",
}
ONLY_A_PART = "only a part of a question"
STROKES, NONE_YET = "number of strokes", "none yet"
GIVE_IT = "give it, or set your usual depth in the log"


def missing(names: Sequence[str]) -> str:
    """Say what else a question needs."""
    return f"{', '.join(names)} as well, or no question at all"


def most_strokes(most: int) -> str:
    """Say how many strokes a question may have."""
    return f"up to {most}; one row may stand for all strokes of about its width"


def is_missing(option: str) -> str:
    """Say that an option was left out and the log has no usual value for it."""
    return f"{option} is missing"


def one_of(names: Sequence[str]) -> str:
    """Say which names the log knows."""
    return f"one of the log's: {', '.join(names) or NONE_YET}"
