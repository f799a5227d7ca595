"""What a scanner or a phone makes of a side: light blurred by the lens, encoded, then sharpened."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]


LUMA = np.array([0.299, 0.587, 0.114])
"""Weights of red, green and blue code values in brightness: ITU-R BT.601, as JPEG uses it (from memory)."""


def decode(values: ArrayLike) -> Floats:
    """
    Linear light of code values.

    Parameters
    ----------
    values : array
        Code values, 0 to 255.

    Returns
    -------
    light : array
        0 to 1.

    Notes
    -----
    The curve of IEC 61966-2-1 (sRGB), its constants from memory.
    """
    share = np.clip(np.asarray(values, float) / 255, 0, 1)
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def encode(light: ArrayLike) -> Floats:
    """
    Code values of linear light: `decode` turned round.

    Parameters
    ----------
    light : array
        0 to 1; below 0 is taken as 0.

    Returns
    -------
    values : array
        Code values, 0 to 255 for light up to 1.

    Examples
    --------
    A grey card of 18 % reflectance:

    >>> round(float(encode(0.18)))
    118
    """
    bright: NDArray[np.float64] = np.maximum(np.asarray(light, float), 0)
    return 255 * np.where(bright <= 0.0031308, 12.92 * bright, 1.055 * np.maximum(bright, 1e-9) ** (1 / 2.4) - 0.055)


def blurred(x: Floats, edges: Floats, tones: Floats, sigma: Floats) -> Floats:
    """
    Light across parallel bands, seen through a Gaussian blur.

    Parameters
    ----------
    x : array of shape (n, m)
        Places across each of n profiles. [mm]
    edges : array of shape (n, k)
        Where a band ends and the next begins. [mm]
    tones : array of shape (n, k + 1, m, c)
        Light of each band in c colours, which may drift along x.
    sigma : array of shape (n,)
        Standard deviation of the blur. [mm]

    Returns
    -------
    light : array of shape (n, m, c)

    Notes
    -----
    Bands may have negative width: the answer runs on smoothly through zero, which a least-squares fit needs.
    """
    from scipy.special import ndtr

    light = tones[:, 0].copy()
    for band in range(edges.shape[1]):
        covered = ndtr((x - edges[:, band, None]) / sigma[:, None])[..., None]
        light += covered * (tones[:, band + 1] - tones[:, band])
    return light


def brightness(light: Floats) -> Floats:
    """Brightness in code values of light with its colours last."""
    return np.asarray(encode(light) @ LUMA, float)


def sharpened(values: Floats, *, strength: float, radius: float) -> Floats:
    """
    Unsharp mask along the last axis, as cameras apply it to code values.

    Parameters
    ----------
    values : array of shape (..., m)
        Code values at equal steps.
    strength : float
        How much of the difference from the blurred profile is added.
    radius : float
        Standard deviation of the mask's blur. [steps]

    Returns
    -------
    values : array of the same shape
    """
    return (1 + strength) * values - strength * _smooth(values, radius)


def _smooth(values: Floats, sigma: float) -> Floats:
    """Gaussian blur along the last axis; beyond the ends nothing counts."""
    places = np.arange(values.shape[-1])
    matrix = np.exp(-0.5 * ((places[:, None] - places) / sigma) ** 2)
    return np.asarray(values @ (matrix / matrix.sum(axis=0)), float)
