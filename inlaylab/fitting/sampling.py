"""
Draws from the posterior: BlackJAX's Hamiltonian Monte Carlo on the plain log density, many chains side by side.

The run goes in short stretches, so that it can show progress, be stopped and be reported on. While it tunes,
all chains together tell how far the latents spread and how steep the density is; the latents are turned and
stretched accordingly (`even_scale`), so that short trajectories go far.

Before it starts, strokes that can never hold a plug up are dropped (`likely_contacts`);
after it has ended, `overlooked` checks on the draws that none of them would have.
"""

import contextlib
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from inlaylab.errors import Stopped
from inlaylab.fitting.beginning import begin
from inlaylab.fitting.diagnostics import ESS_GOOD, R_HAT_GOOD, Diagnostics
from inlaylab.fitting.likelihood import contact_levels_at, log_density
from inlaylab.fitting.observations import CutArrays, Observations
from inlaylab.fitting.priors import Layout, draw_prior, values

Progress = Callable[[float, float | None, str], None]
"""Called with the share done, the seconds left (or None) and what is going on."""

STRETCH = 20
"""Steps between two looks at the clock, the stop button and the draws."""
SIDE_HILL = 10.0
"""A chain whose mean log density lies this far below the others' median, while tuning, is moved to them."""
WIDE = 1.5
"""How much wider than the prior the draws are that look for contacts."""


@dataclass(frozen=True, kw_only=True)
class Recipe:
    """
    Lengths of a run.

    Parameters
    ----------
    chains, tuning, kept, longest : int
        Chains; steps of each to tune, to keep, and to keep at the most.
    target : float
        Wanted acceptance.
    travel : float
        Longest trajectory, in latents of even scale; each is a random share of it.

    Examples
    --------
    >>> Recipe().chains
    16
    """

    chains: int = 16
    tuning: int = 200
    kept: int = 300
    longest: int = 1200
    target: float = 0.8
    travel: float = 6.0


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
    with contextlib.suppress(RuntimeError):  # already started: it goes on with the devices it has
        jax.config.update("jax_num_cpu_devices", max(1, min(2, os.cpu_count() or 1)))


def even_scale(positions: np.ndarray, slopes: np.ndarray, linked: np.ndarray | None = None) -> np.ndarray:
    """
    Turn and stretch that makes a cloud of draws even in all directions.

    Parameters
    ----------
    positions : array, shape (draws, size)
        Draws.
    slopes : array, shape (draws, size)
        Gradients of the log density there.
    linked : array of bool, shape (size, size), optional
        Which latents share a term of the density; the others' second derivatives are zero.

    Returns
    -------
    scale : array, shape (size, size)
        Symmetric; a latent is centre + scale @ u.

    Notes
    -----
    The covariance used is the geometric mean of the draws' covariance and the inverse of the gradients' (for
    a normal law both are the same; elsewhere they err to opposite sides), each shrunk by how few draws there are.

    Examples
    --------
    >>> rng = np.random.default_rng(1)
    >>> z = rng.standard_normal((20000, 2)) * [3.0, 0.1]
    >>> even_scale(z, -z / [9.0, 0.01]).round(1)
    array([[3. , 0. ],
           [0. , 0.1]])
    """
    count, size = positions.shape
    linked = np.ones((size, size), bool) if linked is None else linked
    bend = np.where(linked, np.cov(slopes.T, bias=True), 0.0)
    doubt = linked.sum(axis=0).mean() / (count + linked.sum(axis=0).mean())
    bend = (1 - doubt) * bend + doubt * np.diag(np.diag(bend))
    weights, directions = np.linalg.eigh((bend + bend.T) / 2)
    root = np.sqrt(np.clip(weights, 0.5, None))
    even = ((positions - positions.mean(axis=0)) @ directions) * root
    weight = count / (count + 2.0 * size)
    spread = weight * (even.T @ even) / count + (1 - weight) * np.eye(size)
    return _power((directions / root) @ _power(spread, 0.5) @ (directions / root).T, 0.5)


def _power(matrix: np.ndarray, exponent: float) -> np.ndarray:
    weights, directions = np.linalg.eigh((matrix + matrix.T) / 2)
    return (directions * np.clip(weights, 1e-12, None) ** exponent) @ directions.T


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
    recipe = recipe or Recipe()
    rng = np.random.default_rng([seed, 1])
    if start is None:
        start = begin(seen, layout, chains=recipe.chains, rng=rng)
    clock = _Clock(total=recipe.tuning + recipe.kept, progress=progress, stop=stop)
    chains = _Chains(
        lambda z: log_density(z, seen=seen, layout=layout, strokes=strokes),
        start,
        linked=layout.linked(),
        recipe=recipe,
        rng=rng,
        seed=seed,
    )
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


class _Chains:
    """Chains side by side, in latents that are turned and stretched: z = centre + scale u."""

    def __init__(
        self,
        density: Callable,
        start: np.ndarray,
        *,
        linked: np.ndarray,
        recipe: Recipe,
        rng: np.random.Generator,
        seed: int,
    ) -> None:
        import jax

        self.recipe, self.rng, self.linked = recipe, rng, linked
        self.count, self.size = start.shape
        self.centre, self.scale = np.zeros(self.size), np.eye(self.size)
        self.step_size = 0.02
        self.place, self.height, self.slope = start, np.full(self.count, -1e300), np.zeros(start.shape)
        self.keys = np.asarray(jax.random.split(jax.random.PRNGKey(seed), self.count))
        self.clouds: list[tuple[np.ndarray, np.ndarray]] = []
        self.accepted, self.divergences, self.steps = 0.0, 0, 0
        self._run = _compiled(density, self.size, self.count)
        self._go(1e-9, np.ones(STRETCH, int))  # stays where it is, but learns how high and how steep it is there

    def _go(self, step_size: float, lengths: np.ndarray) -> list[np.ndarray]:
        state = self.place, self.height, self.slope
        out = self._run(*state, self.keys, self.centre, self.scale, float(step_size), lengths)
        self.place, self.height, self.slope, self.keys, *stretch = (np.array(part) for part in out)
        return stretch

    def advance(self) -> np.ndarray:
        """One stretch; its draws, shape (steps, chains, size)."""
        longest = min(int(np.ceil(self.recipe.travel / self.step_size)), 24 if not self.clouds else 64)
        lengths = np.ceil(longest * self.rng.uniform(0.4, 1.0, STRETCH)).astype(int)
        places, slopes, accepted, diverging, self.heights = self._go(self.step_size, lengths)
        draws = self.centre + places @ self.scale.T
        self.clouds.append((draws, slopes @ np.linalg.inv(self.scale)))
        self.accepted, self.divergences, self.steps = float(accepted.mean()), int(diverging.sum()), int(lengths.sum())
        return draws

    def gather(self) -> None:
        """Move chains that were left on a side hill, far below all others, to where the others are."""
        level = self.heights.mean(axis=0)
        lost = np.flatnonzero(level < np.median(level) - SIDE_HILL)
        found = np.setdiff1d(np.arange(self.count), lost)
        to = self.rng.choice(found, len(lost))
        for kept in (self.place, self.height, self.slope):
            kept[lost] = kept[to]

    def tune(self, *, rescale: bool) -> None:
        """Set step size and scale by what the last stretches showed."""
        if not rescale:
            self.step_size = float(
                np.clip(self.step_size * np.exp(3 * (self.accepted - self.recipe.target)), 0.005, 1.5)
            )
            return
        recent = self.clouds[-max(1, (len(self.clouds) + 1) // 2) :]
        draws, slopes = (np.concatenate([cloud[i] for cloud in recent]).reshape(-1, self.size) for i in (0, 1))
        here, slope = self.centre + self.place @ self.scale.T, self.slope @ np.linalg.inv(self.scale)
        self.scale, self.centre = even_scale(draws, slopes, self.linked), draws.mean(axis=0)
        self.slope = slope @ self.scale
        self.place = np.linalg.solve(self.scale, (here - self.centre).T).T
        self.step_size = max(self.step_size, 0.15)


def _compiled(density: Callable, size: int, count: int) -> Callable:
    """One stretch as compiled code, the chains shared out over the cores."""
    import jax
    import jax.numpy as jnp
    from blackjax.mcmc.hmc import HMCState, build_kernel
    from jax.sharding import Mesh, PartitionSpec

    kernel, ones = build_kernel(), jnp.ones(size)

    def run(places, heights, slopes, keys, centre, scale, step_size, lengths):
        def even(u):
            return density(centre + scale @ u)

        def step(carry, length):
            state, keys = carry
            split = jax.vmap(jax.random.split)(keys)
            state, info = jax.vmap(lambda k, s: kernel(k, s, even, step_size, ones, length))(split[:, 0], state)
            out = state.position, state.logdensity_grad, info.acceptance_rate, info.is_divergent, state.logdensity
            return (state, split[:, 1]), out

        state = HMCState(places, heights, slopes)
        (state, keys), out = jax.lax.scan(step, (state, keys), lengths)
        return *state, keys, *out

    devices = jax.devices()
    while count % len(devices):
        devices = devices[:-1]
    chains, along, whole = PartitionSpec("chains"), PartitionSpec(None, "chains"), PartitionSpec()
    mesh = Mesh(np.array(devices), ("chains",))
    shared = (*[chains] * 4, *[whole] * 4)
    out = (*[chains] * 4, *[along] * 5)
    return jax.jit(jax.shard_map(run, mesh=mesh, in_specs=shared, out_specs=out, check_vma=False))
