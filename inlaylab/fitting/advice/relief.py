"""How deep the ground around the plug must be cut, so that neither backer nor a land holds the plug up."""

import numpy as np

from inlaylab.fitting.advice.depth_rule import SPARED
from inlaylab.fitting.advice.worst_lines import Cloud
from inlaylab.models.start_depths import worst_line

DEEPEST = 10.0
"""Relief depths are looked for down to here. [mm]"""
FINEST = 0.01
"""Relief depths are told to this. [mm]"""
DRAWS, PIECES = 400, 8


def relief_depth_needed(here: Cloud, start_depth: float) -> float | None:
    """
    Find the least relief depth at which backer or a land holds the plug up in at most 1 of 20 cuts.

    Parameters
    ----------
    here : Cloud
        Of the question.
    start_depth : float
        [mm]

    Returns
    -------
    relief_depth : float or None
        None where no relief depth is enough, because a land of the host is too narrow. [mm]
    """
    section = {name: value[:DRAWS] for name, value in here.section().items()}
    single = {name: value[:DRAWS, :PIECES] for name, value in here.single.items()}
    zeros = {name: single[name] for name in ("host_zero_error", "insert_zero_error")}

    def held(relief_depth: float) -> float:
        law = worst_line(section | {"relief_depth": relief_depth}, **zeros)
        others = np.maximum(law.wall, law.tips.asked(start_depth + law.insert_zero_error))
        return float(np.mean(law.land > others))

    few = 1 - SPARED
    if held(DEEPEST) > few:
        return None
    low, high = 0.0, DEEPEST
    while high - low > FINEST / 2:
        middle = (low + high) / 2
        low, high = (low, middle) if held(middle) <= few else (middle, high)
    return round(float(np.ceil(high / FINEST - 1e-6)) * FINEST, 6)
