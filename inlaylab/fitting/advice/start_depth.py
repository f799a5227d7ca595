"""
The start depth to use, why, and how sure that is.

Each predictive draw has one deepest start depth that keeps every glue line within the limit
(`models.seating.deepest_good_start_depth`); the share of draws that reach a depth is the chance there, and
the advice is the deepest depth whose chance is what the maker asks.
"""

from dataclasses import asdict, dataclass, replace

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.fitting.advice.depth_rule import answer, good_depths
from inlaylab.fitting.advice.settings import Setting, compare
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.predict.draws import DRAWS, Scenario, scenario, single_cut
from inlaylab.fitting.predict.question import STEP, Question


@dataclass(frozen=True, kw_only=True)
class Advice:
    """
    An answer.

    Parameters
    ----------
    start_depth : float or None
        The deepest that keeps the chance asked; None where none does. [mm]
    low, high : float or None
        5 and 95 % quantiles of the depth that would be right if everything lasting were known. [mm]
    chance : float
        That every glue line is within the limit there; where none is advised, the best there is.
    why : str
        The reason in words.
    held_up_by : str or None
        The contact most likely to hold the plug up.
    held_up_chance : float
        How likely that contact is.
    floor_gap_needed : float or None
        Pocket depth less start depth; carries over to any pocket depth. [mm]
    curve : tuple of (float, float)
        Start depth [mm] and chance.
    settings : dict of Setting
        ``now``, ``turned`` (the better of the ways below, or today's), ``angle``, ``offset``, ``both``.
    warnings : tuple of str
        Where the question goes beyond what the log has seen.
    question : Question
        What was asked.
    """

    start_depth: float | None
    low: float | None
    high: float | None
    chance: float
    why: str
    held_up_by: str | None
    held_up_chance: float
    floor_gap_needed: float | None
    curve: tuple[tuple[float, float], ...]
    settings: dict[str, Setting]
    warnings: tuple[str, ...]
    question: Question

    def to_json(self) -> dict:
        """Answer of the command ``advise``."""
        keys = ("start_depth", "low", "high", "chance", "why", "held_up_by", "held_up_chance", "floor_gap_needed")
        return {key: getattr(self, key) for key in keys} | {
            "curve": [{"start_depth": depth, "chance": chance} for depth, chance in self.curve],
            "settings": {name: asdict(setting) for name, setting in self.settings.items()},
            "warnings": list(self.warnings),
        }


def _interval(fit: Fit, shop: Shop, question: Question, seed: int) -> tuple[float, float]:
    """5 and 95 % quantiles of the right start depth over what lasts; each from its own cloud of single cuts."""
    outer, inner = 240, 250
    world = scenario(
        fit, shop, (question.cut(question.span[0]),), seed=seed, size=outer, strokes=[question.half_widths]
    )
    rng = np.random.default_rng([seed, 7])
    many = {name: np.repeat(value, inner, axis=0) for name, value in world.fitted.items()}
    many |= single_cut(many, rng, (outer * inner, 1))
    cloud = replace(world, fitted=many, rng=rng)
    good = good_depths(cloud, cloud.openings((1, len(question.half_widths))), question.within).reshape(outer, inner)
    low, high = question.span
    best = np.clip(np.quantile(good, 1 - question.chance, axis=1, method="lower"), low, high)
    return float(np.quantile(best, 0.05)), float(np.quantile(best, 0.95))


def _holder(world: Scenario, start_depth: float) -> tuple[str, float]:
    """Name of the contact that most often holds the plug up, and how often."""
    from inlaylab.models.seating import seat

    there = replace(world, cuts=replace(world.cuts, start_depth=np.array([[start_depth]])))
    fitted = world.fitted
    rest = seat(
        start_depth=start_depth,
        host_zero_error=fitted["host_zero_error"][..., None],
        insert_zero_error=fitted["insert_zero_error"][..., None],
        seat_shortfall=fitted["shortfall"][..., None],
        **there.section(),
    )
    names, counts = np.unique(rest.held_up_by, return_counts=True)
    return str(names[counts.argmax()]), float(counts.max() / counts.sum())


def _reason(question: Question, depth: float | None, chance: float, held: tuple[str, float], best: float) -> str:
    """Say in words why this depth, or why none."""
    contact, share = held
    if depth is None:
        low, high = question.span
        return (
            f"At no start depth between {low:.2f} and {high:.2f} mm is the chance of glue lines within "
            f"{question.within:.2f} mm at least {question.chance:.0%}; the best is {chance:.0%}. There the {contact} "
            f"holds the plug up ({share:.0%}). What would help: {_cure(contact)}, allow a wider glue line, or ask for "
            f"a chance of {best:.0%} or less."
        )
    if contact == "wall":
        reason = "there the walls meet before the nose comes down: the floor gap is larger than the sink"
    elif contact in ("floor", "nose"):
        reason = "deeper, the nose would stand on the pocket's floor and lift the plug off its walls"
    else:
        reason = f"there the {contact} holds the plug up, and start depth does not change that"
    reached = "a chance of at least" if chance >= question.chance else "a chance that the draws cannot tell from"
    return (
        f"The deepest start depth with {reached} {question.chance:.0%}; {reason} "
        f"(the {contact} is what stops the plug in {share:.0%} of simulated cuts)."
    )


def _cure(contact: str) -> str:
    return {
        "wall": "turn the path angle to the bit's true angle, or sharpen or change the bit",
        "floor": "clear the floor with an end mill or with closer passes, or cut the pocket deeper",
        "nose": "cut the pocket deeper",
        "crest": "thicken the thinnest strokes, or break their crests by a light sanding before the glue",
        "backer": "cut the relief deeper",
        "land": "cut the relief deeper or widen the thinnest lands",
    }[contact]


def advise(fit: Fit, shop: Shop, question: Question, *, seed: int = 0, draws: int = DRAWS) -> Advice:
    """
    Advise a start depth.

    Parameters
    ----------
    fit : Fit
        Fit of the log.
    shop : Shop
        The log.
    question : Question
        What is asked.
    seed, draws : int
        Seed and number of the predictive draws.

    Returns
    -------
    advice : Advice

    Raises
    ------
    NotConverged
        If the fit's chains do not agree.
    RecordError
        If bit or pair are not in the log.
    """
    from inlaylab.fitting.advice.warnings import warnings_of

    fit.check()
    low, high = question.span
    strokes = [question.half_widths]
    world = scenario(fit, shop, (question.cut(low),), seed=seed, size=draws, strokes=strokes)
    openings = world.openings((1, len(question.half_widths)))
    good = good_depths(world, openings, question.within)
    depth, chance = answer(good, question)
    at = low if depth is None else depth
    held = _holder(world, at)
    grid = np.arange(round(low / STEP), round(high / STEP) + 1) * STEP
    curve = tuple((round(float(s), 4), float(np.mean(good >= s))) for s in grid)
    if depth is not None:
        first, last = _interval(fit, shop, question, seed)
    return Advice(
        start_depth=depth,
        low=min(first, depth) if depth is not None else None,
        high=max(last, depth) if depth is not None else None,
        chance=chance,
        why=_reason(question, depth, chance, held, np.floor(chance * 100) / 100),
        held_up_by=held[0],
        held_up_chance=held[1],
        floor_gap_needed=None if depth is None else question.pocket_depth - depth,
        curve=curve,
        settings=compare(fit, shop, question, depth, seed=seed, draws=draws),
        warnings=warnings_of(fit, shop, question),
        question=question,
    )
