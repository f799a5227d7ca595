"""
Chains side by side: Hamiltonian Monte Carlo in latents that are turned and stretched, as the kernel runs it.

While they tune, all chains together tell how far the latents spread and how steep the density is (`scale`), so
that short trajectories go far; chains that were left far below all others are moved to them (`Chains.gather`).
"""

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from inlaylab.fitting.kernel.packing import Packed, first_scale
from inlaylab.fitting.model.priors import Layout
from inlaylab.fitting.sampling.scale import following, learnt_scale

STRETCH = 20
"""Steps between two looks at the clock, the stop button and the draws."""

LONGEST, LONGEST_TUNING = 24, 64
"""Most steps of a trajectory; while tuning longer ones find side hills out, and 24 left one shop's chains on one."""

SIDE_HILL = 10.0
"""A chain whose mean log density lies this far below the others' median, while tuning, is moved to them."""

LOOKS = 32
"""Points at which the second derivatives are taken, at the most."""


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
    """

    chains: int = 12
    tuning: int = 160
    kept: int = 300
    longest: int = 2000
    target: float = 0.8
    travel: float = 6.0


class Chains:
    """
    Chains side by side.

    Parameters
    ----------
    packed : Packed
        The shop, as the compiled functions read it.
    start : array, shape (chains, size)
        Where they begin.
    layout : Layout
        Sizes of the blocks.
    recipe : Recipe
        Lengths of the run.
    seed : int
        Each chain has random numbers of its own, so the draws do not depend on how many cores there are.
    """

    def __init__(self, packed: Packed, start: np.ndarray, *, layout: Layout, recipe: Recipe, seed: int) -> None:
        self.packed, self.recipe = packed, recipe
        self.count, self.size = start.shape
        self.place = np.ascontiguousarray(start, float)
        self.scale = first_scale(layout)
        self.step_size = 0.02
        seeds = np.random.SeedSequence([seed, 2]).spawn(self.count + 1)
        self.rng, *self.own = (np.random.default_rng(one) for one in seeds)
        self.clouds: list[tuple[np.ndarray, np.ndarray]] = []
        self.heights = np.zeros((1, self.count))
        self.accepted, self.divergences, self.steps = 0.0, 0, 0

    def advance(self) -> np.ndarray:
        """One stretch; its draws, shape (chains, steps, size)."""
        from inlaylab.fitting.kernel.trajectories import stretch

        most = LONGEST_TUNING if self.clouds else LONGEST  # the first stretch, at a step size that is a guess, too
        longest = min(int(np.ceil(self.recipe.travel / self.step_size)), most)
        lengths = np.ceil(longest * self.rng.uniform(0.4, 1.0, STRETCH)).astype(np.int64)
        draws, slopes = np.empty((2, self.count, STRETCH, self.size))
        figures = np.empty((self.count, STRETCH, 3))

        def run(n: int) -> None:
            into = draws[n], slopes[n], figures[n]
            stretch(self.place[n], self.packed, self.scale, self.own[n], self.step_size, lengths, *into)

        with ThreadPoolExecutor(min(self.count, os.cpu_count() or 1)) as pool:
            list(pool.map(run, range(self.count)))
        self.heights = figures[..., 0]
        self.clouds.append((draws, slopes))
        self.accepted, self.divergences = float(figures[..., 1].mean()), int(figures[..., 2].sum())
        self.steps = int(lengths.sum())
        return draws

    def gather(self) -> None:
        """Move chains that were left on a side hill, far below all others, to where the others are."""
        level = self.heights.mean(axis=1)
        lost = np.flatnonzero(~(level >= np.median(level) - SIDE_HILL))
        found = np.setdiff1d(np.arange(self.count), lost)
        if found.size:
            self.place[lost] = self.place[self.rng.choice(found, len(lost))]

    def tune(self, *, rescale: bool) -> None:
        """Set step size and scale by what the last stretches showed."""
        if not rescale:
            self.pace()
            return
        recent = self.clouds[-max(1, (len(self.clouds) + 1) // 2) :]
        self.clouds = recent
        draws, slopes = (np.concatenate([cloud[i] for cloud in recent], axis=1) for i in (0, 1))
        draws, slopes = (part.reshape(-1, self.size) for part in (draws, slopes))
        looks = draws[np.linspace(0, len(draws) - 1, LOOKS).astype(int)]
        self.scale = learnt_scale(draws, slopes, following(looks, self.packed, self.scale), self.scale)
        self.step_size = max(self.step_size, 0.15)

    def pace(self) -> None:
        """Set the step size by how many trajectories were taken."""
        longer = np.exp(3 * (self.accepted - self.recipe.target))
        self.step_size = float(np.clip(self.step_size * longer, 0.005, 1.5))
