"""What start depth gives and costs beside the glue line: plug under the sanding, and a hollow under the plug."""

from dataclasses import dataclass

import numpy as np

from inlaylab.fitting.advice.worst_lines import Cloud
from inlaylab.models.walls import half_tangent


@dataclass(frozen=True, kw_only=True)
class DepthTrade:
    """
    What is left of the plug, and what is hollow under it, in the middle of all simulated cuts.

    Parameters
    ----------
    sanded_off : float
        That the shop takes off the face. [mm]
    plug_left, hollow : float
        Plug under the sanding, and depth of the hollow under it, at the start depth to go by. [mm]
    hollow_ml_per_m : float
        Hollow under each metre of the widest stroke. [ml]
    shallowest : float
        Shallowest start depth asked about. [mm]
    plug_left_shallowest, hollow_shallowest, hollow_ml_per_m_shallowest : float
        The same there.
    """

    sanded_off: float
    plug_left: float
    hollow: float
    hollow_ml_per_m: float
    shallowest: float
    plug_left_shallowest: float
    hollow_shallowest: float
    hollow_ml_per_m_shallowest: float


def depth_trade(here: Cloud, start_depth: float, *, sanded_off: float) -> DepthTrade:
    """
    Say what depth gives and costs.

    Parameters
    ----------
    here : Cloud
        Of the question.
    start_depth, sanded_off : float
        [mm]

    Returns
    -------
    trade : DepthTrade
    """
    left, hollow, volume = _at(here, start_depth, sanded_off)
    first = _at(here, here.shallowest, sanded_off)
    return DepthTrade(
        sanded_off=sanded_off,
        plug_left=left,
        hollow=hollow,
        hollow_ml_per_m=volume,
        shallowest=here.shallowest,
        plug_left_shallowest=first[0],
        hollow_shallowest=first[1],
        hollow_ml_per_m_shallowest=first[2],
    )


def _at(here: Cloud, start_depth: float, sanded_off: float) -> tuple[float, float, float]:
    """
    Plug left [mm], hollow [mm] and hollow for each metre of the widest stroke [ml], medians.

    The plug ends S - h below the host's face, and S - h - s of it is left under the sanding; the stroke's bottom lies
    D below the face. The hollow is the stroke's section between the two: 2 b (D - z) - T0 (D^2 - z^2), z = S - h.
    """
    question, single = here.question, here.single
    stand_off = here.law.seat_level(start_depth) - single["host_zero_error"] - single["insert_zero_error"]
    ends = float(np.median(start_depth - stand_off))
    slope = float(half_tangent(here.world.cuts.path_angle[0, 0]))
    half = max(stroke for stroke, _ in question.half_widths)
    bottom = min(question.pocket_depth, half / slope)
    top = min(max(ends, 0.0), bottom)
    area = 2 * half * (bottom - top) - slope * (bottom**2 - top**2)  # mm^2: as many ml in a metre
    return max(0.0, ends - sanded_off), bottom - top, area
