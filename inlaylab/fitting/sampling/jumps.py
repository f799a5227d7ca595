"""
Jumps of one cut with all that it leans on, for chains that seldom find the way by themselves.

Where a bit has a single cut, two odd readings of it may be mistakes, or tell of a blunt tip: two hills far apart.
Chains have climbed both while they tuned, so the difference between two of their places leads from one to the other.
Differential evolution with a fixed archive: ter Braak, C. J. F. and Vrugt, J. A. (2008), Statistics and Computing 18,
435-446; part of the latents at a time, as in Vrugt, J. A. and others (2009), International Journal of Nonlinear
Sciences and Numerical Simulation 10, 273-290.
"""

import numpy as np

from inlaylab.fitting.kernel.packing import Packed
from inlaylab.fitting.model.priors import Layout

APART = 1.3
"""R-hat at which chains are on different hills, not only slow: 300 cuts show 1.16 at first."""

TRIES, FEWEST, LOOKED_AT = 120, 10, 3000
"""Jumps that each chain tries between two stretches, fewer where the cuts are many: each looks at all of them."""

SHARES = (0.4, 0.7, 1.0)
"""Chances that a latent takes part in a jump, one a try."""

WIDTH = 0.02
"""Spread of what is added to a jump, so that it is not bound to differences that were seen. [latents]"""

BLOCKS = ("z_angle", "z_tip", "z_allowance", "z_crest", "z_crest", "z_host", "z_insert", "z_shortfall")


class Jumps:
    """
    Jumps between places that chains have been at.

    Parameters
    ----------
    packed : Packed
        The shop, as the compiled functions read it.
    layout : Layout
        Sizes of the blocks.
    archive : array, shape (chains, draws, size)
        Where the chains have been.
    rng : numpy.random.Generator
    """

    def __init__(self, packed: Packed, *, layout: Layout, archive: np.ndarray, rng: np.random.Generator) -> None:
        self.packed, self.rng = packed, rng
        self.archive = archive.reshape(-1, archive.shape[-1])
        self.leaned_on = leaned_on(packed, layout)
        self.likely = strayed(archive)[self.leaned_on].max(axis=1) ** 2
        self.likely /= self.likely.sum()
        self.tries = max(FEWEST, min(TRIES, LOOKED_AT // layout.cuts))

    def leap(self, places: np.ndarray, *, tries: int | None = None) -> float:
        """
        Try jumps from the places of some chains, and move these where a jump is taken.

        Every try is as likely back as forth, so the densities alone decide.

        Parameters
        ----------
        places : array, shape (chains, size)
        tries : int, optional
            How many, one after the other, if not the usual number.

        Returns
        -------
        taken : float
            Share of the jumps that were taken.
        """
        heights, taken, tries = self._heights(places), 0, tries or self.tries
        for _ in range(tries):
            there = self._elsewhere(places)
            others = self._heights(there)
            better = np.log(self.rng.random(len(places))) < others - heights
            places[better], heights[better] = there[better], others[better]
            taken += int(better.sum())
        return taken / (tries * len(places))

    def _elsewhere(self, places: np.ndarray) -> np.ndarray:
        rng, count = self.rng, len(places)
        one, other = rng.integers(len(self.archive), size=(2, count))
        which = self.leaned_on[rng.choice(len(self.leaned_on), count, p=self.likely)]
        goes = rng.random(which.shape) < rng.choice(SHARES, (count, 1))
        row = np.arange(count)[:, None]
        far = self.archive[one][row, which] - self.archive[other][row, which]
        far += WIDTH * rng.standard_normal(which.shape)
        found = places.copy()
        found[row, which] += np.where(goes, far, 0.0)
        return found

    def _heights(self, places: np.ndarray) -> np.ndarray:
        from inlaylab.fitting.kernel.density import densities

        heights, slopes = np.empty(len(places)), np.empty_like(places)
        densities(places, self.packed, heights, slopes)
        return np.where(np.isfinite(heights), heights, -np.inf)


def leaned_on(packed: Packed, layout: Layout) -> np.ndarray:
    """
    Say which latents a cut's readings depend on, what holds for the whole shop left out.

    Returns
    -------
    places : array of int, shape (cuts, 8)
        Where they stand in the vector, in the order of `BLOCKS`.
    """
    at = layout.split(np.arange(layout.size))
    bit, pair, insert, host = packed.cut_at[:-1, :4].T
    cut = np.arange(layout.cuts)
    owners = (bit, bit, pair, insert, host, cut, cut, cut)
    return np.stack([at[name][owner] for name, owner in zip(BLOCKS, owners, strict=True)], axis=1).astype(np.int64)


def strayed(draws: np.ndarray) -> np.ndarray:
    """Variance between chains over that within them, of every latent of (chains, draws, size)."""
    within = np.maximum(draws.var(axis=1).mean(axis=0), 1e-6)  # a chain may not have moved at all
    return draws.mean(axis=1).var(axis=0, ddof=1) / within
