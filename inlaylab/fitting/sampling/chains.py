"""
Chains side by side: BlackJAX's Hamiltonian Monte Carlo, in latents that are turned and stretched.

While they tune, all chains together tell how far the latents spread and how steep the density is (`even_scale`), so
that short trajectories go far; chains that were left far below all others are moved to them (`Chains.gather`).
"""

import contextlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

STRETCH = 20
"""Steps between two looks at the clock, the stop button and the draws."""


SIDE_HILL = 10.0
"""A chain whose mean log density lies this far below the others' median, while tuning, is moved to them."""


MANY_CUTS = 100
"""A log with so many cuts is long."""

NO_STEP, FAR_BELOW = 1e-9, -1e300
"""Step size and log density of a chain that is to learn where it stands: it stays, and is told."""


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

    @classmethod
    def suited(cls, *, cuts: int, warm: bool) -> "Recipe":
        """
        Lengths for a log.

        Parameters
        ----------
        cuts : int
            Long logs pin what lasts so well that shorter trajectories serve them.
        warm : bool
            Whether the chains begin where an earlier fit ended.

        Returns
        -------
        recipe : Recipe
        """
        return cls(tuning=120 if warm else cls.tuning, travel=4.0 if cuts >= MANY_CUTS else cls.travel)


@dataclass(frozen=True, kw_only=True)
class Model:
    """
    What chains are run on.

    Parameters
    ----------
    density : callable
        Logarithm of the density of a vector of latents.
    move : callable, optional
        From a random key and a vector to a vector, before each trajectory; must leave the density as it is.

    Examples
    --------
    >>> Model(density=lambda z: -0.5 * (z @ z)).move is None
    True
    """

    density: Callable
    move: Callable | None = None


def start_engine() -> None:
    """Load the sampler's engine once, in double precision and on two cores."""
    import os

    import jax

    jax.config.update("jax_enable_x64", True)
    jax.config.update("jax_traceback_in_locations_limit", 0)  # where each operation was written: seconds to find out
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
    >>> z = rng.standard_normal((20000, 2)) * [1.0, 0.1]
    >>> even_scale(z, -z / [1.0, 0.01]).round(1)
    array([[1. , 0. ],
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


class Chains:
    """Chains side by side, in latents that are turned and stretched: z = centre + scale u."""

    def __init__(
        self,
        model: Model,
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
        self.place, self.height, self.slope = start, np.full(self.count, FAR_BELOW), np.zeros(start.shape)
        self.keys = np.asarray(jax.random.split(jax.random.PRNGKey(seed), self.count))
        self.clouds: list[tuple[np.ndarray, np.ndarray]] = []
        self.accepted, self.divergences, self.steps = 0.0, 0, 0
        self._run = _compiled(model, self.count)
        self._go(NO_STEP, np.ones(STRETCH, int))  # stays where it is, but learns how high and how steep it is there

    def _go(self, step_size: float, lengths: np.ndarray) -> list[np.ndarray]:
        state = self.place, self.height, self.slope
        turn = self.centre, self.scale, np.linalg.inv(self.scale)
        out = self._run(*state, self.keys, *turn, float(step_size), lengths)
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


def stretch(model: Model, *state):
    """
    One stretch of all chains, as plain code for the compiler.

    Parameters
    ----------
    model : Model
        What is sampled.
    *state : arrays
        Positions, log densities and slopes, in even latents, and random keys, chains first; centre, scale and
        its inverse; step size; lengths of the trajectories.

    Returns
    -------
    state : tuple of arrays
        The first four of the state anew, then steps first: positions, slopes, acceptance, divergence, log density.
    """
    import jax
    import jax.numpy as jnp
    from blackjax.mcmc.hmc import HMCState, build_kernel

    places, heights, slopes, keys, centre, scale, back, step_size, lengths = state
    kernel, ones = build_kernel(), jnp.ones(len(centre))

    def even(u):
        return model.density(centre + scale @ u)

    def moved(key, state):
        if model.move is None:
            return state
        place = back @ (model.move(key, centre + scale @ state.position) - centre)
        return HMCState(place, jnp.full_like(state.logdensity, FAR_BELOW), jnp.zeros_like(place))

    def travel(state, how):
        keys, size, length = how
        return jax.vmap(lambda key, one: kernel(key, one, even, size, ones, length))(keys, state)

    def step(carry, length):
        state, keys = carry
        keys, *each = jax.vmap(lambda key: jax.random.split(key, 4))(keys).swapaxes(0, 1)
        state = jax.vmap(moved)(each[0], state)
        # a trajectory of no length first: it finds out how high and how steep it is where the move led
        ways = jnp.stack(each[1:]), jnp.stack([NO_STEP, step_size]), jnp.stack([1, length])
        state, info = jax.lax.scan(travel, state, ways)
        out = state.position, state.logdensity_grad, info.acceptance_rate[1], info.is_divergent[1], state.logdensity
        return (state, keys), out

    (after, keys), out = jax.lax.scan(step, (HMCState(places, heights, slopes), keys), lengths)
    return *after, keys, *out


def _compiled(model: Model, count: int) -> Callable:
    """One stretch as compiled code, the chains shared out over the cores."""
    import jax
    from jax.sharding import Mesh, PartitionSpec

    devices = jax.devices()
    while count % len(devices):
        devices = devices[:-1]
    chains, along, whole = PartitionSpec("chains"), PartitionSpec(None, "chains"), PartitionSpec()
    mesh = Mesh(np.array(devices), ("chains",))
    shared = (*[chains] * 4, *[whole] * 5)
    out = (*[chains] * 4, *[along] * 5)
    run = jax.shard_map(partial(stretch, model), mesh=mesh, in_specs=shared, out_specs=out, check_vma=False)
    return jax.jit(run)
