"""Words on the pictures of a bit: grooves, where_to_measure and wear."""

from __future__ import annotations

import math
from collections.abc import Sized

from inlaylab.wording.lengths import count, fine, length

DEPTH, WIDTH = "depth as programmed", "width across the top"
LINE, GROOVE, NOW, ONE_MORE = "straight line", "groove as measured", "now", "with one more"
FURTHER, UNSURE = "depth of one more groove", "angle then known to ± [°]"
GROOVE_END, TIP_SIDE = "A groove, seen from its end", "The bit's tip, seen from the side"
WHERE = (
    "Where to measure. Groove: across its top, from edge to edge at the board's face, halfway along the groove. "
    "Tip flat: the width of the blunt end of the bit itself, seen from the side through a loupe."
)
METRES, STRAIGHT, MEASURED, TUNE_AGAIN = "path cut with this bit [m]", "straight line", "measured", "tune again here"


def grooves_alt(
    off: float,
    unit: str,
    *,
    grooves: int,
    angle: tuple[float, float],
    tip_flat: tuple[float, float],
    further: tuple[float, float] | None,
) -> str:
    """
    Say what the picture of grooves shows.

    Parameters
    ----------
    off : float
        How far the worst of them lies off the line. [mm]
    unit : str
        The reader's unit.
    grooves : int
        How many there are.
    angle, tip_flat : (float, float)
        What they say of the bit, and its give or take. [degrees], [mm]
    further : (float, float) or None
        Depth of one more groove [mm], and the angle's give or take after it [degrees].

    Returns
    -------
    words : str
    """
    said = (
        f"{count(grooves, 'groove')}: widths against depths lie on a straight line to within {length(off, unit)}. True "
        f"angle {angle[0]:.2f}° ± {angle[1]:.2f}°, tip flat {fine(tip_flat[0], unit)} ± {fine(tip_flat[1], unit)}."
    )
    if further is None:
        return said
    return f"{said} One more groove {length(further[0], unit)} deep would leave ± {further[1]:.2f}°."


def wear_alt(values: Sized, what: str, *, due_at: float, unsure: float) -> str:
    """Say what the picture of a bit's wear shows, and at how many metres it is due [m]."""
    due = (
        f"The line reaches the limit at {due_at:.0f} m, give or take {unsure:.0f} m."
        if math.isfinite(due_at)
        else "No wear is seen, so no distance can be told."
    )
    return f"{count(len(values), 'measure')} of the {what} against metres cut. {due}"
