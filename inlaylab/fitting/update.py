"""
An earlier fit brought up to date with a log that has changed: cuts added, corrected or taken away.

Old draws are weighed by what the log says now (`sampling.carry_over`); chains begin at some of them and settle in the
new posterior itself. Where they do not agree as the chains of a full fit do, a full fit follows.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.fitting.fit import Carried, Fit, WhyFull, fit_shop
from inlaylab.fitting.kernel.packing import pack
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import values
from inlaylab.fitting.sampling.carry_over import Log, carried_scale, carry_over, changed_cuts, some_draws, weights_of
from inlaylab.fitting.sampling.chains import STRETCH, Chains, Recipe
from inlaylab.fitting.sampling.diagnostics import Diagnostics, diagnose
from inlaylab.fitting.sampling.posterior import Clock, Progress, keep, make_ready

RECIPE = Recipe(chains=8, tuning=80, kept=340, longest=1040)
"""Steps that each chain throws away, and that it keeps, while it settles in a changed posterior."""
FARTHER = 40
"""Steps more to settle where the weights had to be flattened."""
R_HAT_GATE, ESS_GATE = 1.02, 300.0
"""An update past these is no answer: a full fit follows."""
MOST_CHANGED = 0.34
"""A log of which more than this share of the cuts is new wants a full fit."""


@dataclass(frozen=True, kw_only=True)
class Watch:
    """
    Who is told of an update, and who may stop it.

    Parameters
    ----------
    progress, stop : callable, optional
        See `fit.fit_shop`.
    preview : callable, optional
        Called with a fit of the first draws, before the chains are judged.
    """

    progress: Progress | None = None
    stop: Callable[[], bool] | None = None
    preview: Callable[[Fit], None] | None = None


def update(fit: Fit, shop: Shop, *, seed: int = 1, fingerprint: str = "", watch: Watch | None = None) -> Fit:
    """
    Bring a fit up to date with the log as it is now.

    Parameters
    ----------
    fit : Fit
        Of an earlier state of the log.
    shop : Shop
        The log as it is now.
    seed, fingerprint
        As in `fit.fit_shop`.
    watch : Watch, optional
        Who is told, and who may stop it.

    Returns
    -------
    fit : Fit
        An update, or a full fit that says in ``why_full`` why it is one. The same fit, log and seed give the same.

    Raises
    ------
    Stopped
        When ``stop`` said so.
    """
    began, watch = time.perf_counter(), watch or Watch()

    clock = Clock(total=RECIPE.tuning + RECIPE.kept, progress=watch.progress, stop=watch.stop)

    def full(why: WhyFull) -> Fit:
        found = fit_shop(
            shop, seed=seed, beliefs=fit.beliefs, fingerprint=fingerprint, progress=clock.rest(), stop=watch.stop
        )
        return replace(found, why_full=why, seconds=time.perf_counter() - began)

    if fit.carried is None or not fit.converged:
        return full("no good fit before")
    clock.ask()
    make_ready(clock)
    seen = observe(shop)
    old = Log(names=fit.names, packed=fit.carried.packed)
    new = Log(names=seen.names, packed=pack(seen, fit.beliefs))
    if max(map(len, changed_cuts(old, new))) > max(1.0, MOST_CHANGED * len(shop.cuts)):
        return full("much has changed")
    chains, settling = _begin(fit, old, new, seed=seed)
    blank = replace(
        fit,
        names=seen.names,
        nominal_angles=seen.nominal_angles,
        seed=seed,
        cuts=len(shop.cuts),
        readings=len(shop.readings),
        fingerprint=fingerprint,
        carried=None,
    )

    def judge(draws: np.ndarray) -> Diagnostics:
        latents = seen.names.layout().split(draws)
        return diagnose(values(latents, nominal_angles=seen.nominal_angles, beliefs=fit.beliefs))

    def made(draws: np.ndarray, judged: Diagnostics) -> Fit:
        return replace(blank, draws=draws, diagnostics=judged, seconds=time.perf_counter() - began)

    _settle(chains, clock, settling)
    early = watch.preview
    preview = None if early is None else lambda draws: early(made(draws, judge(draws)))
    run = keep(chains, clock, judge=judge, preview=preview, content=(R_HAT_GATE, ESS_GATE))
    assert run.judged is not None
    found = made(run.draws, run.judged)
    if found.worst_r_hat > R_HAT_GATE or found.smallest_ess < ESS_GATE or not found.converged:
        return full("did not settle")
    clock.say(1.0, 0.0, "sampling")
    carried = Carried(packed=new.packed, step_size=run.step_size)
    return replace(found, carried=carried, updates=fit.updates + 1, why_full="")


def _begin(fit: Fit, old: Log, new: Log, *, seed: int) -> tuple[Chains, int]:
    """Chains at old draws that were picked by their weights, and how many steps they need to settle."""
    assert fit.carried is not None
    rng = np.random.default_rng([seed, 3])
    flat = fit.draws.reshape(-1, fit.draws.shape[-1])
    draws, gain = carry_over(some_draws(flat, rng), old, new, rng=rng)
    weights = weights_of(gain)
    ticks = (np.arange(RECIPE.chains) + rng.random()) / RECIPE.chains
    start = draws[np.searchsorted(np.cumsum(weights.share)[:-1], ticks)]
    chains = Chains(new.packed, start, layout=new.names.layout(), recipe=RECIPE, seed=seed)
    chains.scale = carried_scale(flat, old, new, start)
    chains.step_size = fit.carried.step_size
    return chains, RECIPE.tuning + FARTHER * weights.flattened


def _settle(chains: Chains, clock: Clock, steps: int) -> None:
    """Let the chains leave where they began, and find their step size."""
    clock.total += steps - RECIPE.tuning
    for n in range(steps // STRETCH):
        chains.advance()
        chains.clouds.clear()
        chains.pace()
        if n == 1:
            chains.gather()
        clock.tick("bringing the answer up to date")
