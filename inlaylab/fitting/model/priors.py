"""
What is believed before any cut is logged, as laws of latents, and the names of everything that is fitted.

Every latent is a number of a fixed law (non-centred): standard normal, but for seat shortfalls the
logarithm of a unit exponential. `values` turns a vector of them into millimetres, degrees
and chances, by the starting beliefs of `inlaylab.fitting.model.beliefs`.
"""

from dataclasses import dataclass

import numpy as np

from inlaylab.fitting.model.beliefs import KIT, PRIORS, SHOP, Beliefs, Prior
from inlaylab.models.arrays import namespace

__all__ = [
    "FARTHEST",
    "KIT",
    "KNEE",
    "LOUPE_ON_FLAT",
    "PRIORS",
    "SHOP",
    "TAIL",
    "Beliefs",
    "Layout",
    "Prior",
    "draw_prior",
    "log_prior",
    "shop_value",
    "shortfall",
    "shortfall_latent",
    "shortfall_log_density",
    "values",
    "zero_error",
]

LOUPE_ON_FLAT = 0.05
"""Standard deviation of a tip flat measured by loupe (invented, no source). [mm]"""


@dataclass(frozen=True, kw_only=True)
class Layout:
    """
    Where each latent stands in the vector.

    Parameters
    ----------
    bits, pairs, species, cuts, setups : int
        How many of each there are; set-ups are groups of grooves cut in one zeroing.

    Examples
    --------
    >>> Layout(bits=1, pairs=1, species=2, cuts=3, setups=0).size
    41
    """

    bits: int
    pairs: int
    species: int
    cuts: int
    setups: int

    def blocks(self) -> dict[str, tuple[int, ...]]:
        """Shape of each block of latents, in the vector's order."""
        shapes: dict[str, tuple[int, ...]] = {name: () for name in SHOP}
        shapes |= {"z_angle": (self.bits,), "z_tip": (self.bits,), "z_allowance": (self.pairs,)}
        shapes |= {"z_crest": (self.species,), "z_half_filled": (self.species,)}
        shapes |= {"z_host": (self.cuts,), "z_insert": (self.cuts,), "z_shortfall": (self.cuts,)}
        return shapes | {"z_setup": (self.setups,)}

    @property
    def size(self) -> int:
        """Length of the whole vector."""
        return sum(int(np.prod(shape)) for shape in self.blocks().values())

    def split(self, vector) -> dict:
        """Cut a vector (…, size) into named blocks (…, shape)."""
        shapes = self.blocks()
        ends = np.cumsum([int(np.prod(shape)) for shape in shapes.values()])
        pieces = namespace(vector).split(vector, ends[:-1], axis=-1)
        return {
            name: piece if shape else piece[..., 0] for (name, shape), piece in zip(shapes.items(), pieces, strict=True)
        }

    def join(self, blocks: dict):
        """Put named blocks (…, shape) together again: (…, size)."""
        xp = namespace(*blocks.values())
        parts = [blocks[name] if shape else blocks[name][..., None] for name, shape in self.blocks().items()]
        return xp.concatenate(parts, axis=-1)


def shop_value(name: str, z, beliefs: Beliefs = KIT):
    """
    Value of one latent of the shop from its standard normal number.

    Parameters
    ----------
    name : str
        One of `SHOP`.
    z : array
        Standard normal numbers of any shape.
    beliefs : Beliefs, optional
        What was believed before any cut.

    Returns
    -------
    value : array
        In the prior's own unit.

    Examples
    --------
    >>> round(float(shop_value("spread", np.array(0.0))), 3)
    0.05
    """
    xp, prior = namespace(z), beliefs.priors[name]
    if prior.kind == "log":
        return prior.centre * xp.exp(prior.spread * z)
    straight = prior.centre + prior.spread * z
    return 1.0 / (1.0 + xp.exp(-straight)) if prior.kind == "logit" else straight


def zero_error(z, *, bias, spread):
    """
    Zero error of a board from its latent, a standard normal number.

    Parameters
    ----------
    z : array
        Latents.
    bias, spread : array
        Bias and spread of the shop. [mm]

    Returns
    -------
    error : array
        Deeper than programmed is positive. [mm]

    Notes
    -----
    Normal on purpose: a plug that hangs far too high could be blamed on either board's zero or on its seat, and only
    one of them may have long tails if the answer is to be one answer; that one is the seat (`shortfall`).

    Examples
    --------
    >>> float(zero_error(np.array(0.0), bias=0.02, spread=0.05))
    0.02
    """
    return bias + spread * z


def shortfall(x, *, mean):
    """
    Seat shortfall of a cut from its latent, the logarithm of a unit exponential.

    Parameters
    ----------
    x : array
        Latents.
    mean : array
        Typical shortfall of the shop. [mm]

    Returns
    -------
    shortfall : array
        Never negative. [mm]

    Notes
    -----
    Exponential up to `KNEE` means, which all but one cut in fifty stay below; above, a generalised Pareto tail with
    shape `TAIL`: a plug that hung a millimetre high for a reason of its own (a chip under the nose, a clamp
    forgotten) is possible, and does not speak for the others.

    Examples
    --------
    >>> shortfall(np.log([1.0, 4.0, 8.0]), mean=0.02).round(3)
    array([0.02 , 0.08 , 0.278])
    """
    xp = namespace(x)
    means = xp.minimum(xp.exp(x), FARTHEST)
    beyond = xp.maximum(means - KNEE, 0.0)
    return mean * (means - beyond + xp.expm1(TAIL * beyond) / TAIL)


KNEE, TAIL = 4.0, 0.4
"""Where the tail of the seat shortfall's law begins [means], and its shape: our choice, so that a rare plug that jams
does not pull the mean of all the others."""

FARTHEST = 30.0
"""Largest unit exponential that is told from others: keeps a straying chain from overflowing."""


def shortfall_latent(depth, *, mean):
    """
    Latent of a seat shortfall: what `shortfall` undoes.

    Parameters
    ----------
    depth : array
        Above zero. [mm]
    mean : array
        Typical shortfall of the shop. [mm]

    Returns
    -------
    x : array

    Examples
    --------
    >>> float(shortfall(shortfall_latent(np.array(0.5), mean=0.02), mean=0.02).round(9))
    0.5
    """
    xp = namespace(depth, mean)
    means = depth / mean
    beyond = xp.maximum(means - KNEE, 0.0)
    return xp.log(means - beyond + xp.log1p(TAIL * beyond) / TAIL)


def shortfall_log_density(depth, *, mean):
    """
    Logarithm of the density of a seat shortfall [1/mm].

    Parameters
    ----------
    depth : array
        Above zero. [mm]
    mean : array
        Typical shortfall of the shop. [mm]

    Returns
    -------
    log_density : array

    Examples
    --------
    >>> float(shortfall_log_density(np.array(0.02), mean=1.0))
    -0.02
    """
    xp = namespace(depth, mean)
    means = xp.exp(shortfall_latent(depth, mean=mean))
    return -means - xp.log(mean) - TAIL * xp.maximum(means - KNEE, 0.0)


def log_prior(z: dict):
    """
    Logarithm of the prior density of the latents, up to a constant.

    Parameters
    ----------
    z : dict of arrays
        Blocks of `Layout.split`.

    Returns
    -------
    log_density : array
        Standard normal latents, but shortfalls as the logarithm of a unit exponential.

    Examples
    --------
    >>> layout = Layout(bits=1, pairs=1, species=1, cuts=0, setups=0)
    >>> float(log_prior(layout.split(np.ones(layout.size)))) == -0.5 * layout.size
    True
    """
    xp = namespace(*z.values())
    total = 0.0
    for name, block in z.items():
        term = block - xp.exp(block) if name == "z_shortfall" else -0.5 * block * block
        total = total + (term if name in SHOP else xp.sum(term, axis=-1))
    return total


def draw_prior(layout: "Layout", rng: np.random.Generator, size: int, *, wide: float = 1.0) -> np.ndarray:
    """
    Draw latents from their prior.

    Parameters
    ----------
    layout : Layout
        Sizes of the blocks.
    rng : Generator
        Source of chance.
    size : int
        How many draws.
    wide : float, optional
        Stretches every latent away from its centre.

    Returns
    -------
    draws : array, shape (size, layout.size)

    Examples
    --------
    >>> layout = Layout(bits=1, pairs=1, species=1, cuts=2, setups=0)
    >>> draw_prior(layout, np.random.default_rng(1), 5).shape == (5, layout.size)
    True
    """
    draws = wide * rng.standard_normal((size, layout.size))
    for name, block in layout.split(draws).items():
        if name == "z_shortfall":
            block[...] = wide * np.log(rng.standard_exponential(block.shape))
    return draws


def values(z: dict, *, nominal_angles, beliefs: Beliefs = KIT) -> dict:
    """
    Every fitted quantity from the latents.

    Parameters
    ----------
    z : dict of arrays
        Blocks of `Layout.split`; leading axes (draws) are allowed.
    nominal_angles : array, shape (bits,)
        As sold. [degrees]
    beliefs : Beliefs, optional
        Those that the latents were drawn with.

    Returns
    -------
    values : dict of arrays
        The shop's values by name, and ``true_angle`` [degrees], ``tip_flat``, ``wall_allowance``,
        ``crest_loss``, ``half_filled``, ``host_zero_error``, ``insert_zero_error``,
        ``shortfall``, ``setup_error`` [mm].

    Examples
    --------
    >>> layout = Layout(bits=1, pairs=1, species=1, cuts=1, setups=0)
    >>> fitted = values(layout.split(np.zeros(layout.size)), nominal_angles=np.array([60.0]))
    >>> fitted["true_angle"].round(1), fitted["tip_flat"].round(3)
    (array([60.]), array([0.08]))
    """
    xp = namespace(*z.values())
    out = {name: shop_value(name, z[name], beliefs) for name in SHOP}
    each = {name: value[..., None] for name, value in out.items()}
    error = beliefs.priors["angle_error"]
    out["true_angle"] = nominal_angles + error.centre + error.spread * z["z_angle"]
    out["tip_flat"] = each["tip_flat_mean"] * xp.exp(each["tip_flat_ratio"] * z["z_tip"])
    out["wall_allowance"] = each["allowance_mean"] + each["allowance_spread"] * z["z_allowance"]
    out["crest_loss"] = each["crest_loss_mean"] * xp.exp(each["crest_loss_ratio"] * z["z_crest"])
    out["half_filled"] = each["half_filled_mean"] + each["half_filled_spread"] * z["z_half_filled"]
    zeros = {"bias": each["bias"], "spread": each["spread"]}
    out["host_zero_error"] = zero_error(z["z_host"], **zeros)
    out["insert_zero_error"] = zero_error(z["z_insert"], **zeros)
    out["setup_error"] = zero_error(z["z_setup"], **zeros)
    out["shortfall"] = shortfall(z["z_shortfall"], mean=each["shortfall_mean"])
    return out
