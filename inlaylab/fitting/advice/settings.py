"""What turning the path angle or the outline offset would be worth, beside today's settings."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.fitting.advice.depth_rule import answer, good_depths, worst_lines
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.predict.draws import scenario

if TYPE_CHECKING:
    from inlaylab.fitting.predict.question import Question

VISIBLE = 0.02
"""A gain under this is not seen by eye or loupe, so nothing is turned for it (common practice, no source). [mm]"""


@dataclass(frozen=True, kw_only=True)
class Setting:
    """
    One way to set the machine, and what comes of it.

    Parameters
    ----------
    path_angle_deg, outline_offset : float
        [degrees], [mm]
    start_depth : float or None
        Advised with them. [mm]
    worst_glue_line : float
        Expected widest glue line there, or at the best start depth where none is advised. [mm]
    gain_low, gain_high : float
        5 and 95 % quantiles of the worst glue line saved against today's settings. [mm]

    Examples
    --------
    >>> Setting(path_angle_deg=60, outline_offset=0, start_depth=4.2, worst_glue_line=0.03).gain_low
    0.0
    """

    path_angle_deg: float
    outline_offset: float
    start_depth: float | None
    worst_glue_line: float
    gain_low: float = 0.0
    gain_high: float = 0.0


def candidates(fit: Fit, shop: Shop, question: "Question") -> dict[str, "Question"]:
    """
    Today's question, and the same with the path angle, the outline offset and both turned.

    Parameters
    ----------
    fit, shop, question
        As in `advice.advise`.

    Returns
    -------
    questions : dict of Question
        ``now``, ``angle``, ``offset``, ``both``.

    Notes
    -----
    The path gets the bit's expected true angle (to 0.1 degrees), the outline the expected tip flat
    less wall allowance (o = t - w, to 0.01 mm, never below today's).
    """
    world = scenario(fit, shop, (question.cut(question.span[0]),), size=2400, strokes=[question.half_widths])
    angle = round(float(np.mean(world.fitted["true_angle"][:, 0])), 1)
    flat, allowance = world.tip_flat()[:, 0], world.fitted["wall_allowance"][:, 0]
    offset = max(question.outline_offset, round(float(np.mean(flat - allowance)), 2))
    return {
        "now": question,
        "angle": replace(question, path_angle_deg=angle),
        "offset": replace(question, outline_offset=offset),
        "both": replace(question, path_angle_deg=angle, outline_offset=offset),
    }


def compare(
    fit: Fit, shop: Shop, question: "Question", start_depth: float | None, *, seed: int, draws: int
) -> dict[str, "Setting"]:
    """
    Expected worst glue line with today's settings and with turned ones.

    Parameters
    ----------
    fit, shop, question
        As in `advice.advise`.
    start_depth : float or None
        Advised with today's settings. [mm]
    seed, draws : int
        The same for all, so that differences are not noise.

    Returns
    -------
    settings : dict of Setting
        ``now``, ``turned``, ``angle``, ``offset``, ``both``; ``turned`` is the best whose gain can be seen, else
        today's. Where the log has a cut with this bit also ``kept``: the newest one's floor gap kept as it was, so
        that its gain, mostly below zero, tells what the advised start depth is worth.
    """
    angle_now = question.path_angle_deg or shop.bit(question.bit).nominal_angle_deg
    settings: dict[str, Setting] = {}
    worst_now = None
    for name, turned in candidates(fit, shop, question).items():
        strokes = [turned.half_widths]
        world = scenario(fit, shop, (turned.cut(turned.span[0]),), seed=seed, size=draws, strokes=strokes)
        openings = world.openings((1, len(turned.half_widths)))
        if name == "now":
            depth = start_depth
        else:
            depth, _ = answer(good_depths(world, openings, turned.within), turned)
        tried = {name: depth}
        if name == "now" and (kept := kept_start_depth(shop, question)) is not None:
            tried["kept"] = kept
        for label, at in tried.items():
            worst = worst_lines(world, openings, turned.span[0] if at is None else at)
            worst_now = worst if worst_now is None else worst_now
            gain = np.quantile(worst_now - worst, [0.05, 0.95])
            settings[label] = Setting(
                path_angle_deg=float(turned.path_angle_deg or angle_now),
                outline_offset=turned.outline_offset,
                start_depth=at,
                worst_glue_line=float(worst.mean()),
                gain_low=float(gain[0]),
                gain_high=float(gain[1]),
            )
    now = settings["now"]
    best = min(("angle", "offset", "both"), key=lambda name: settings[name].worst_glue_line)
    for simpler in ("angle", "offset"):  # both only where both are worth it
        if settings[simpler].worst_glue_line <= settings[best].worst_glue_line + VISIBLE / 2:
            best = simpler
            break
    worth = now.worst_glue_line - settings[best].worst_glue_line >= VISIBLE
    return {"now": now, "turned": settings[best] if worth else now} | {
        k: settings[k] for k in ("angle", "offset", "both", "kept") if k in settings
    }


def kept_start_depth(shop: Shop, question: "Question") -> float | None:
    """
    Start depth that leaves the floor gap of the newest cut with this bit.

    Parameters
    ----------
    shop : Shop
        The log.
    question : Question
        What is asked.

    Returns
    -------
    start_depth : float or None
        None where no cut was made with this bit. [mm]
    """
    newest = next((cut for cut in reversed(shop.cuts) if cut.bit == question.bit), None)
    return None if newest is None else question.pocket_depth - (newest.pocket_depth - newest.start_depth)
