"""
What to measure next: the test cut, or the measurement without one, that is expected to better the advice most.

For each candidate some results are drawn from the fit, all draws are weighed by how likely each makes the
result, and the advice is given again (`simulated_results`, `reweighting`). Everything is compared with simply
cutting at the present advice, which is hard to beat.
"""

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.errors import Stopped
from inlaylab.fitting.advice.reweighting import Reweighting, Weighed
from inlaylab.fitting.advice.start_depth import go_by
from inlaylab.fitting.advice.worst_lines import cloud
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.next import simulated_results as results
from inlaylab.fitting.next.options import MEASURES, ORDINARY, Candidate, candidates
from inlaylab.fitting.predict.question import Question
from inlaylab.fitting.sampling.posterior import Progress

SETTABLE = 0.05
"""A change of start depth under this is not worth setting (common practice, no source). [mm]"""
PIECES = 16
"""Single pieces of each draw that the advice is weighed on."""
TRIALS = 60
"""Results drawn for each candidate."""
FEWEST_EFFECTIVE, FEWEST_RESULTS = 0.02, 10
"""Results after which any candidate leaves a smaller effective share of the draws are dropped for all of them, for
their weights are noise and dropping them only for one would favour the others; so many are kept at the least."""
NEARER = 0.05
"""Difference in the chance of a good advice that counts."""
CLEARLY = 0.2
"""Share of its worth by which a cut elsewhere must beat a cut at the present advice, which is hard to beat."""
NO_CUT_SHARE = 0.9
"""A measurement without a cut is preferred from this share of the best cut's worth upward: it costs no night in the
clamps, and the cut can still follow (the kit's own choice)."""


@dataclass(frozen=True, kw_only=True)
class NextCut:
    """
    What to measure next.

    Parameters
    ----------
    measure : str
        ``cut``, ``tip_flat``, ``groove`` or ``depth_gauge``.
    start_depth, pocket_depth, relief_depth : float or None
        Start depth, pocket depth and relief depth of a test cut. [mm]
    coupon : str or None
        Coupon of a test cut; None also where the shop has none yet.
    stations : tuple of str
        Stations of that coupon that tell most, most useful first.
    also : tuple of str
        Readings of that cut that the shop does not usually take and that would help.
    groove_depths : tuple of float
        Depths of grooves. [mm]
    expected_gain : float
        How far the result is expected to move the advice. [mm]
    enough : bool
        Whether no measurement is expected to move the advice by more than `SETTABLE`.
    most : float
        How far the most telling of all candidates is expected to move it. [mm]
    advised : float
        Start depth to go by today. [mm]
    near : float
        Chance that it lies within 0.10 mm of the right one.
    reached : bool
        Whether some start depth has the chance asked today.
    question : Question
        What was asked.
    candidates : tuple of Candidate
        Everything that was compared, the best first.
    """

    measure: str
    start_depth: float | None
    pocket_depth: float | None
    relief_depth: float | None
    coupon: str | None
    stations: tuple[str, ...]
    also: tuple[str, ...]
    groove_depths: tuple[float, ...]
    expected_gain: float
    enough: bool
    most: float
    advised: float
    near: float
    reached: bool
    question: Question
    candidates: tuple[Candidate, ...]

    @property
    def best_cut(self) -> Candidate:
        """The test cut that is worth most."""
        return max((c for c in self.candidates if c.measure == "cut"), key=lambda candidate: candidate.worth)

    def to_json(self) -> dict[str, object]:
        """Answer of the command ``next-cut``, without its ``why``."""
        record = asdict(self)
        record.pop("question")
        record["candidates"] = [asdict(candidate) for candidate in self.candidates]
        return record


def next_cut(
    fit: Fit,
    shop: Shop,
    question: Question,
    *,
    seed: int = 0,
    draws: int = 2000,
    progress: Progress | None = None,
    stop: Callable[[], bool] | None = None,
) -> NextCut:
    """
    Say which measurement is expected to better the advice most, and whether any is worth making.

    Parameters
    ----------
    fit : Fit
        Converged fit of the log.
    shop : Shop
        The log.
    question : Question
        What is asked; its coupon, if any, is the first that is tried.
    seed, draws : int
        Seed and number of the draws that are weighed.
    progress, stop : callable, optional
        See `sampling.sample`.

    Returns
    -------
    next_cut : NextCut

    Raises
    ------
    NotConverged
        If the fit's chains do not agree.
    Stopped
        When ``stop`` said so.

    Notes
    -----
    Expected value of sample information: for each of some results y drawn from the fit, the draws are weighed by
    p(y | draw) and the loss saved by the new advice is taken; its mean over the results is the candidate's worth.
    """
    fit.check()
    here = Reweighting(cloud(fit, shop, question, seed=seed, draws=draws, pieces=PIECES))
    depth = go_by(fit, shop, question, seed=seed)[2]
    now = here.weigh(np.ones((draws, 1)))
    rng = np.random.default_rng([seed, 23])
    rows = rng.permutation(draws)[:TRIALS]
    plan = list(candidates(shop, question, here.cloud.world, start_depth=depth, rng=rng))
    found: list[_Found] = []
    for i, (candidate, measurement) in enumerate(plan):
        if stop is not None and stop():
            raise Stopped("stopped before all candidates were compared")
        if progress is not None:
            progress(i / len(plan), None, f"weighing {MEASURES[candidate.measure]}")
        taken = measurement()
        judged, _ = judge(here, taken, rows, np.random.default_rng([seed, 29]))
        found.append(_Found(candidate=candidate, measurement=taken, weighed=judged, worth=judged.worth))
    return _chosen(_judged(found), here, advised=depth, now=now)


@dataclass(frozen=True, kw_only=True)
class _Found:
    """A candidate, its readings, and what each of its results would do; its worth, of the results that count."""

    candidate: Candidate
    measurement: results.Measurement
    weighed: Weighed
    worth: np.ndarray


def judge(
    here: Reweighting, measurement: results.Measurement, rows: np.ndarray, rng: np.random.Generator
) -> tuple[Weighed, np.ndarray]:
    """
    Advise again after each of some results of a measurement.

    Parameters
    ----------
    here : Reweighting
        The draws.
    measurement : Measurement
        What would be read.
    rows : array of int, shape (results,)
        Draws taken for the truth.
    rng : Generator
        Source of chance.

    Returns
    -------
    weighed : Weighed
        One entry a result.
    weights : array, shape (draws, results)
    """
    log_weights = results.log_chances(measurement, results.simulate(measurement, rows, rng))
    weights = np.exp(log_weights - log_weights.max(axis=0))
    return here.weigh(weights), weights


def _judged(found: list[_Found]) -> list[_Found]:
    """Judge all candidates by the same results, those that leave each of them enough effective draws."""
    share = np.array([f.weighed.effective for f in found])
    least = share.min(axis=0)
    kept = least >= FEWEST_EFFECTIVE
    if kept.sum() < FEWEST_RESULTS:
        kept = least >= np.sort(least)[-FEWEST_RESULTS]
    out = []
    for each, effective in zip(found, share, strict=True):
        seen = each.weighed
        candidate = replace(
            each.candidate,
            expected_gain=float(np.abs(seen.moved[kept]).mean()),
            worth=float(seen.worth[kept].mean()),
            worth_error=float(seen.worth[kept].std() / np.sqrt(kept.sum())),
            near=float(seen.near[kept].mean()),
            line_saved=float(seen.line_saved[kept].mean()),
            reached=float(seen.reached[kept].mean()),
            dropped=int((effective < FEWEST_EFFECTIVE).sum()),
        )
        out.append(replace(each, candidate=candidate, worth=seen.worth[kept]))
    return out


def _better(one: _Found, other: _Found) -> bool:
    """Whether a candidate is worth more than another beyond the noise of their common results, and clearly so."""
    ahead = one.worth - other.worth
    noise = 2 * float(ahead.std()) / np.sqrt(len(ahead))
    nearer = one.candidate.near - other.candidate.near > NEARER
    return bool(ahead.mean() > (noise if nearer else max(noise, CLEARLY * one.worth.mean())))


def _chosen(found: list[_Found], here: Reweighting, *, advised: float, now: Weighed) -> NextCut:
    """Choose: without a cut where that is nearly as good, else at the present advice, else the best cut."""
    question = here.cloud.question
    present = found[0]
    cuts = [f for f in found if f.candidate.measure == "cut" and not f.candidate.also]
    others = [f for f in found if f.candidate.measure != "cut"]
    best_cut = max(cuts, key=lambda f: f.candidate.worth)
    cut = best_cut if _better(best_cut, present) else present
    for more in (f for f in found if f.candidate.also):  # a minute's work on a cut that is made anyway
        cut = more if more.candidate.near > cut.candidate.near + NEARER / 2 else cut
    free = max(others, key=lambda f: f.candidate.worth)
    as_good = free.candidate.worth >= NO_CUT_SHARE * cut.candidate.worth
    pick = free if as_good and free.candidate.near > cut.candidate.near - NEARER else cut
    most = max(f.candidate.expected_gain for f in found)
    chosen, is_cut = pick.candidate, pick.candidate.measure == "cut"
    ordinary = chosen.coupon == ORDINARY.coupon
    rest = sorted((f.candidate for f in found if f is not pick), key=lambda c: -c.worth)
    return NextCut(
        measure=chosen.measure,
        start_depth=chosen.start_depth,
        pocket_depth=question.pocket_depth if is_cut else None,
        relief_depth=question.relief_depth if is_cut else None,
        coupon=None if ordinary else chosen.coupon,
        stations=telling_stations(pick.measurement, here) if is_cut else (),
        also=chosen.also,
        groove_depths=chosen.groove_depths,
        expected_gain=chosen.expected_gain,
        enough=most < SETTABLE,
        most=most,
        advised=advised,
        near=float(now.near[0]),
        reached=bool(now.reached[0]),
        question=question,
        candidates=(chosen, *rest),
    )


def telling_stations(measurement: results.Measurement, here: Reweighting, *, most: int = 4) -> tuple[str, ...]:
    """
    Stations whose glue lines tell most of the right start depth, each beside those named before it.

    Parameters
    ----------
    measurement : Measurement
        Readings of a test cut.
    here : Reweighting
        The draws.
    most : int
        How many to name at the most.

    Returns
    -------
    stations : tuple of str
        Picked one by one: the largest correlation with what the ones before leave unexplained.
    """
    at = [i for i, name in enumerate(measurement.names) if name.startswith("glue_line ")]
    noise = np.random.default_rng(31).standard_normal((len(here.if_known), len(at)))
    seen = np.maximum(measurement.means[:, 0, at] + measurement.sd[:, at] * noise, measurement.limit[at])
    seen = seen - seen.mean(axis=0)
    left = here.if_known - here.if_known.mean()
    whole = float(left @ left)
    picked: list[int] = []
    while len(picked) < min(most, len(at)) and whole > 0:
        size = np.sqrt((seen**2).sum(axis=0))
        pull = np.where(size > 1e-9, np.abs(left @ seen) / np.maximum(size, 1e-9), 0.0)
        pull[picked] = 0.0
        if pull.max() ** 2 < 0.01 * whole:
            break
        picked.append(int(pull.argmax()))
        chosen = seen[:, picked]
        left = here.if_known - here.if_known.mean()
        left = left - chosen @ np.linalg.lstsq(chosen, left, rcond=None)[0]
    return tuple(measurement.names[at[i]].removeprefix("glue_line ") for i in picked)
