"""
Straight lines through measured points, with their uncertainties.

One function serves every calibration of the kit: the grooves that measure a bit
(one line a setup, all with one slope) and a tip flat against metres cut.
"""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from inlaylab.errors import InputError


@dataclass(frozen=True, kw_only=True)
class Lines:
    """
    Parallel straight lines: one slope, one intercept a group.

    Parameters
    ----------
    groups : tuple
        Names of the groups, in the order of the intercepts.
    reference : float
        Where along x the intercepts are taken. [unit of x]
    intercepts : array
        One for each group. [unit of y]
    slope : float
        Common to all groups. [unit of y / unit of x]
    covariance : array
        Covariance of the intercepts and, last, the slope.
    residuals : array
        Residuals of each point, in the order given. [unit of y]
    residual_sd : float
        From the scatter about the lines; nan where no freedom is left. [unit of y]
    degrees_of_freedom : int
        Points less parameters.
    """

    groups: tuple[Hashable, ...]
    reference: float
    intercepts: np.ndarray
    slope: float
    covariance: np.ndarray
    residuals: np.ndarray
    residual_sd: float
    degrees_of_freedom: int

    @property
    def uncertainties(self) -> np.ndarray:
        """Standard uncertainties of the intercepts and, last, the slope."""
        return np.sqrt(np.diag(self.covariance))

    @property
    def correlation(self) -> np.ndarray:
        """Correlation of each intercept with the slope."""
        scales: np.ndarray = self.uncertainties[:-1] * self.uncertainties[-1]
        return np.divide(self.covariance[:-1, -1], scales)

    def at(self, x: float, group: Hashable = None) -> tuple[float, float]:
        """
        Value of a group's line at x, and its standard uncertainty.

        Parameters
        ----------
        x : float
            Where along the line.
        group : object, optional
            Name of the group; the first by default.

        Returns
        -------
        value, uncertainty : float
            [unit of y]
        """
        index = 0 if group is None else self.groups.index(group)
        weights = np.zeros(len(self.intercepts) + 1)
        weights[index], weights[-1] = 1.0, x - self.reference
        value = self.intercepts[index] + self.slope * (x - self.reference)
        return float(value), float(np.sqrt(weights @ self.covariance @ weights))


def straight_lines(
    x: ArrayLike,
    y: ArrayLike,
    *,
    groups: Iterable[Hashable] | None = None,
    reference: float = 0.0,
    y_uncertainty: float | None = None,
) -> Lines:
    """
    Fit parallel straight lines by least squares.

    Parameters
    ----------
    x, y : array_like
        Points; x is taken as exact.
    groups : sequence, optional
        Which line each point belongs to; one line by default.
    reference : float, optional
        Where along x the intercepts are taken. [unit of x]
    y_uncertainty : float, optional
        Standard uncertainty of one reading y; without it the scatter says it. [unit of y]

    Returns
    -------
    lines : Lines
        Best lines, their standard uncertainties and correlations, and residuals.

    Raises
    ------
    InputError
        Where the points do not settle a slope, or leave no scatter to judge by.

    Notes
    -----
    With one group and no known uncertainty as in JCGM 100:2008 (GUM), H.3.

    Examples
    --------
    >>> lines = straight_lines([1.0, 2.0, 3.0], [2.1, 4.0, 6.1])
    >>> print(f"{lines.slope:.2f} +- {lines.uncertainties[-1]:.2f}")
    2.00 +- 0.06
    """
    x, y = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    labels: list[Hashable] = [None] * x.size if groups is None else list(groups)
    names = tuple(dict.fromkeys(labels))
    design = np.zeros((x.size, len(names) + 1))
    design[np.arange(x.size), [names.index(label) for label in labels]] = 1.0
    design[:, -1] = x - reference
    if x.size != y.size or x.size < 2 or np.linalg.matrix_rank(design) < design.shape[1]:
        raise InputError(
            "these points do not settle a straight line",
            value=f"{x.size} points in {len(names)} groups",
            allowed="at least two different x in one group",
        )
    spread = np.linalg.inv(design.T @ design)
    best = np.linalg.lstsq(design, y, rcond=None)[0]
    residuals = y - design @ best
    freedom = x.size - design.shape[1]
    scatter = float(np.sqrt(residuals @ residuals / freedom)) if freedom else float("nan")
    if y_uncertainty is None and not freedom:
        raise InputError(
            "no point is left over to judge the scatter by",
            value=f"{x.size} points",
            allowed=f"{x.size + 1} points or more, or a stated uncertainty of one reading",
        )
    return Lines(
        groups=names,
        reference=float(reference),
        intercepts=best[:-1],
        slope=float(best[-1]),
        covariance=spread * (scatter if y_uncertainty is None else y_uncertainty) ** 2,
        residuals=residuals,
        residual_sd=scatter,
        degrees_of_freedom=freedom,
    )
