"""
Grain: how much of the thin strokes lies across the insert's grain, against the artwork's rotation.

Short grain breaks: a thin stroke whose length runs with the grain holds better than one that crosses it (common
practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from inlaylab.artwork.axis.medial_axis import Axis

ACROSS = 45.0  # [degrees] a stroke lies across where it is within this angle of square to the grain
STEP = 1.0  # [degrees] between the rotations that are tried


@dataclass(frozen=True, kw_only=True)
class Grain:
    """
    Thin strokes against the grain, for every rotation of the artwork.

    Parameters
    ----------
    rotations : numpy.ndarray
        By which the artwork is turned on the insert, counter-clockwise as seen on the host. [degrees]
    across : numpy.ndarray
        Share of thin-stroke length that then lies across the grain.
    best : float
        Rotation with the least across the grain; of equal ones the smallest turn. [degrees]
    """

    rotations: np.ndarray
    across: np.ndarray
    best: float

    def at(self, rotation: float) -> float:
        """
        Read the share across the grain at a rotation.

        Parameters
        ----------
        rotation : float
            [degrees]

        Returns
        -------
        across : float
            Share of thin-stroke length.
        """
        period = np.append(self.rotations, self.rotations[0] + 180.0)
        turned = (rotation - self.rotations[0]) % 180.0 + self.rotations[0]
        return float(np.interp(turned, period, np.append(self.across, self.across[0])))


def across_the_grain(thin: Axis, *, grain: float = 0.0) -> Grain:
    """
    Share of thin-stroke length across the grain, for every rotation.

    Parameters
    ----------
    thin : Axis
        Middles of the thin strokes, from `thin_strokes.thin_strokes`. [mm]
    grain : float
        Direction of the insert's grain, counter-clockwise from x as seen on the host. [degrees]

    Returns
    -------
    grain : Grain
        Rotations from -90 up to below 90 degrees.

    Notes
    -----
    Turning the plug over mirrors stroke and grain alike, so the angle between them is the same on host and insert.
    Rotate only the plug on its blank by the best rotation; the pocket stays as drawn, and the plug is turned back
    when it goes in.

    Examples
    --------
    >>> from shapely import box
    >>> from inlaylab.artwork.axis.thin_strokes import thin_strokes
    >>> upright = thin_strokes(box(0, 0, 0.5, 40), limit=1, path_angle=60)
    >>> turned = across_the_grain(upright.axis)
    >>> print(turned.at(0), turned.at(90), abs(turned.best) > 44)
    1.0 0.0 True
    """
    rotations = np.arange(-90.0, 90.0, STEP)
    lengths = thin.lengths
    if not lengths.sum() > 0:
        return Grain(rotations=rotations, across=np.zeros(len(rotations)), best=0.0)
    run = thin.ends[:, 1] - thin.ends[:, 0]
    direction = np.degrees(np.arctan2(run[:, 1], run[:, 0])) - grain
    counts, edges = np.histogram(direction % 180.0, bins=1800, range=(0.0, 180.0), weights=lengths)
    middle = (edges[:-1] + edges[1:]) / 2
    off = np.abs((middle[None, :] + rotations[:, None]) % 180.0 - 90.0)  # from square to the grain
    across = (np.where(off <= ACROSS, 1.0, 0.0) * counts).sum(axis=1) / lengths.sum()
    least = np.flatnonzero(across <= across.min() + 1e-9)
    best = rotations[least[np.argmin(np.abs(rotations[least]))]]
    return Grain(rotations=rotations, across=across, best=float(best))
