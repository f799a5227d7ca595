"""
Settings that can be turned: path angle, outline offset, relief depth, and the start depth that goes with them.

All ways of turning the first three are tried together, each with the start depth that the rule gives it. Of the
tightest one, whatever gains less than a maker can see is turned back; the rest is told in the order of what it gains.
"""

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.fitting.advice.depth_rule import DepthRule
from inlaylab.fitting.advice.worst_lines import HAIR, Cloud, cloud
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.predict.question import Question

TURNED = ("path angle", "outline offset", "relief depth")
"""What is tried beside the start depth."""


@dataclass(frozen=True, kw_only=True)
class Setting:
    """
    One way to set the machine, and what comes of it.

    Parameters
    ----------
    path_angle_deg, outline_offset, relief_depth : float
        [degrees], [mm], [mm]
    start_depth : float
        To go by with them. [mm]
    worst_glue_line : float
        Expected there, per side. [mm]
    chance : float
        That every glue line is within what is asked.
    """

    path_angle_deg: float
    outline_offset: float
    relief_depth: float
    start_depth: float
    worst_glue_line: float
    chance: float


@dataclass(frozen=True, kw_only=True)
class Turn:
    """
    One setting that is worth turning.

    Parameters
    ----------
    what : str
        ``start depth`` or one of `TURNED`.
    today, better : float
        [mm]; a path angle in degrees.
    gain : float
        Expected worst glue line saved, on top of the turns before it. [mm]
    chance_gain : float
        Growth of the chance of good lines.
    """

    what: str
    today: float
    better: float
    gain: float
    chance_gain: float


@dataclass(frozen=True, kw_only=True)
class Settings:
    """
    Today's settings beside the tightest ones.

    Parameters
    ----------
    now : Setting
        As asked, at the start depth to go by.
    turned : Setting
        The tightest; today's where nothing gains what a maker can see.
    turns : tuple of Turn
        From today's settings to those, in the order of what each gains; the start depth is compared with the floor gap
        of the newest cut with this bit, where there is one.
    kept : Setting or None
        Today's settings with that floor gap kept.
    """

    now: Setting
    turned: Setting
    turns: tuple[Turn, ...]
    kept: Setting | None


def compare(
    fit: Fit, shop: Shop, here: Cloud, start_depth: float, *, relief_depth_needed: float | None, seed: int
) -> Settings:
    """
    Find the settings that give the tightest lines together.

    Parameters
    ----------
    fit : Fit
        Converged fit of the log.
    shop : Shop
        The log.
    here : Cloud
        Of the question as asked.
    start_depth : float
        To go by as asked. [mm]
    relief_depth_needed : float or None
        There; None where no relief depth is enough. [mm]
    seed : int
        Of the draws: those of ``here``, so that differences are not noise.

    Returns
    -------
    settings : Settings
    """
    question = here.question
    better = better_values(here, relief_depth_needed)
    draws, pieces = here.bends.shape
    found: dict[tuple[str, ...], Setting] = {(): _setting(here, shop, start_depth)}
    for ways in _ways(better):
        asked = _turned(question, {name: better[name] for name in ways})
        there = cloud(fit, shop, asked, seed=seed, draws=draws, pieces=pieces)
        found[ways] = _setting(there, shop, float(DepthRule(there).go_by().start_depth[0]))
    best = _worth_turning(found)
    kept_depth = kept_start_depth(shop, question)
    kept = None if kept_depth is None else _setting(here, shop, kept_depth)
    return Settings(now=found[()], turned=found[best], turns=_turns(found, best, kept), kept=kept)


def better_values(here: Cloud, relief: float | None) -> dict[str, float]:
    """
    Values of the settings that the fit expects to be tighter than those asked with.

    Parameters
    ----------
    here : Cloud
        Of the question as asked.
    relief : float or None
        Relief depth needed; None where none is enough. [mm]

    Returns
    -------
    values : dict of float
        Keys are of `TURNED`; what could not be better is left out.

    Notes
    -----
    The path gets the bit's expected true angle (to 0.1 degrees), the outline the expected tip flat less wall allowance
    (o = t - w, to 0.01 mm, never below what is asked), the relief the depth needed where it is deeper than today's.
    """
    world, question = here.world, here.question
    angle = round(float(np.mean(world.fitted["true_angle"][:, 0])), 1)
    offset = round(float(np.mean(world.tip_flat()[:, 0] - world.fitted["wall_allowance"][:, 0])), 2)
    found = {}
    if abs(angle - float(world.cuts.path_angle[0, 0])) >= 0.05:
        found["path angle"] = angle
    if offset > question.outline_offset:
        found["outline offset"] = offset
    if relief is not None and relief > question.relief_depth:
        found["relief depth"] = relief
    return found


def kept_start_depth(shop: Shop, question: Question) -> float | None:
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


def _ways(better: dict[str, float]) -> list[tuple[str, ...]]:
    names = [name for name in TURNED if name in better]
    return [ways for count in range(1, len(names) + 1) for ways in combinations(names, count)]


def _turned(question: Question, values: dict[str, float]) -> Question:
    return replace(
        question,
        path_angle_deg=values.get("path angle", question.path_angle_deg),
        outline_offset=values.get("outline offset", question.outline_offset),
        relief_depth=values.get("relief depth", question.relief_depth),
    )


def _setting(here: Cloud, shop: Shop, start_depth: float) -> Setting:
    question = here.question
    return Setting(
        path_angle_deg=float(question.path_angle_deg or shop.bit(question.bit).nominal_angle_deg),
        outline_offset=question.outline_offset,
        relief_depth=question.relief_depth,
        start_depth=start_depth,
        worst_glue_line=float(here.law.at(start_depth).mean()),
        chance=float(np.mean(here.limits >= start_depth)),
    )


def _worth_turning(found: dict[tuple[str, ...], Setting]) -> tuple[str, ...]:
    """Tightest way of turning in which every single turn gains what a maker can see."""
    best = min(found, key=lambda ways: found[ways].worst_glue_line)
    while best:
        without = [tuple(name for name in best if name != left) for left in best]
        least = min(without, key=lambda ways: found[ways].worst_glue_line)
        if found[least].worst_glue_line - found[best].worst_glue_line >= HAIR:
            break
        best = least
    return best


def _turns(found: dict[tuple[str, ...], Setting], best: tuple[str, ...], kept: Setting | None) -> tuple[Turn, ...]:
    """One turn after the other, each time the one that gains most."""
    turns: list[Turn] = []
    so_far: tuple[str, ...] = ()
    before = found[()]
    if kept is not None and kept.worst_glue_line - before.worst_glue_line >= HAIR:
        turns.append(_turn("start depth", kept, before))
    while len(so_far) < len(best):
        steps = [tuple(n for n in TURNED if n in (*so_far, name)) for name in best if name not in so_far]
        after = min(steps, key=lambda ways: found[ways].worst_glue_line)
        (what,) = set(after) - set(so_far)
        turns.append(_turn(what, before, found[after]))
        so_far, before = after, found[after]
    return tuple(sorted(turns, key=lambda turn: -turn.gain))


def _turn(what: str, before: Setting, after: Setting) -> Turn:
    key = what.replace(" ", "_") + ("_deg" if what == "path angle" else "")
    return Turn(
        what=what,
        today=getattr(before, key),
        better=getattr(after, key),
        gain=before.worst_glue_line - after.worst_glue_line,
        chance_gain=after.chance - before.chance,
    )
