"""
Draws from the posterior: NumPyro's No-U-Turn sampler on the plain log density.

The run goes in short stretches, so that it can show progress, be stopped and be reported on.
Before it starts, strokes that can never hold a plug up are dropped (`likely_contacts`);
after it has ended, `overlooked` checks on the draws that none of them would have.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from inlaylab.errors import Stopped
from inlaylab.fitting.diagnostics import ESS_GOOD, R_HAT_GOOD, Diagnostics
from inlaylab.fitting.likelihood import contact_levels_at, log_density
from inlaylab.fitting.observations import CutArrays, Observations
from inlaylab.fitting.priors import Layout, values

Progress = Callable[[float, float | None, str], None]
"""Called with the share done, the seconds left (or None) and what is going on."""

STRETCH = 25
"""Steps between two looks at the clock, the stop button and the draws."""
WIDE = 1.5
"""How much wider than the prior the draws are that look for contacts."""


@dataclass(frozen=True, kw_only=True)
class Recipe:
    """
    Lengths of a run.

    Parameters
    ----------
    chains, warm_up, kept, longest : int
        Chains; steps of each before its tuning ends, after it, and after it at the most.
    target, depth : float, int
        Wanted acceptance; longest trajectory as a power of two.

    Examples
    --------
    >>> Recipe().chains
    4
    """

    chains: int = 4
    warm_up: int = 300
    kept: int = 300
    longest: int = 900
    target: float = 0.8
    depth: int = 6


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

    Examples
    --------
    >>> sorted(Run.__dataclass_fields__)
    ['divergences', 'draws', 'seconds', 'steps']
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
        Of the wide draws.

    Returns
    -------
    strokes : dict of CutArrays
        Shorter lists for ``wall``, ``tip`` and ``land``.

    Examples
    --------
    >>> from inlaylab.bench.shop import Shop
    >>> from inlaylab.fitting.observations import observe
    >>> seen = observe(Shop())
    >>> sorted(likely_contacts(seen, seen.names.layout()))
    ['land', 'tip', 'wall']
    """
    rng = np.random.default_rng(seed)
    fitted = values(layout.split(WIDE * rng.standard_normal((draws, layout.size))), nominal_angles=seen.nominal_angles)
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
    picked = {name: np.take_along_axis(getattr(cuts, name), order, axis=1) for name in names}
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

    Examples
    --------
    >>> overlooked.__name__
    'overlooked'
    """
    if not seen.cuts.bit.size:
        return 0.0
    some = draws.reshape(-1, layout.size)
    some = some[:: max(1, len(some) // 200)]
    fitted = values(layout.split(some), nominal_angles=seen.nominal_angles)

    def highest(lists):
        return np.max([level.max(axis=-1) for level in contact_levels_at(fitted, seen.cuts, lists)], axis=0)

    return float(np.max(highest(None) - highest(strokes)))


def start_engine() -> None:
    """
    Load the sampler's engine once, in double precision and on two cores.

    Examples
    --------
    >>> start_engine.__name__
    'start_engine'
    """
    import os

    import jax

    jax.config.update("jax_enable_x64", True)
    try:
        jax.config.update("jax_num_cpu_devices", max(1, min(2, os.cpu_count() or 1)))
    except RuntimeError:
        pass  # already started: it goes on with the devices it has


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
    seen, layout, strokes
        The shop, sizes, and the contacts that count.
    seed : int
        The same seed gives the same draws.
    recipe : Recipe, optional
        Lengths of the run.
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

    Examples
    --------
    >>> sample.__name__
    'sample'
    """
    start_engine()
    import jax
    import jax.numpy as jnp
    from jax.sharding import Mesh, PartitionSpec
    from numpyro.infer import NUTS

    recipe = recipe or Recipe()
    began = time.perf_counter()
    kernel = NUTS(
        potential_fn=lambda z: -log_density(z, seen=seen, layout=layout, strokes=strokes),
        target_accept_prob=recipe.target,
        max_tree_depth=recipe.depth,
    )
    keys = jax.random.split(jax.random.PRNGKey(seed), recipe.chains)
    first = start
    if first is None:
        first = 0.3 * np.random.default_rng(seed).standard_normal((recipe.chains, layout.size))
    state = kernel.init(keys, recipe.warm_up, jnp.asarray(first), (), {})

    def stretch(state, length):
        def step(state, _):
            state = kernel.sample(state, (), {})
            return state, (state.z, state.diverging, state.num_steps)

        return jax.lax.scan(step, state, None, length=length)

    def sharded(length):
        devices = jax.devices()
        while recipe.chains % len(devices):
            devices = devices[:-1]
        spread, along = PartitionSpec("chains"), PartitionSpec(None, "chains")
        mesh = Mesh(np.array(devices), ("chains",))
        whole = jax.shard_map(lambda s: stretch(s, length), mesh=mesh, in_specs=spread, out_specs=(spread, along), check_vma=False)
        return jax.jit(whole)

    advance = sharded(STRETCH)
    kept: list[np.ndarray] = []
    divergences, steps, done, total = 0, 0, 0, recipe.warm_up + recipe.kept
    while done < total:
        if stop is not None and stop():
            raise Stopped("the fit was stopped before it ended; nothing was stored")
        state, (z, diverging, taken) = advance(state)
        if done >= recipe.warm_up:
            kept.append(np.asarray(z))
            divergences += int(np.sum(diverging))
            steps += int(np.sum(taken))
        done += STRETCH
        if done >= total and judge is not None and total < recipe.warm_up + recipe.longest:
            found = judge(np.concatenate(kept).swapaxes(0, 1))
            if found.worst_r_hat > R_HAT_GOOD or found.smallest_ess < ESS_GOOD:
                total += 4 * STRETCH
        if progress is not None:
            share, spent = done / total, time.perf_counter() - began
            doing = "sampling" if done >= recipe.warm_up else "tuning the sampler"
            progress(share, spent / share - spent if share > 0.1 else None, doing)
    draws = np.concatenate(kept).swapaxes(0, 1)
    return Run(draws=draws, divergences=divergences, steps=steps, seconds=time.perf_counter() - began)
