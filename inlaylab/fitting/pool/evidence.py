"""
What one shop's readings say of what pooling learns: its fit with the starting beliefs divided out.

Everything is on the scale on which the beliefs are normal (the value, its logarithm, or its log-odds), in standard
deviations of the beliefs that the fit began with.

Of flats, allowances, crest losses and filling widths it keeps what is known of each bit, pair or species (`GROUPS`),
not of the shop's middle and spread of them. Readings speak of the members alone, nearly normally; two bits leave
middle and spread of a shop on a bent ridge, which no normal law describes and from which the beliefs come out wrong.
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

FORMAT = 2
GROUPS = {
    "tip_flat_mean": ("tip_flat_ratio", "z_tip"),
    "allowance_mean": ("allowance_spread", "z_allowance"),
    "crest_loss_mean": ("crest_loss_ratio", "z_crest"),
    "half_filled_mean": ("half_filled_spread", "z_half_filled"),
}
"""Belief about a shop's middle: that about the spread of its members, and their block of latents."""
ALONE = tuple(name for name in SHOP if name not in GROUPS and all(name != spread for spread, _ in GROUPS.values()))
"""What a shop has one of."""
LEAST = 0.3
"""Precision, in units of the prior's, below which a direction tells of the draws' own noise only: a covariance of k
latents from n draws has variances off by up to 2 sqrt(k/n), 0.28 for 30 latents and 1,500 draws."""
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
    members : tuple of int
        How many bits, pairs and species there are: members of each of `GROUPS`.
    precision : array, shape (k, k)
        Curvature of the log likelihood in `ALONE` and then the members, each in spreads of its group's middle.
    pull : array, shape (k,)
        Its slope at the starting beliefs' middle.
    left : array, shape (shop's,)
        Share of each belief's variance that the readings left, in the order of `beliefs.SHOP`; for the spread of a
        group that of its members, 1 where there is one only.
    angle_precision, angle_pull : array, shape (bits,)
        The same of each bit's angle error.
    began : mapping of str to (float, float)
        Centre and spread of each belief that the fit began with.
    """

    fingerprint: str
    cuts: int
    readings: int
    members: tuple[int, ...]
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
            members = tuple(int(count) for count in record["members"])
            size = len(ALONE) + sum(members)
            shapes = [arrays[name].shape for name in ("precision", "pull", "left")]
            sound = record["format"] == FORMAT and shapes == [(size, size), (size,), (len(SHOP),)]
            sound &= len(members) == len(GROUPS) and min(members) >= 0
            sound &= arrays["angle_pull"].shape == arrays["angle_precision"].shape
            if not sound or not all(np.isfinite(each).all() for each in arrays.values()):
                raise ValueError("another shape")
            began = {str(name): (float(a), float(b)) for name, (a, b) in record["began"].items()}
            return cls(
                fingerprint=str(record["fingerprint"]),
                cuts=int(record["cuts"]),
                readings=int(record["readings"]),
                members=members,
                began=began,
                **arrays,
            )
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
    With mean m and covariance C of the draws, and covariance P that the beliefs alone give, the likelihood is taken as
    normal: precision C^-1 - P^-1, slope C^-1 m at 0. The members' covariance under the beliefs is 1 for all of a group,
    which share its middle, and the mean square of its spread besides on the diagonal. Directions in which the readings
    say nothing come out as noise around 0 and are set to 0.
    """
    fit.check()
    columns, prior, members = _columns(fit)
    precision, pull = _likelihood(columns, prior)
    angles = fit.latents["z_angle"]
    each = [_likelihood(angles[:, [bit]], np.eye(1)) for bit in range(angles.shape[1])]
    left = {name: fit.latents[name].var() for name in SHOP}
    known, begin = columns.var(axis=0) / np.diag(prior), len(ALONE)
    for (spread, _), count in zip(GROUPS.values(), members, strict=True):
        left[spread] = known[begin : begin + count].mean() if count > 1 else 1.0
        begin += count
    return Evidence(
        fingerprint=fit.fingerprint,
        cuts=fit.cuts,
        readings=fit.readings,
        members=members,
        precision=precision,
        pull=pull,
        left=np.minimum([left[name] for name in SHOP], 1.0),
        angle_precision=np.array([one[0][0, 0] for one in each]),
        angle_pull=np.array([one[1][0] for one in each]),
        began=fit.beliefs.figures(),
    )


def mean_square(name: str, beliefs: Beliefs) -> float:
    """
    Give the mean square of the spread of a group's members, in spreads of its middle.

    Parameters
    ----------
    name : str
        Belief about the group's middle, of `GROUPS`.
    beliefs : Beliefs
        Which say how large it is.

    Returns
    -------
    mean_square : float
        Of a log-normal law: centre squared times exp(2 spread squared).
    """
    within = beliefs.priors[GROUPS[name][0]]
    return (within.centre / beliefs.priors[name].spread) ** 2 * math.exp(2 * within.spread**2)


def _columns(fit: Fit) -> tuple[NDArray[np.float64], NDArray[np.float64], tuple[int, ...]]:
    """Draws of `ALONE` and of the members, their covariance under the beliefs alone, and how many members there are."""
    columns, members = [fit.latents[name] for name in ALONE], []
    prior = [np.eye(len(ALONE))]
    for name, (spread, block) in GROUPS.items():
        within = fit.beliefs.priors[spread]
        wide = within.centre * np.exp(within.spread * fit.latents[spread]) / fit.beliefs.priors[name].spread
        each = fit.latents[name][:, None] + wide[:, None] * fit.latents[block]
        columns += list(each.T)
        members.append(each.shape[1])
        prior.append(np.ones((members[-1],) * 2) + mean_square(name, fit.beliefs) * np.eye(members[-1]))
    whole, begin = np.zeros((len(columns),) * 2), 0
    for part in prior:
        whole[begin : begin + len(part), begin : begin + len(part)] = part
        begin += len(part)
    return np.stack(columns, axis=-1), whole, tuple(members)


def _likelihood(
    draws: NDArray[np.float64], prior: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Precision and slope at 0 of the normal likelihood that turns N(0, prior) into the law of these draws."""
    whiten = np.linalg.inv(np.linalg.cholesky(prior))
    draws = draws @ whiten.T
    mean, covariance = draws.mean(axis=0), np.atleast_2d(np.cov(draws, rowvar=False))
    variances, axes = np.linalg.eigh(covariance)
    gained = 1 / np.maximum(variances, 1e-9) - 1
    told = gained > LEAST
    pull = axes @ np.where(told, (axes.T @ mean) / np.maximum(variances, 1e-9), 0.0)
    return whiten.T @ (axes * np.where(told, gained, 0.0)) @ axes.T @ whiten, whiten.T @ pull


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
