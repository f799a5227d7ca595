"""
What a measurement might show, drawn from the fit, and how likely each draw makes each such result.

A measurement is a row of readings, normal about a mean that depends on the draw and on the single piece; a glue
line under the loupe's limit is only seen as closed. The chance of a result under a draw is the mean over many single
pieces cut in that draw.
"""

from dataclasses import dataclass

import numpy as np

from inlaylab.fitting.model.likelihood import SCATTER, scatter
from inlaylab.fitting.model.priors import LOUPE_ON_FLAT
from inlaylab.fitting.predict.draws import Scenario, single_cut
from inlaylab.models.grooves import groove_width

UNSEEN = 0.005
"""A flat under this is entered as 0: not seen. [mm]"""
PIECES = 32
"""Single pieces of each draw over which the chance of a result is averaged."""
CHUNK = 20
"""Results looked at together."""


@dataclass(frozen=True, kw_only=True)
class Measurement:
    """
    Readings that would be taken, draw by draw.

    Parameters
    ----------
    names : tuple of str
        Kind of each reading, with its station where it has one.
    means : array, shape (draws, pieces, readings)
        What would be read without an error. [mm]
    sd : array, shape (draws, readings)
        Sd of a reading. [mm]
    step : array, shape (readings,)
        Finest division. [mm]
    limit : array, shape (readings,)
        Below it a line is only seen as closed; minus infinity where there is no such limit. [mm]
    unread : array, shape (draws, readings)
        Chance that there is nothing to read, because the stroke broke off.
    """

    names: tuple[str, ...]
    means: np.ndarray
    sd: np.ndarray
    step: np.ndarray
    limit: np.ndarray
    unread: np.ndarray


@dataclass(frozen=True, kw_only=True)
class Results:
    """
    Results of one measurement.

    Parameters
    ----------
    values : array, shape (results, readings)
        What was read; not a number where closed or unread. [mm]
    closed : array of bool, shape (results, readings)
        Seen as closed.
    """

    values: np.ndarray
    closed: np.ndarray


def single_pieces(
    fitted: dict[str, np.ndarray], rng: np.random.Generator, count: int = PIECES
) -> dict[str, np.ndarray]:
    """
    Draw zero errors and shortfalls of many single pieces of each draw.

    Parameters
    ----------
    fitted : dict of arrays
        Draws first.
    rng : Generator
        Source of chance.
    count : int
        Pieces of each draw.

    Returns
    -------
    single : dict of arrays, shape (draws, count)
    """
    return single_cut(fitted, rng, (len(fitted["bias"]), count))


def measurement_of(
    names: list[str],
    means: np.ndarray,
    fitted: dict[str, np.ndarray],
    *,
    loupe_limit: float = 0.0,
    unread: np.ndarray | None = None,
) -> Measurement:
    """
    Put together a measurement of readings that the fit knows.

    Parameters
    ----------
    names : list of str
        Kind of each reading, with its station where it has one.
    means : array, shape (draws, pieces, readings)
        [mm]
    fitted : dict of arrays
        Draws first.
    loupe_limit : float
        Glue line that the shop's loupe still shows. [mm]
    unread : array, shape (draws, readings), optional
        Chance that there is nothing to read.

    Returns
    -------
    measurement : Measurement

    Examples
    --------
    >>> measurement_of(["pocket_depth"], np.zeros((5, 1, 1)), {"gauge_sd": np.full(5, 0.03)}).sd.shape
    (5, 1)
    """
    kinds = [name.split(" ")[0] for name in names]
    sd = np.stack([scatter(kind, fitted) for kind in kinds], axis=1)
    return Measurement(
        names=tuple(names),
        means=means,
        sd=sd,
        step=np.array([SCATTER[kind][1] for kind in kinds]),
        limit=np.array([loupe_limit if kind == "glue_line" else -np.inf for kind in kinds]),
        unread=np.zeros(sd.shape) if unread is None else unread,
    )


def loupe_on_flat(world: Scenario) -> Measurement:
    """
    A loupe's look at the bit's tip flat as it is now.

    Parameters
    ----------
    world : Scenario
        Draws for one planned cut.

    Returns
    -------
    measurement : Measurement
    """
    flat = world.tip_flat()[:, :1]
    return Measurement(
        names=("tip_flat",),
        means=flat[:, None, :],
        sd=np.full(flat.shape, LOUPE_ON_FLAT),
        step=np.array([0.01]),
        limit=np.array([UNSEEN]),
        unread=np.zeros(flat.shape),
    )


def grooves(world: Scenario, single: dict[str, np.ndarray], depths: tuple[float, ...]) -> Measurement:
    """
    Widths of straight grooves cut in one setup.

    Parameters
    ----------
    world : Scenario
        Draws for one planned cut.
    single : dict of arrays
        From `single_pieces`.
    depths : tuple of float
        [mm]

    Returns
    -------
    measurement : Measurement
    """
    means = groove_width(
        depth=np.array(depths),
        true_angle=world.fitted["true_angle"][:, :1, None],
        tip_flat=world.tip_flat()[:, :1, None],
        zero_error=single["host_zero_error"][..., None],
    )
    return measurement_of(["groove"] * len(depths), np.asarray(means), world.fitted)


def depth_gauge(world: Scenario, single: dict[str, np.ndarray]) -> Measurement:
    """
    A pocket and the ground around a plug, cut in scrap and measured by depth gauge.

    Parameters
    ----------
    world : Scenario
        Draws for one planned cut.
    single : dict of arrays
        From `single_pieces`.

    Returns
    -------
    measurement : Measurement
        Each reading less its programmed depth.
    """
    means = np.stack([single["host_zero_error"], single["insert_zero_error"]], axis=-1)
    return measurement_of(["pocket_depth", "plug_depth"], means, world.fitted)


def simulate(measurement: Measurement, rows: np.ndarray, rng: np.random.Generator) -> Results:
    """
    Draw results, each from one draw and one of its pieces.

    Parameters
    ----------
    measurement : Measurement
        What would be read.
    rows : array of int, shape (results,)
        Draws that are taken for the truth, one a result.
    rng : Generator
        Source of chance.

    Returns
    -------
    results : Results
    """
    means, sd = measurement.means, measurement.sd[rows]
    mean = means[rows, rng.integers(means.shape[1], size=len(rows))]
    read = mean + sd * rng.standard_normal(mean.shape)
    values = np.round(read / measurement.step) * measurement.step
    gone = rng.uniform(size=mean.shape) < measurement.unread[rows]
    closed = (read < measurement.limit) & ~gone
    return Results(values=np.where(gone | closed, np.nan, values), closed=closed)


def log_chances(measurement: Measurement, results: Results) -> np.ndarray:
    """
    Logarithm of how likely each draw makes each result, up to a constant of the result.

    Parameters
    ----------
    measurement : Measurement
        What would be read.
    results : Results
        What was read.

    Returns
    -------
    log_chances : array, shape (draws, results)
        Minus infinity where a result is out of the question.

    Notes
    -----
    Readings are independent given draw and piece: the normal log density where a length was read, log Phi((limit -
    mean)/sd) where closed, nothing where there was nothing to read. All three are linear in what depends on the
    result alone, so that they are products of matrices.
    """
    from scipy.special import log_ndtr

    draws, count, readings = measurement.means.shape
    origin = np.median(measurement.means, axis=(0, 1))
    means = (measurement.means - origin).reshape(-1, readings)
    exact = np.repeat(measurement.sd**-2.0, count, axis=0)
    log_sd = np.repeat(np.log(measurement.sd), count, axis=0)
    censored = np.isfinite(measurement.limit)
    below = np.zeros_like(means)
    sd = np.repeat(measurement.sd[:, censored], count, axis=0)
    below[:, censored] = log_ndtr((measurement.limit[censored] - origin[censored] - means[:, censored]) / sd)
    # single precision is enough for weights, and several times as fast
    known = np.hstack([exact, exact * means, 0.5 * exact * means**2 + log_sd, below]).astype(np.float32)
    out = []
    for i in range(0, len(results.values), CHUNK):
        value, closed = results.values[i : i + CHUNK].T - origin[:, None], results.closed[i : i + CHUNK].T * 1.0
        seen = np.isfinite(value) * 1.0
        value = np.where(seen > 0, value, 0.0)
        read = np.vstack([-0.5 * seen * value**2, seen * value, -seen, closed]).astype(np.float32)
        total = (known @ read).reshape(draws, count, -1)
        top = total.max(axis=(0, 1))
        with np.errstate(divide="ignore"):
            out.append(np.log(np.exp(total - top).mean(axis=1)) + top)
    return np.concatenate(out, axis=1)
