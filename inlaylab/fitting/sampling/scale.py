"""The turn and stretch in which chains move: learnt from draws and gradients, in the form that the posterior has."""

from concurrent.futures import ThreadPoolExecutor

import numpy as np

from inlaylab.fitting.kernel.packing import Packed, Scale

STEP = 0.02
"""Half the width of the differences of gradients that second derivatives are taken from, in latents."""

PARTS = 2
"""Into so many parts the points are shared out; not the number of cores, which must not change a sum."""

LEAST_BEND = 0.5
"""No latent is wider than its prior: the least precision that is believed."""


def even_scale(positions: np.ndarray, slopes: np.ndarray) -> np.ndarray:
    """
    Turn and stretch that makes a cloud of draws even in all directions.

    Parameters
    ----------
    positions : array, shape (…, draws, size)
        Draws.
    slopes : array, shape (…, draws, size)
        Gradients of the log density there.

    Returns
    -------
    scale : array, shape (…, size, size)
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
    count, size = positions.shape[-2:]
    bend, doubt = _covariance(slopes), size / (count + size)
    bend = (1 - doubt) * bend + doubt * bend * np.eye(size)
    weights, directions = np.linalg.eigh(bend)
    root = np.sqrt(np.clip(weights, LEAST_BEND, None))[..., None, :]
    even = ((positions - positions.mean(axis=-2, keepdims=True)) @ directions) * root
    weight = count / (count + 2.0 * size)
    spread = weight * np.swapaxes(even, -1, -2) @ even / count + (1 - weight) * np.eye(size)
    turned = directions / root
    return _root(turned @ _root(spread) @ np.swapaxes(turned, -1, -2))


def _covariance(columns: np.ndarray) -> np.ndarray:
    off = columns - columns.mean(axis=-2, keepdims=True)
    return np.swapaxes(off, -1, -2) @ off / columns.shape[-2]


def _root(matrix: np.ndarray) -> np.ndarray:
    weights, directions = np.linalg.eigh((matrix + np.swapaxes(matrix, -1, -2)) / 2)
    return (directions * np.sqrt(np.clip(weights, 1e-12, None))[..., None, :]) @ np.swapaxes(directions, -1, -2)


def following(points: np.ndarray, packed: Packed, scale: Scale) -> np.ndarray:
    """
    How each cut's latents follow what lasts, at some points on average.

    Parameters
    ----------
    points : array, shape (points, size)
        Draws.
    packed, scale
        As the compiled functions read them; of the scale only the places.

    Returns
    -------
    follow : array, shape (cuts, 3, L)
        K = -A^-1 B of the second derivatives A of a cut by itself and B by what lasts.
    """
    return scale_there(points, packed, scale)[0]


def scale_there(points: np.ndarray, packed: Packed, scale: Scale) -> tuple[np.ndarray, np.ndarray]:
    """
    How each cut's latents follow what lasts, and how wide they are by themselves; parameters as of `following`.

    Returns
    -------
    follow : array, shape (cuts, 3, L)
        K.
    single : array, shape (cuts, 3, 3)
        D = A^-1/2.
    """
    from inlaylab.fitting.kernel.density import densities

    count, size = len(scale.lasting), points.shape[-1]
    ways = np.zeros((count + 3, size))  # one latent that lasts at a time; cuts are independent: all at once
    ways[np.arange(count), scale.lasting] = STEP
    for i in range(3):
        ways[count + i, scale.own[:, i]] = STEP

    def bend(point: np.ndarray) -> np.ndarray:
        around = np.concatenate([point + ways, point - ways])
        slopes = np.empty_like(around)
        densities(around, packed, np.empty(len(around)), slopes)
        return (slopes[len(ways) :] - slopes[: len(ways)])[:, scale.own] / (2 * STEP)

    with ThreadPoolExecutor(PARTS) as pool:
        mean = np.add.reduce(list(pool.map(bend, points))) / len(points)  # (L and 3 more, cuts, 3)
    follow, single = np.moveaxis(mean[:count], 0, -1), np.moveaxis(mean[count:], 0, -1)
    weights, directions = np.linalg.eigh((single + np.swapaxes(single, -1, -2)) / 2)
    weights, back = np.clip(weights, LEAST_BEND, None)[..., None, :], np.swapaxes(directions, -1, -2)
    return -((directions / weights) @ back) @ follow, (directions / np.sqrt(weights)) @ back


def learnt_scale(draws: np.ndarray, slopes: np.ndarray, follow: np.ndarray, scale: Scale) -> Scale:
    """
    Scale from draws and the gradients there.

    Parameters
    ----------
    draws, slopes : array, shape (draws, size)
    follow : array, shape (cuts, 3, L)
        See `following`.
    scale : Scale
        The one until now: its places.

    Returns
    -------
    scale : Scale
    """
    lasting, own = draws[:, scale.lasting], draws[:, scale.own]
    push = slopes[:, scale.lasting] + np.einsum("ncj,cjl->nl", slopes[:, scale.own], follow)
    rest = own - np.einsum("nl,cjl->ncj", lasting, follow)
    single = even_scale(rest.swapaxes(0, 1), slopes[:, scale.own].swapaxes(0, 1)) if len(own[0]) else scale.single
    whole = even_scale(lasting, push)
    return scale._replace(
        whole=np.ascontiguousarray(whole), follow=np.ascontiguousarray(follow), single=np.ascontiguousarray(single)
    )
