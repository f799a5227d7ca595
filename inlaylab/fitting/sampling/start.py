"""Where the chains begin: each cut's zero errors and shortfall near what its own readings say."""

from itertools import product

import numpy as np

from inlaylab.fitting.model.cut_seats import seat_levels
from inlaylab.fitting.model.likelihood import cut_terms
from inlaylab.fitting.model.observations import Observations
from inlaylab.fitting.model.priors import PRIORS, Layout, log_prior, shortfall_latent, values

HOST = np.arange(-1.2, 1.21, 0.2)
INSERT = np.arange(-1.2, 1.61, 0.1)
SHORT = np.array([0.01, 0.1, 0.3, 0.7])
"""Zero errors and shortfalls that are tried for every cut. [mm]"""


def begin(seen: Observations, layout: Layout, *, chains: int, rng: np.random.Generator) -> np.ndarray:
    """
    Latents to begin from.

    Parameters
    ----------
    seen : Observations
        The shop.
    layout : Layout
        Sizes of the blocks.
    chains : int
        How many chains.
    rng : Generator
        Scatters the chains.

    Returns
    -------
    start : array, shape (chains, layout.size)

    Notes
    -----
    A plug that one odd zero lifted by a millimetre could as well be taken for a dozen mistaken readings, and a
    chain that begins there does not find out. So every cut is first tried on a coarse grid, with everything
    lasting at its prior's centre.
    """
    start = 0.3 * rng.standard_normal((chains, layout.size))
    if not seen.cuts.bit.size:
        return start
    spread, mean = PRIORS["spread"].centre, PRIORS["shortfall_mean"].centre
    grid = np.array(list(product(HOST / spread, INSERT / spread, shortfall_latent(SHORT, mean=mean))))
    names = ("z_host", "z_insert", "z_shortfall")
    parts = np.array_split(grid, max(1, len(grid) * layout.cuts // 20_000))
    score = np.concatenate([_score(seen, layout, dict(zip(names, part.T, strict=True))) for part in parts])
    best = np.argmax(score, axis=0)
    for name, column in zip(names, grid.T, strict=True):
        layout.split(start)[name][...] += column[best]
    return start


def _score(seen: Observations, layout: Layout, tried: dict[str, np.ndarray]) -> np.ndarray:
    """Log density of every cut's own readings and zeros, for each of the values tried: (tried, cuts)."""
    count = len(tried["z_host"])
    trial = np.zeros((count, layout.size))
    blocks = layout.split(trial)
    for name, column in tried.items():
        blocks[name][...] = column[:, None]
    fitted = values(blocks, nominal_angles=seen.nominal_angles)
    own = log_prior({name: column[:, None] for name, column in tried.items()})
    return own[:, None] + cut_terms(fitted, seen, seat_levels(fitted, seen.cuts))
