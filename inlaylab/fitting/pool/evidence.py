"""
What one shop's readings say of the things that every shop has: its fit with the starting beliefs divided out.

Everything is on the scale on which the beliefs are normal (the value, its logarithm, or its log-odds), in standard
deviations of the beliefs that the fit began with.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inlaylab.errors import InputError
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.beliefs import KIT, SHOP, Beliefs

FORMAT = 1
LEAST = 0.1
"""Precision, in units of the prior's, below which a direction tells of the draws' own noise only."""
INFORMED = 0.9
"""A shop stands behind a number where its readings left less than this share of the belief's variance."""


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """
    What a shop's readings say, without what its fit began with.

    Parameters
    ----------
    fingerprint : str
        Of the shop's records; no name, note or reading is kept.
    cuts, readings : int
        How much it rests on.
    precision : array, shape (k, k)
        Curvature of the log likelihood in the shop's own latents, in the order of `beliefs.SHOP`.
    pull : array, shape (k,)
        Its slope at the starting beliefs' middle.
    left : array, shape (k,)
        Share of each belief's variance that the readings left.
    angle_precision, angle_pull : array, shape (bits,)
        The same of each bit's angle error.
    began : mapping of str to (float, float)
        Centre and spread of each belief that the fit began with.
    """

    fingerprint: str
    cuts: int
    readings: int
    precision: NDArray[np.float64]
    pull: NDArray[np.float64]
    left: NDArray[np.float64]
    angle_precision: NDArray[np.float64]
    angle_pull: NDArray[np.float64]
    began: Mapping[str, tuple[float, float]]

    def record(self) -> dict[str, object]:
        """Give it as plain values, for a file."""
        plain = {k: v.tolist() if isinstance(v, np.ndarray) else v for k, v in asdict(self).items()}
        return {"format": FORMAT, **plain}

    @classmethod
    def from_record(cls, record: Mapping[str, Any]) -> Evidence:
        """
        Make it of what `record` gives.

        Raises
        ------
        InputError
            Where something is missing or has another shape.
        """
        try:
            arrays = {
                name: np.asarray(record[name], dtype=float)
                for name in ("precision", "pull", "left", "angle_precision", "angle_pull")
            }
            size = len(SHOP)
            shapes = [arrays[name].shape for name in ("precision", "pull", "left")]
            sound = record["format"] == FORMAT and shapes == [(size, size), (size,), (size,)]
            sound &= arrays["angle_pull"].shape == arrays["angle_precision"].shape
            if not sound or not all(np.isfinite(each).all() for each in arrays.values()):
                raise ValueError("another shape")
            began = {str(name): (float(a), float(b)) for name, (a, b) in record["began"].items()}
            cuts, readings = int(record["cuts"]), int(record["readings"])
            return cls(fingerprint=str(record["fingerprint"]), cuts=cuts, readings=readings, began=began, **arrays)
        except (KeyError, TypeError, ValueError, AttributeError) as fault:
            raise InputError("this is no evidence of a shop", value=str(fault)) from None


def evidence_of(fit: Fit) -> Evidence:
    """
    Take from a fit what its readings say.

    Parameters
    ----------
    fit : Fit
        Converged fit of a shop.

    Returns
    -------
    evidence : Evidence

    Raises
    ------
    NotConverged
        If the fit's chains do not agree.

    Notes
    -----
    With latents z ~ N(0, I) before and mean m and covariance C after the readings, the likelihood of the shop's own
    latents is taken as normal: precision C^-1 - I, slope C^-1 m at 0. Directions in which the readings say nothing come
    out as noise around 0 and are set to 0.
    """
    fit.check()
    draws = np.stack([fit.latents[name] for name in SHOP], axis=-1)
    precision, pull = _likelihood(draws)
    angles = fit.latents["z_angle"]
    each = [_likelihood(angles[:, [bit]]) for bit in range(angles.shape[1])]
    return Evidence(
        fingerprint=fit.fingerprint,
        cuts=fit.cuts,
        readings=fit.readings,
        precision=precision,
        pull=pull,
        left=np.minimum(draws.var(axis=0), 1.0),
        angle_precision=np.array([one[0][0, 0] for one in each]),
        angle_pull=np.array([one[1][0] for one in each]),
        began=fit.beliefs.figures(),
    )


def _likelihood(draws: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Precision and slope at 0 of the normal likelihood that turns N(0, I) into the law of these draws."""
    mean, covariance = draws.mean(axis=0), np.atleast_2d(np.cov(draws, rowvar=False))
    variances, axes = np.linalg.eigh(covariance)
    gained = 1 / np.maximum(variances, 1e-9) - 1
    told = gained > LEAST
    pull = np.where(told, (axes.T @ mean) / np.maximum(variances, 1e-9), 0.0)
    return (axes * np.where(told, gained, 0.0)) @ axes.T, axes @ pull


def straight(name: str, centre: float, beliefs: Beliefs = KIT) -> float:
    """
    Put the centre of a belief on the scale on which it is normal.

    Parameters
    ----------
    name : str
        Which belief.
    centre : float
        As the belief states it.
    beliefs : Beliefs
        Says of which kind it is.

    Returns
    -------
    middle : float
        The logarithm where the logarithm is normal.

    Examples
    --------
    >>> straight("spread", 1.0)
    0.0
    """
    return math.log(centre) if beliefs.priors[name].kind == "log" else centre
