"""Where the chains begin: each cut's zero errors and shortfall near what its own readings say."""

from itertools import product

import numpy as np

from inlaylab.fitting.kernel.packing import Packed
from inlaylab.fitting.model.cut_arrays import LATENTS_OF
from inlaylab.fitting.model.priors import Beliefs, Layout, log_prior, shortfall_latent

HOST = np.arange(-1.2, 1.21, 0.2)
INSERT = np.arange(-1.2, 1.61, 0.1)
SHORT = np.array([0.01, 0.1, 0.3, 0.7])
"""Zero errors and shortfalls that are tried for every cut. [mm]"""


def begin(packed: Packed, layout: Layout, beliefs: Beliefs, *, chains: int, rng: np.random.Generator) -> np.ndarray:
    """
    Latents to begin from.

    Parameters
    ----------
    packed : Packed
        The shop, as the compiled functions read it.
    layout : Layout
        Sizes of the blocks.
    beliefs : Beliefs
        What was believed before any cut.
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
    from inlaylab.fitting.kernel.moves import cut_chances

    start = 0.3 * rng.standard_normal((chains, layout.size))
    if not layout.cuts:
        return start
    spread, mean = beliefs.priors["spread"].centre, beliefs.priors["shortfall_mean"].centre
    grid = np.array(list(product(HOST / spread, INSERT / spread, shortfall_latent(SHORT, mean=mean))))
    worth = np.empty((layout.cuts, len(grid)))
    cut_chances(np.zeros(layout.size), packed, np.arange(layout.cuts), grid, worth)
    own = dict(zip(LATENTS_OF["cuts"], grid.T[..., None], strict=True))
    best = np.argmax(worth + log_prior(own), axis=1)
    for name, column in own.items():
        layout.split(start)[name][...] += column[best, 0]
    return start
