"""A fitted shop, and the making of it."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.errors import NotConverged, Stopped
from inlaylab.fitting.kernel.packing import Packed, pack
from inlaylab.fitting.model.cut_arrays import Names
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import KIT, SHOP, Beliefs, values
from inlaylab.fitting.quantiles import spread
from inlaylab.fitting.sampling.chains import Recipe
from inlaylab.fitting.sampling.diagnostics import Diagnostics, diagnose
from inlaylab.fitting.sampling.posterior import Progress, sample

WhyFull = Literal["", "no good fit before", "much has changed", "did not settle"]
"""Why an update became a full fit."""


@dataclass(frozen=True, kw_only=True)
class Carried:
    """
    What a fit hands on to the next update.

    Parameters
    ----------
    packed : Packed
        What it was fitted to, as the compiled functions read it.
    step_size : float
        Step size that the chains ended with.
    """

    packed: Packed
    step_size: float


@dataclass(frozen=True, kw_only=True)
class Fit:
    """
    A fitted shop.

    Parameters
    ----------
    names : Names
        Order of bits, pairs, species and cuts.
    nominal_angles : array, shape (bits,)
        [degrees]
    draws : array, shape (chains, kept, size)
        Standard normal latents.
    seed, cuts, readings : int
        Seed of the run; how much it learnt from.
    seconds : float
        Wall-clock time of the whole fit.
    diagnostics : Diagnostics
        Agreement of the chains.
    fingerprint : str
        Fingerprint of the log; blank for a shop that is in no log.
    beliefs : Beliefs
        What was believed before any cut; the draws only mean something with it.
    carried : Carried, optional
        What an update of this fit needs.
    updates : int
        How often it was brought up to date since the last full fit.
    why_full : str
        Why an update became a full fit; blank where it did not, or where a full fit was asked for.
    versions : dict
        Versions of the libraries that made it.
    """

    names: Names
    nominal_angles: np.ndarray
    draws: np.ndarray
    seed: int
    cuts: int
    readings: int
    seconds: float
    diagnostics: Diagnostics
    fingerprint: str = ""
    beliefs: Beliefs = KIT
    carried: Carried | None = None
    updates: int = 0
    why_full: WhyFull = ""
    versions: dict[str, str] = field(default_factory=dict)

    @property
    def divergences(self) -> int:
        """Divergent steps of the sampler."""
        return self.diagnostics.divergences

    @property
    def worst_r_hat(self) -> float:
        """Largest R-hat of all quantities."""
        return self.diagnostics.worst_r_hat

    @property
    def smallest_ess(self) -> float:
        """Smallest effective sample size of all quantities."""
        return self.diagnostics.smallest_ess

    @property
    def converged(self) -> bool:
        """Good enough to advise from."""
        return self.diagnostics.converged

    def check(self) -> None:
        """
        Refuse to go on from a fit whose chains do not agree.

        Raises
        ------
        NotConverged
            With the diagnostics.
        """
        if not self.converged:
            raise NotConverged(self.diagnostics.in_words(), diagnostics=self.diagnostics)

    @cached_property
    def values(self) -> dict[str, np.ndarray]:
        """Fitted quantities, draws on the first axis: see `priors.values`."""
        flat = self.draws.reshape(-1, self.draws.shape[-1])
        return values(self.names.layout().split(flat), nominal_angles=self.nominal_angles, beliefs=self.beliefs)

    @cached_property
    def latents(self) -> dict[str, np.ndarray]:
        """Standard normal latents by block, draws on the first axis."""
        return self.names.layout().split(self.draws.reshape(-1, self.draws.shape[-1]))

    def summary(self) -> dict[str, Any]:
        """
        Answer of the command ``fit``.

        Returns
        -------
        summary : dict
            Keys as documented for the command; quantities as 5, 50 and 95 % quantiles.
        """

        def each(names: tuple[str, ...], keys: dict[str, str]) -> dict[str, Any]:
            return {n: {k: spread(self.values[v][:, i]) for k, v in keys.items()} for i, n in enumerate(names)}

        return {
            "seed": self.seed,
            "cuts": self.cuts,
            "readings": self.readings,
            "seconds": round(self.seconds, 2),
            "divergences": self.divergences,
            "worst_r_hat": round(self.worst_r_hat, 4),
            "smallest_ess": round(self.smallest_ess, 1),
            "converged": self.converged,
            "bits": each(self.names.bits, {"true_angle_deg": "true_angle", "tip_flat": "tip_flat"}),
            "pairs": each(self.names.pairs, {"wall_allowance": "wall_allowance"}),
            "species": each(self.names.species, {"crest_loss": "crest_loss", "half_filled_width": "half_filled"}),
            "shop": {name: spread(self.values[name]) for name in SHOP},
        }


def fit_shop(
    shop: Shop,
    *,
    seed: int = 1,
    progress: Progress | None = None,
    stop: Callable[[], bool] | None = None,
    recipe: Recipe | None = None,
    beliefs: Beliefs = KIT,
    fingerprint: str = "",
) -> Fit:
    """
    Fit everything that is unknown of a shop.

    Parameters
    ----------
    shop : Shop
        Records of a log.
    seed : int
        The same seed and shop give the same fit on the same machine and versions.
    progress, stop : callable, optional
        See `sampling.sample`.
    recipe : Recipe, optional
        Lengths of the run.
    beliefs : Beliefs
        What is believed before any cut; the kit's own if left out.
    fingerprint : str
        Fingerprint of the log.

    Returns
    -------
    fit : Fit
        Converged or not: ask `Fit.check` before using it.

    Raises
    ------
    Stopped
        When ``stop`` said so.
    """
    began = time.perf_counter()
    if stop is not None and stop():
        raise Stopped("the fit was stopped before it began")
    seen = observe(shop)
    layout = seen.names.layout()
    if progress is not None:
        progress(0.0, None, "reading the log")

    def judge(draws: np.ndarray) -> Diagnostics:
        return diagnose(values(layout.split(draws), nominal_angles=seen.nominal_angles, beliefs=beliefs))

    run = sample(seen, seed=seed, beliefs=beliefs, recipe=recipe, progress=progress, stop=stop, judge=judge)
    assert run.judged is not None
    return Fit(
        names=seen.names,
        nominal_angles=seen.nominal_angles,
        draws=run.draws,
        seed=seed,
        cuts=len(shop.cuts),
        readings=len(shop.readings),
        seconds=time.perf_counter() - began,
        diagnostics=run.judged,
        fingerprint=fingerprint,
        beliefs=beliefs,
        carried=Carried(packed=pack(seen, beliefs), step_size=run.step_size),
        versions=_versions(),
    )


def _versions() -> dict[str, str]:
    from importlib.metadata import version

    return {name: version(name) for name in ("inlaylab", "numpy", "scipy", "numba")}
