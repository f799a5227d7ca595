"""The array library in use: NumPy, or JAX where a JAX array comes in."""

import sys
from typing import Any, TypeAlias, cast

import numpy as np
from numpy.typing import NDArray

#: What a model takes and gives: numbers or arrays that broadcast. Plain sequences are taken, too.
Floats: TypeAlias = float | NDArray[np.float64]


def namespace(*arrays: object) -> Any:
    """
    Library that fits the given arrays: ``jax.numpy`` if any is JAX's, else ``numpy``.

    Parameters
    ----------
    *arrays : array_like
        Numbers, sequences, NumPy arrays, JAX arrays or JAX tracers.

    Returns
    -------
    xp : module
        ``numpy`` or ``jax.numpy``. JAX itself is never imported from here: an
        array of JAX's can only come from a program that has imported it.
    """
    if any(type(array).__module__.partition(".")[0] in ("jax", "jaxlib") for array in arrays):
        return sys.modules["jax.numpy"]
    return np


def as_arrays(*values: object) -> tuple[Any, list[Any]]:
    """
    Library in use, and every value as a floating-point array of that library.

    Parameters
    ----------
    *values : array_like
        Anything `namespace` takes; whole numbers become floats.

    Returns
    -------
    xp : module
        ``numpy`` or ``jax.numpy``.
    arrays : list of array
        The values in the order given.

    Examples
    --------
    >>> xp, (width, depth) = as_arrays([1, 2], 3)
    >>> print(width * depth)
    [3. 6.]
    """
    xp = namespace(*values)
    return xp, [xp.asarray(value, dtype=float) for value in values]


def plain(value: object) -> Floats:
    """
    Give a number instead of an array without dimensions; leave all else as it is.

    Parameters
    ----------
    value : array_like
        Result of a model.

    Returns
    -------
    value : float or array
        NumPy arrays of shape ``()`` come back as NumPy scalars.

    Examples
    --------
    >>> print(f"{plain(np.array(0.5)):.1f}")
    0.5
    """
    return cast(Floats, value[()] if isinstance(value, np.ndarray) else value)
