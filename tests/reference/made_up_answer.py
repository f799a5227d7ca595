"""An answer with invented numbers, for tests of pictures and words."""

from inlaylab.fitting.advice.made_of import CAUSES, MadeOf, Part
from inlaylab.fitting.advice.settings import Setting, Settings, Turn
from inlaylab.fitting.advice.start_depth import Advice, CurvePoint, Spread
from inlaylab.fitting.advice.trade import DepthTrade
from inlaylab.fitting.predict.question import Question


def setting(**changes):
    """One way to set the machine."""
    usual = {"path_angle_deg": 60.0, "outline_offset": 0.0, "relief_depth": 1.5, "start_depth": 3.5, "chance": 0.6}
    return Setting(**usual | {"worst_glue_line": 0.08} | changes)


def advice_result(*, limit=3.7, turned=True, matters=True, **changes):
    """An answer; whatever is given stands in it instead."""
    better = setting(path_angle_deg=60.8, start_depth=3.6, worst_glue_line=0.03, chance=0.95)
    depths = (2.0, 3.0, 3.5, 4.0)
    points = [
        CurvePoint(start_depth=s, chance=c, worst_glue_line=line, q05=0.5 * line, q95=2 * line)
        for s, c, line in zip(depths, (0.7, 0.7, 0.6, 0.1), (0.075, 0.075, 0.08, 0.2), strict=True)
    ]
    trade = DepthTrade(
        sanded_off=0.3, plug_left=3.1, hollow=0.4, hollow_ml_per_m=1.2, shallowest=2.0, plug_left_shallowest=1.6,
        hollow_shallowest=1.9, hollow_ml_per_m_shallowest=5.0,
    )  # fmt: skip
    adds = (0.02, 0.03, 0.0, 0.005, 0.005, 0.012, 0.008)
    given = {
        "question": Question(bit="b", pair="p", pocket_depth=4, relief_depth=1.5, within=0.1, chance=0.9),
        "start_depth": 3.5,
        "low": 3.4,
        "high": 3.7,
        "bend": 3.5 if matters else None,
        "matters": matters,
        "limit": limit,
        "chance": 0.6,
        "reached": limit is not None,
        "worst_glue_line": Spread(q05=0.04, q50=0.08, q95=0.16, expected=0.08),
        "tightest_glue_line": 0.075,
        "floor_gap_needed": 0.5,
        "relief_depth_needed": 0.6,
        "held_up_by": "wall",
        "held_up_chance": 0.8,
        "trade": trade,
        "curve": tuple(points),
        "settings": Settings(
            now=setting(),
            turned=better if turned else setting(),
            turns=(Turn(what="path angle", today=60.0, better=60.8, gain=0.05, chance_gain=0.35),) if turned else (),
            kept=setting(start_depth=3.8, worst_glue_line=0.15, chance=0.2),
        ),
        "made_of": MadeOf(
            start_depth=3.5,
            worst_glue_line=0.08,
            parts=tuple(Part(cause=cause, adds=more) for cause, more in zip(CAUSES, adds, strict=True)),
        ),
        "warnings": (),
        "cuts": 12,
        "cuts_with_bit": 5,
    }
    return Advice(**given | changes)
