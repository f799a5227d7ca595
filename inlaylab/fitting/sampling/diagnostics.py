"""
Did the chains agree? R-hat and effective sample size, by rank, of every fitted quantity.

The estimators are those of arviz-stats: rank-normalised split R-hat and bulk effective sample size, as in
Vehtari, A. and others (2021), Bayesian Analysis 16, 667-718.
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

R_HAT_LIMIT, ESS_LIMIT = 1.05, 100.0
"""A fit past these is not used for advice."""
R_HAT_GOOD, ESS_GOOD = 1.017, 350.0
"""A run goes on, within its longest length, until these are met."""
AT_ONCE = 16
"""So many quantities are judged together: bounds memory."""


@dataclass(frozen=True, kw_only=True)
class Diagnostics:
    """
    The chains' agreement.

    Parameters
    ----------
    worst_r_hat, smallest_ess : float
        Over every fitted quantity.
    worst_name : str
        Quantity with the worst R-hat.
    divergences, draws : int
        Divergences and draws of all chains together.

    Examples
    --------
    >>> Diagnostics(worst_r_hat=1.2, smallest_ess=50, worst_name="bias", divergences=0, draws=1000).converged
    False
    """

    worst_r_hat: float
    smallest_ess: float
    worst_name: str
    divergences: int
    draws: int

    @property
    def converged(self) -> bool:
        """Good enough to advise from."""
        fine = self.worst_r_hat <= R_HAT_LIMIT and self.smallest_ess >= ESS_LIMIT
        return fine and self.divergences <= 0.02 * max(self.draws, 1)

    def in_words(self) -> str:
        """What the figures mean and what to do."""
        figures = (
            f"worst R-hat {self.worst_r_hat:.3f} (limit {R_HAT_LIMIT}), smallest effective sample "
            f"{self.smallest_ess:.0f} (limit {ESS_LIMIT:.0f}), {self.divergences} divergences"
        )
        if self.converged:
            return f"The chains agree: {figures}."
        return (
            f"The chains do not agree yet about {self.worst_name.replace('_', ' ')}: {figures}. "
            "Look at the suspects of `inlaylab check`, mend what is wrong, and fit again with another --seed."
        )


def diagnose(quantities: dict[str, np.ndarray], *, divergences: int = 0) -> Diagnostics:
    """
    Judge the chains.

    Parameters
    ----------
    quantities : dict of arrays, shape (chains, draws, …)
        Every fitted quantity.
    divergences : int
        Counted by the sampler.

    Returns
    -------
    diagnostics : Diagnostics

    Examples
    --------
    >>> rng = np.random.default_rng(1)
    >>> good = diagnose({"bias": rng.standard_normal((4, 300))})
    >>> good.converged, good.worst_r_hat < 1.02
    (True, True)
    """
    names, columns = [], []
    for name, value in quantities.items():
        flat = value.reshape(*value.shape[:2], -1)
        names += [name] * flat.shape[-1]
        columns += list(np.moveaxis(flat, -1, 0))
    blocks = (np.stack(columns[at : at + AT_ONCE], axis=-1) for at in range(0, len(names), AT_ONCE))
    with ThreadPoolExecutor(2) as pool:
        r_hat, size = (np.concatenate(each) for each in zip(*pool.map(_judged, blocks), strict=True))
    at = int(np.argmax(r_hat))
    return Diagnostics(
        worst_r_hat=float(r_hat[at]),
        smallest_ess=float(size.min()),
        worst_name=names[at],
        divergences=divergences,
        draws=columns[0].size,
    )


def _judged(draws: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """R-hat and effective sample size of each quantity (chains, draws, quantities)."""
    from arviz_stats.base import array_stats

    half = draws.shape[1] // 2
    halves = np.concatenate([draws[:, :half], draws[:, -half:]])
    even, folded = _normal_scores(halves), _normal_scores(np.abs(halves - np.median(halves, axis=(0, 1))))
    how = {"chain_axis": 0, "draw_axis": 1, "method": "identity"}
    r_hat = np.maximum(array_stats.rhat(even, **how), array_stats.rhat(folded, **how))
    return r_hat, np.asarray(array_stats.ess(even, **how))


def _normal_scores(draws: np.ndarray) -> np.ndarray:
    """Normal quantiles of the ranks, many at once: the library takes one quantity after the other, twice as slowly."""
    from scipy.special import ndtri
    from scipy.stats import rankdata

    flat = np.ascontiguousarray(draws.reshape(-1, draws.shape[-1]).T)
    return np.asarray(ndtri((rankdata(flat, axis=1) - 0.375) / (flat.shape[1] + 0.25))).T.reshape(draws.shape)
