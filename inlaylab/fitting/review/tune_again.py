"""When a bit should be tuned again: after which use the start depth to advise has moved, or the chance has fallen."""

from dataclasses import asdict, dataclass

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.fitting.advice.reweighting import cloud, weigh
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.predict.question import Question
from inlaylab.fitting.review.wear import metres_per_cut

RETUNE = 0.05
"""Tune again when the start depth to advise has moved by this much (common practice, no source). [mm]"""
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
    chance : array, shape (looks,)
        That every glue line is within the limit then if nothing is changed.
    due : float
        Further use at which it is due; infinite where it is not within the last look.
    due_low, due_high : float
        5 and 95 % quantiles over what the log does not know.
    metres_per_cut : float or None
        What one cut's worth of path is. [m]
    why : str
        Which comes first: the advice moves, or the chance falls.
    """

    bit: str
    start_depth: float
    use: np.ndarray
    advised: np.ndarray
    chance: np.ndarray
    due: float
    due_low: float
    due_high: float
    metres_per_cut: float | None
    why: str

    def to_json(self) -> dict:
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
        As set today: then it is also due when the chance there falls under what was asked; left out, the advice is
        taken, and only its own move counts. [mm]
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
    use = np.array(AHEAD)
    advised = np.array([weigh(here, np.ones((draws, 1))).start_depth[0] for here in looks])
    today = float(advised[0]) if start_depth is None else start_depth
    chance = np.array([_chance(here.shares.mean(axis=0), here.edges, today) for here in looks])
    moved = np.abs(np.array([here.right for here in looks]) - looks[0].right)
    dues = np.array([crossing(use, moved[:, i], RETUNE) for i in range(draws)])
    by_advice = crossing(use, np.abs(advised - advised[0]), RETUNE)
    falls = np.inf if start_depth is None else crossing(use, question.chance - chance, 0.0)
    due = min(by_advice, falls)
    if not np.isfinite(due):
        why = f"Within {AHEAD[-1]:.0f} further cuts neither the advice nor the chance is expected to move that far."
    elif falls < by_advice:
        why = f"The chance at today's start depth falls under the {question.chance:.0%} that was asked for."
    else:
        why = f"The advised start depth will have moved by {RETUNE:.2f} mm."
    return Retune(
        bit=question.bit,
        start_depth=today,
        use=use,
        advised=advised,
        chance=chance,
        due=float(due),
        due_low=float(np.quantile(dues, 0.05, method="lower")),
        due_high=float(np.quantile(dues, 0.95, method="higher")),
        metres_per_cut=metres_per_cut(shop),
        why=why,
    )


def _chance(mass: np.ndarray, edges: np.ndarray, start_depth: float) -> float:
    """Share of pieces that allow a start depth, from the shares in the bins, the deepest first."""
    reached = np.concatenate([[0.0], np.cumsum(mass[:-1])])
    return float(np.interp(-start_depth, -edges, reached))


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
