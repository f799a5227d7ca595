"""When a bit should be tuned again: when the start depth to go by has moved, or today's costs what can be seen."""

from dataclasses import asdict, dataclass

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.fitting.advice.depth_rule import DepthRule
from inlaylab.fitting.advice.worst_lines import HAIR, cloud
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.predict.question import Question
from inlaylab.fitting.review.wear import metres_per_cut

RETUNE = 0.05
"""Tune again when the start depth to go by has moved by this much (common practice, no source). [mm]"""
AHEAD = (0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0, 320.0)
"""Further use that is looked at. [cuts' worth of path]"""


@dataclass(frozen=True, kw_only=True)
class Retune:
    """
    When a bit should be tuned again for one question.

    Parameters
    ----------
    bit : str
        Its name.
    start_depth : float
        As set today. [mm]
    use : array, shape (looks,)
        Further cuts' worth of path.
    advised : array, shape (looks,)
        Start depth to go by then. [mm]
    worst_glue_line : array, shape (looks,)
        Expected then if nothing is changed. [mm]
    saved : array, shape (looks,)
        Of it, what tuning again would save. [mm]
    chance : array, shape (looks,)
        That every glue line is within the limit then if nothing is changed.
    due : float
        Further use at which it is due; infinite where it is not within the last look.
    due_low, due_high : float
        5 and 95 % quantiles over what the log does not know.
    metres_per_cut : float or None
        What one cut's worth of path is. [m]
    because : str
        What comes first: ``depth`` (it has moved by `RETUNE`), ``line`` (tuning again saves what a maker can see),
        ``chance`` (it falls below what was asked), or ``nothing`` within the last look.
    """

    bit: str
    start_depth: float
    use: np.ndarray
    advised: np.ndarray
    worst_glue_line: np.ndarray
    saved: np.ndarray
    chance: np.ndarray
    due: float
    due_low: float
    due_high: float
    metres_per_cut: float | None
    because: str

    def to_json(self) -> dict[str, object]:
        """Part ``retune`` of the answer of the command ``drift``, where a question is asked."""
        return asdict(self)


def retune(
    fit: Fit, shop: Shop, question: Question, *, start_depth: float | None = None, seed: int = 0, draws: int = 600
) -> Retune:
    """
    Say when a bit is due for tuning again.

    Parameters
    ----------
    fit : Fit
        Converged fit of the log.
    shop : Shop
        The log.
    question : Question
        What is cut with it.
    start_depth : float, optional
        As set today: then it is also due when the chance there falls below what was asked; left out, today's start
        depth to go by is taken. [mm]
    seed, draws : int
        Seed and number of the draws.

    Returns
    -------
    retune : Retune

    Raises
    ------
    NotConverged
        If the fit's chains do not agree.

    Notes
    -----
    The same draws and pieces are cut again with the flat that the bit will have after further use: tip flat + wear
    rate times use. The interval is of the use after which the right start depth of each draw has moved.
    """
    fit.check()
    looks = [cloud(fit, shop, question, seed=seed, draws=draws, further_use=use) for use in AHEAD]
    use, rules = np.array(AHEAD), [DepthRule(here) for here in looks]
    advised = np.array([float(rule.go_by().start_depth[0]) for rule in rules])
    today = float(advised[0]) if start_depth is None else start_depth
    chance = np.array([float(np.mean(here.limits >= today)) for here in looks])
    worst = np.array([float(here.law.at(today).mean()) for here in looks])
    tuned = np.array([float(here.law.at(depth).mean()) for here, depth in zip(looks, advised, strict=True)])
    known = [rule.if_known() for rule in rules]
    moved = np.abs(np.array(known) - known[0])
    dues = np.array([crossing(use, moved[:, i], RETUNE) for i in range(draws)])
    falls = np.inf if start_depth is None else crossing(use, question.chance - chance, 0.0)
    first = {
        "depth": crossing(use, np.abs(advised - advised[0]), RETUNE),
        "line": crossing(use, worst - tuned, HAIR),
        "chance": falls,
    }
    because = min(first, key=lambda what: first[what])
    due = first[because]
    return Retune(
        bit=question.bit,
        start_depth=today,
        use=use,
        advised=advised,
        worst_glue_line=worst,
        saved=worst - tuned,
        chance=chance,
        due=float(due),
        due_low=float(np.quantile(dues, 0.05, method="lower")),
        due_high=float(np.quantile(dues, 0.95, method="higher")),
        metres_per_cut=metres_per_cut(shop),
        because=because if np.isfinite(due) else "nothing",
    )


def crossing(use: np.ndarray, values: np.ndarray, limit: float) -> float:
    """
    Use at which a quantity first exceeds a limit, between looks by a straight line.

    Parameters
    ----------
    use : array, shape (looks,)
        Growing.
    values : array, shape (looks,)
        At each look.
    limit : float
        In the unit of the values.

    Returns
    -------
    use : float
        Infinite if it never does.

    Examples
    --------
    >>> crossing(np.array([0.0, 10.0, 20.0]), np.array([0.0, 0.02, 0.06]), 0.05)
    17.5
    """
    over = np.flatnonzero(values > limit)
    if not over.size:
        return float("inf")
    at = int(over[0])
    if at == 0:
        return float(use[0])
    part = (limit - values[at - 1]) / (values[at] - values[at - 1])
    return round(float(use[at - 1] + part * (use[at] - use[at - 1])), 9)
