"""Prior and posterior side by side: where the starting belief speaks, and where the log does."""

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.priors import SHOP, draw_prior, values
from inlaylab.fitting.quantiles import spread

LITTLE, MUCH = 0.25, 0.6
"""Contraction up to which the prior speaks, and from which the log does (the kit's own choice)."""
FAR = 1.0
"""A middle this many prior standard deviations away was moved by the log, however wide it still is."""
PRIOR_DRAWS = 8000
WORDS = {
    "prior": "mostly the starting belief",
    "both": "the log and the starting belief together",
    "log": "mostly the log",
}
"""Who speaks, in plain words."""

EACH = {
    "true_angle": ("bits", "degrees", "true angle of bit {}"),
    "tip_flat": ("bits", "mm", "tip flat of bit {}"),
    "wall_allowance": ("pairs", "mm", "wall allowance of pair {}"),
    "crest_loss": ("species", "mm", "crest loss of {}"),
    "half_filled": ("species", "mm", "finished width of {} of which half fills"),
}
"""Quantities of which each bit, pair or species has one: whose they are, unit, and the words for them."""
POSITIVE = ("tip_flat", "crest_loss")


@dataclass(frozen=True, kw_only=True)
class Belief:
    """
    One quantity before and after the log.

    Parameters
    ----------
    quantity, of : str
        Key of the fitted quantity, and whose it is (blank: the shop's).
    meaning, unit : str
        In a maker's words; its unit, blank for a ratio or a chance.
    prior, posterior : dict of float
        ``q05``, ``q50``, ``q95`` in the quantity's unit.
    contraction : float
        1 less posterior over prior standard deviation, on the scale on which the prior is normal: 0 where the log
        said nothing, near 1 where it said nearly all.
    shift : float
        Posterior less prior middle, in prior standard deviations.
    speaks : str
        ``prior``, ``both`` or ``log``: a key of `WORDS`.
    """

    quantity: str
    of: str
    meaning: str
    unit: str
    prior: dict[str, float]
    posterior: dict[str, float]
    contraction: float
    shift: float
    speaks: str

    @property
    def words(self) -> str:
        """Who speaks, in plain words."""
        return WORDS[self.speaks]


@dataclass(frozen=True, kw_only=True)
class Beliefs:
    """
    Every lasting quantity before and after the log.

    Parameters
    ----------
    rows : tuple of Belief
        The shop's first, then bits, pairs, species.

    Examples
    --------
    >>> Beliefs(rows=()).to_json()
    {'beliefs': []}
    """

    rows: tuple[Belief, ...]

    def to_json(self) -> dict[str, object]:
        """Answer of the command ``beliefs``."""
        return {"beliefs": [asdict(row) | {"words": row.words} for row in self.rows]}


def beliefs(fit: Fit, *, seed: int = 0) -> Beliefs:
    """
    Put prior and posterior of every lasting quantity side by side.

    Parameters
    ----------
    fit : Fit
        Converged fit of a log.
    seed : int
        Seed of the draws from the prior.

    Returns
    -------
    beliefs : Beliefs

    Raises
    ------
    NotConverged
        If the fit's chains do not agree.
    """
    fit.check()
    layout = fit.names.layout()
    drawn = draw_prior(layout, np.random.default_rng([seed, 41]), PRIOR_DRAWS)
    before = values(layout.split(drawn), nominal_angles=fit.nominal_angles, beliefs=fit.beliefs)
    after = fit.values
    rows = []
    for name in SHOP:
        prior = fit.beliefs.priors[name]
        row = _belief(before[name], after[name], prior.kind)
        rows.append(Belief(quantity=name, of="", meaning=prior.meaning, unit=prior.unit, **row))
    for name, (family, unit, words) in EACH.items():
        for i, of in enumerate(getattr(fit.names, family)):
            row = _belief(before[name][:, i], after[name][:, i], "log" if name in POSITIVE else "normal")
            rows.append(Belief(quantity=name, of=of, meaning=words.format(of), unit=unit, **row))
    return Beliefs(rows=tuple(rows))


def _even(draws: np.ndarray, kind: str) -> np.ndarray:
    """Put draws on the scale on which their prior is normal."""
    if kind == "log":
        return np.log(np.maximum(draws, 1e-12))
    if kind == "logit":
        chance = np.clip(draws, 1e-12, 1 - 1e-12)
        return np.log(chance / (1 - chance))
    return draws


def _belief(before: np.ndarray, after: np.ndarray, kind: str) -> dict[str, Any]:
    """Compare two clouds of draws of one quantity, on the scale on which its prior is normal."""
    first, last = _even(before, kind), _even(after, kind)
    contraction = float(1 - last.std() / first.std())
    shift = float((np.median(last) - np.median(first)) / first.std())
    speaks = "log" if contraction >= MUCH or abs(shift) >= FAR else "both" if contraction > LITTLE else "prior"
    return {
        "prior": spread(before),
        "posterior": spread(after),
        "contraction": contraction,
        "shift": shift,
        "speaks": speaks,
    }
