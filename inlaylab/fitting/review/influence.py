"""
What each past cut taught: how the advice moved with it, what held its plug up, how well its readings fit.

The advice without a cut comes from weighing the posterior draws by how unlikely each makes that cut's readings
(leave one out). Weights with a long tail are smoothed by a Pareto law, and where even that is not enough it is said.
"""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from inlaylab.bench.cuts import Cut
from inlaylab.bench.shop import Shop
from inlaylab.errors import Stopped
from inlaylab.fitting.advice.reweighting import Reweighting, Weighed
from inlaylab.fitting.advice.worst_lines import Cloud, cloud
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.observations import Observations, observe
from inlaylab.fitting.predict.draws import Scenario
from inlaylab.fitting.predict.question import Question
from inlaylab.fitting.review.cut_likelihood import log_chances_of_cut, thinned
from inlaylab.fitting.review.residuals import expected_readings
from inlaylab.fitting.sampling.posterior import Progress
from inlaylab.models.contacts import CONTACTS
from inlaylab.models.seating import seat

TRUSTED_TAIL = 0.7
"""Above this Pareto shape the advice without a cut is only a guess (Vehtari and others 2024, JMLR 25, paper 72)."""
CHUNK = 25
"""Cuts whose seats are worked out together."""


@dataclass(frozen=True, kw_only=True)
class CutTaught:
    """
    What one cut taught.

    Parameters
    ----------
    cut : str
        Its name.
    start_depth, floor_gap : float
        As programmed. [mm]
    advised_without : float
        Start depth to go by if this cut had not been logged. [mm]
    moved : float
        How far the advice moved with it; positive deeper. [mm]
    leverage : float
        Share of the draws that would no longer count without it: 0 if it taught nothing that the others do not.
    tail : float
        Pareto shape of the weights.
    trusted : bool
        Whether that shape is below `TRUSTED_TAIL`.
    held_up_by : str
        The contact that most likely held its plug up.
    contacts : dict of float
        Chance of each contact.
    residual : float or None
        Root mean square of its standardised residuals: about 1 where all is well; None where no length was read.
    worst_reading : str
        Kind, and station if any, of the reading that fits worst; blank where no length was read.
    worst_residual : float or None
        Worst residual of that reading: read less expected. [mm]
    """

    cut: str
    start_depth: float
    floor_gap: float
    advised_without: float
    moved: float
    leverage: float
    tail: float
    trusted: bool
    held_up_by: str
    contacts: dict[str, float]
    residual: float | None
    worst_reading: str
    worst_residual: float | None


@dataclass(frozen=True, kw_only=True)
class Taught:
    """
    What the cuts of a log taught about one question.

    Parameters
    ----------
    question : Question
        What was asked.
    advised : float
        Start depth to go by with all cuts. [mm]
    reached : bool
        Whether some start depth has the chance asked.
    cuts : tuple of CutTaught
        In the log's order.
    """

    question: Question
    advised: float
    reached: bool
    cuts: tuple[CutTaught, ...]

    @property
    def by_weight(self) -> tuple[CutTaught, ...]:
        """The cuts, those that moved the advice most first."""
        return tuple(sorted(self.cuts, key=lambda cut: -abs(cut.moved)))

    def to_json(self) -> dict[str, object]:
        """Answer of the command ``taught``."""
        cuts = [asdict(cut) for cut in self.cuts]
        return {"advised": self.advised, "reached": self.reached, "cuts": cuts}


def taught(
    fit: Fit,
    shop: Shop,
    question: Question,
    *,
    seed: int = 0,
    draws: int = 1000,
    progress: Progress | None = None,
    stop: Callable[[], bool] | None = None,
) -> Taught:
    """
    Say what each cut of the log taught.

    Parameters
    ----------
    fit : Fit
        Converged fit of the log.
    shop : Shop
        The log.
    question : Question
        What is asked.
    seed, draws : int
        Seed and number of the draws that are weighed.
    progress, stop : callable, optional
        See `sampling.sample`.

    Returns
    -------
    taught : Taught

    Raises
    ------
    NotConverged
        If the fit's chains do not agree.
    Stopped
        When ``stop`` said so.

    Notes
    -----
    A draw's weight without cut i is 1 / p(readings of i | draw), the cut's own zero errors and shortfall integrated
    out; smoothed as in Vehtari, A. and others (2024), Journal of Machine Learning Research 25, paper 72.
    """
    from arviz_stats.base import array_stats

    fit.check()
    some = thinned(fit, draws)
    here = Reweighting(cloud(some, shop, question, seed=seed, draws=len(some.values["bias"])))
    rows = _rows(some, here.cloud)
    seen = observe(shop)
    now = here.weigh(np.ones((len(rows), 1)))
    contacts, residuals = contact_chances(some, seen), _residuals(fit, seen, shop)
    found = []
    for i, cut in enumerate(shop.cuts):
        if stop is not None and stop():
            raise Stopped("stopped before all cuts were weighed")
        if progress is not None:
            progress(i / len(shop.cuts), None, f"weighing cut {cut.cut}")
        log_chances = log_chances_of_cut(some, seen, i, rng=np.random.default_rng([seed, i]))
        log_weights, tail = array_stats.psislw(-log_chances)
        without = here.weigh(np.exp(np.asarray(log_weights)[rows, None]))
        found.append(_told(cut, float(now.start_depth[0]), without, float(tail), contacts[i], residuals[i]))
    advised, reached = float(now.start_depth[0]), bool(now.reached[0])
    return Taught(question=question, advised=advised, reached=reached, cuts=tuple(found))


def _told(
    cut: Cut, advised: float, without: Weighed, tail: float, contacts: np.ndarray, residuals: dict[str, Any]
) -> CutTaught:
    chances = {name: float(share) for name, share in zip(CONTACTS, contacts, strict=True)}
    return CutTaught(
        cut=cut.cut,
        start_depth=cut.start_depth,
        floor_gap=cut.pocket_depth - cut.start_depth,
        advised_without=float(without.start_depth[0]),
        moved=advised - float(without.start_depth[0]),
        leverage=1.0 - float(without.effective[0]),
        tail=tail,
        trusted=tail < TRUSTED_TAIL,
        held_up_by=max(chances, key=lambda name: chances[name]),
        contacts=chances,
        **residuals,
    )


def _rows(fit: Fit, here: Cloud) -> np.ndarray:
    """Which of the fit's draws each draw of the cloud is; both hold the same biases, in another order."""
    rows = np.empty(len(fit.values["bias"]), int)
    rows[np.argsort(here.world.fitted["bias"], kind="stable")] = np.argsort(fit.values["bias"], kind="stable")
    return rows


def contact_chances(fit: Fit, seen: Observations, *, draws: int = 200) -> np.ndarray:
    """
    Chance of each contact to have held up each cut's plug.

    Parameters
    ----------
    fit : Fit
        Fit of the shop.
    seen : Observations
        The same shop.
    draws : int
        How many posterior draws are looked at.

    Returns
    -------
    chances : array, shape (cuts, contacts)
        In the order of `models.contacts.CONTACTS`; each row adds to 1.
    """
    fitted, cuts = thinned(fit, draws).values, seen.cuts
    section = Scenario(fitted=fitted, cuts=cuts, rng=np.random.default_rng(0)).section()
    out = np.zeros((len(cuts.bit), len(CONTACTS)))

    def part(value: np.ndarray, at: slice) -> np.ndarray:
        return value[at] if np.ndim(value) == 2 else value[:, at]

    for start in range(0, len(cuts.bit), CHUNK):
        at = slice(start, start + CHUNK)
        rest = seat(
            start_depth=cuts.start_depth[at],
            host_zero_error=fitted["host_zero_error"][:, at, None],
            insert_zero_error=fitted["insert_zero_error"][:, at, None],
            **{name: part(value, at) for name, value in section.items()},
        )
        for k, name in enumerate(CONTACTS):
            out[at, k] = np.mean(np.asarray(rest.held_up_by) == name, axis=0)
    return out


def _residuals(fit: Fit, seen: Observations, shop: Shop) -> list[dict[str, Any]]:
    """For each cut the spread of its standardised residuals, and the reading that fits worst."""
    found: list[list[tuple[float, float, str]]] = [[] for _ in shop.cuts]
    for kind, columns in expected_readings(fit, seen).items():
        rows = seen.rows[kind]
        for n in np.flatnonzero(np.isfinite(columns["residual"])) if "cut" in rows else ():
            station = shop.readings[rows["row"][n]].station
            name = kind if station is None else f"{kind} {station}"
            found[rows["cut"][n]].append((float(columns["standardised"][n]), float(columns["residual"][n]), name))
    out = []
    for readings in found:
        worst = max(readings, key=lambda reading: abs(reading[0]), default=None)
        square = [standardised**2 for standardised, _, _ in readings]
        out.append(
            {
                "residual": float(np.sqrt(np.mean(square))) if square else None,
                "worst_reading": worst[2] if worst else "",
                "worst_residual": worst[1] if worst else None,
            }
        )
    return out
