"""
Draws from the posterior: BlackJAX's Hamiltonian Monte Carlo on the plain log density, many chains side by side.

The run goes in short stretches, so that it can show progress, be stopped and be reported on. The chains
themselves are in `inlaylab.fitting.sampling.chains`.

Before it starts, strokes that can never hold a plug up are dropped (`likely_contacts`);
after it has ended, `overlooked` checks on the draws that none of them would have.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

import numpy as np

from inlaylab.errors import Stopped
from inlaylab.fitting.model.cut_arrays import CutArrays
from inlaylab.fitting.model.cut_seats import contact_levels_at
from inlaylab.fitting.model.likelihood import log_density
from inlaylab.fitting.model.observations import Observations
from inlaylab.fitting.model.priors import Layout, draw_prior, values
from inlaylab.fitting.sampling.chains import STRETCH, Chains, Model, Recipe, start_engine
from inlaylab.fitting.sampling.diagnostics import ESS_GOOD, R_HAT_GOOD, Diagnostics
from inlaylab.fitting.sampling.moves import move
from inlaylab.fitting.sampling.start import begin

Progress = Callable[[float, float | None, str], None]
"""Called with the share done, the seconds left (or None) and what is going on."""

WIDE = 1.5
"""How much wider than the prior the draws are that look for contacts."""


@dataclass(frozen=True, kw_only=True)
class Run:
    """
    What a run gives.

    Parameters
    ----------
    draws : array, shape (chains, kept, size)
        Standard normal latents.
    divergences, steps : int
        Divergent steps; gradient evaluations of all chains after tuning.
    seconds : float
        Wall-clock time.
    """

    draws: np.ndarray
    divergences: int
    steps: int
    seconds: float


def likely_contacts(seen: Observations, layout: Layout, *, seed: int = 0, draws: int = 400) -> dict[str, CutArrays]:
    """
    Strokes that hold a plug up in at least one wide draw from the prior.

    Parameters
    ----------
    seen : Observations
        The shop.
    layout : Layout
        Sizes of the blocks.
    seed, draws : int
        Seed and number of the wide draws.

    Returns
    -------
    strokes : dict of CutArrays
        Shorter lists for ``wall``, ``tip`` and ``land``.

    Examples
    --------
    >>> from inlaylab.bench.shop import Shop
    >>> from inlaylab.fitting.model.observations import observe
    >>> seen = observe(Shop())
    >>> sorted(likely_contacts(seen, seen.names.layout()))
    ['land', 'tip', 'wall']
    """
    rng = np.random.default_rng(seed)
    fitted = values(layout.split(draw_prior(layout, rng, draws, wide=WIDE)), nominal_angles=seen.nominal_angles)
    if not seen.cuts.bit.size:
        return dict.fromkeys(("wall", "tip", "land"), seen.cuts)
    levels = np.stack(contact_levels_at(fitted, seen.cuts), axis=-2)
    count, strokes = levels.shape[1], levels.shape[-1]
    winner = levels.reshape(draws, count, -1).argmax(axis=-1)
    kept = np.zeros((count, 3 * strokes), bool)
    kept[np.arange(count)[None, :], winner] = True
    kept = kept.reshape(count, 3, strokes)
    # one contact of each kind stays, so that no list is empty
    best = levels.max(axis=0).argmax(axis=-1)
    kept[np.arange(count)[:, None], np.arange(3)[None, :], best] = True
    return {name: _shorter(seen.cuts, kept[:, i]) for i, name in enumerate(("wall", "tip", "land"))}


def _shorter(cuts: CutArrays, kept: np.ndarray) -> CutArrays:
    width = int(kept.sum(axis=1).max())
    order = np.argsort(~kept, axis=1, kind="stable")[:, :width]
    names = ("stroke_half_width", "land_half_width", "stroke_depth", "land_depth")
    picked: dict[str, Any] = {name: np.take_along_axis(getattr(cuts, name), order, axis=1) for name in names}
    return replace(cuts, real=np.take_along_axis(kept & cuts.real, order, axis=1), **picked)


def overlooked(draws: np.ndarray, seen: Observations, layout: Layout, strokes: dict[str, CutArrays]) -> float:
    """
    Largest height by which a dropped contact would have lifted a plug, over some draws.

    Parameters
    ----------
    draws : array, shape (…, size)
        Latents.
    seen, layout, strokes
        As given to the run.

    Returns
    -------
    height : float
        Zero if dropping was exact. [mm]
    """
    if not seen.cuts.bit.size:
        return 0.0
    some = draws.reshape(-1, layout.size)
    some = some[:: max(1, len(some) // 200)]
    fitted = values(layout.split(some), nominal_angles=seen.nominal_angles)

    def highest(lists):
        return np.max([level.max(axis=-1) for level in contact_levels_at(fitted, seen.cuts, lists)], axis=0)

    return float(np.max(highest(None) - highest(strokes)))


def sample(
    seen: Observations,
    layout: Layout,
    strokes: dict[str, CutArrays],
    *,
    seed: int,
    recipe: Recipe | None = None,
    start: np.ndarray | None = None,
    progress: Progress | None = None,
    stop: Callable[[], bool] | None = None,
    judge: Callable[[np.ndarray], Diagnostics] | None = None,
) -> Run:
    """
    Run the chains.

    Parameters
    ----------
    seen, layout, strokes, recipe
        The shop, sizes, the contacts that count, lengths of the run.
    seed : int
        The same seed gives the same draws.
    start : array, shape (chains, size), optional
        Where the chains begin (a fit of a shorter log).
    progress : callable, optional
        See `Progress`.
    stop : callable, optional
        Asked between stretches; true ends the run.
    judge : callable, optional
        Judges the draws (chains, kept, size); the run goes on, up to its longest, until they are good.

    Returns
    -------
    run : Run

    Raises
    ------
    Stopped
        When ``stop`` said so.
    """
    start_engine()
    recipe = recipe or Recipe.suited(cuts=layout.cuts, warm=start is not None)
    rng = np.random.default_rng([seed, 1])
    if start is None:
        start = begin(seen, layout, chains=recipe.chains, rng=rng)
    clock = _Clock(total=recipe.tuning + recipe.kept, progress=progress, stop=stop)

    known: dict[str, Any] = {"seen": seen, "layout": layout, "strokes": strokes}
    model = Model(density=partial(log_density, **known), move=partial(move, **known))
    chains = Chains(model, start, linked=layout.linked(), recipe=recipe, rng=rng, seed=seed)
    for done in range(0, recipe.tuning, STRETCH):
        chains.advance()
        if done // STRETCH in (3, 5, 8):
            chains.gather()
        chains.tune(rescale=done // STRETCH in (0, 1, 2, 4, 6))
        clock.tick("tuning the sampler")
    kept: list[np.ndarray] = []
    divergences, steps = 0, 0
    while clock.done < clock.total:
        kept.append(chains.advance())
        divergences += chains.divergences
        steps += chains.steps * recipe.chains
        clock.tick("sampling")
        if clock.done == clock.total and judge is not None and len(kept) * STRETCH < recipe.longest:
            found = judge(np.concatenate(kept).swapaxes(0, 1))
            if found.worst_r_hat > R_HAT_GOOD or found.smallest_ess < ESS_GOOD:
                clock.total += 5 * STRETCH
    draws = np.concatenate(kept).swapaxes(0, 1)
    return Run(draws=draws, divergences=divergences, steps=steps, seconds=time.perf_counter() - clock.began)


@dataclass(kw_only=True)
class _Clock:
    """Progress and the stop button."""

    total: int
    progress: Progress | None
    stop: Callable[[], bool] | None
    done: int = 0
    began: float = field(default_factory=time.perf_counter)

    def tick(self, doing: str) -> None:
        self.done += STRETCH
        if self.stop is not None and self.stop():
            raise Stopped("the fit was stopped before it ended; nothing was stored")
        if self.progress is not None:
            share, spent = min(self.done / self.total, 1.0), time.perf_counter() - self.began
            self.progress(share, spent / share - spent if share > 0.15 else None, doing)
