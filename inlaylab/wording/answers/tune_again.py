"""What past cuts taught, and when to tune again, in words."""

from __future__ import annotations

import math

from inlaylab.fitting.advice.worst_lines import HAIR
from inlaylab.fitting.review.tune_again import AHEAD, RETUNE, Retune
from inlaylab.units import format_length
from inlaylab.wording.chances import percent
from inlaylab.wording.lengths import fine


def tune_again(due: Retune, *, chance: float, unit: str) -> str:
    """
    Say when a bit is due for tuning again, and why then.

    Parameters
    ----------
    due : Retune
        When.
    chance : float
        That was asked for.
    unit : str
        The maker's unit.

    Returns
    -------
    words : str
    """
    reason = {
        "depth": f"By then the start depth to go by will have moved by {format_length(RETUNE, unit)}.",
        "line": f"By then a new start depth will save more than {fine(HAIR, unit)} of glue line.",
        "chance": f"By then today's start depth will have less than the {percent(chance)} chance you asked for.",
        "nothing": f"Wear is not expected to matter within {AHEAD[-1]:.0f} further cuts.",
    }[due.because]
    if not math.isfinite(due.due):
        return f"Tune bit {due.bit} again: not soon. {reason}"

    def told(use: float) -> str:
        return f"{use:.0f}" if math.isfinite(use) else f"more than {due.use[-1]:.0f}"

    metres = "" if due.metres_per_cut is None else f", about {due.due * due.metres_per_cut:.0f} m of path"
    span = f"90% range {told(due.due_low)} to {told(due.due_high)}"
    return f"Tune bit {due.bit} again after about {told(due.due)} further cuts ({span}){metres}. {reason}"
