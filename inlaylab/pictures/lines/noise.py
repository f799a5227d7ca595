"""How wood scatters a profile: pores and streaks that averaging along a side has left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from inlaylab.pictures.profiles import Profile

    Floats = NDArray[np.float64]

LENGTHS = ((0.09, 0.75), (0.3, 0.25))  # distances over which the scatter is alike [mm], and their shares of it
FLOOR = 0.12  # of the scatter, so that no profile is believed without limit [code values]
MISFIT = 0.006  # of the contrast: how far a real lens may be from a Gaussian at an edge
EDGE = 0.18  # half-width about the drawn edge where that counts [mm]


@dataclass(frozen=True, kw_only=True)
class Noise:
    """
    Scatter of profiles, by wood and by how the side lies to the grain.

    Parameters
    ----------
    host, insert : dict
        Standard deviation by grain: along, across, dot. [code values]
    """

    host: dict[str, float]
    insert: dict[str, float]

    def whitening(self, profile: Profile) -> Floats:
        """
        Matrix that turns a profile's scatter into independent numbers of unit variance.

        Parameters
        ----------
        profile : Profile
            Of m values.

        Returns
        -------
        matrix : array of shape (m, m)
            Inverse of the lower Cholesky factor of the covariance.
        """
        from scipy.linalg import solve_triangular

        x = profile.x
        inside = x > EDGE
        if profile.kind == "both":
            inside &= x < profile.width - EDGE
        amplitude = np.where(inside, self.insert[profile.grain], self.host[profile.grain]) + FLOOR
        apart = x[:, None] - x[None, :]
        alike = sum(share * np.exp(-0.5 * (apart / length) ** 2) for length, share in LENGTHS)
        contrast = abs(float(np.mean(profile.color_host) - np.mean(profile.color_insert)))
        near = np.exp(-0.5 * ((x - 0.1) / EDGE) ** 2)
        if profile.kind == "both":
            near += np.exp(-0.5 * ((x - profile.width + 0.1) / EDGE) ** 2)
        misfit = MISFIT * contrast * near
        covariance = np.outer(amplitude, amplitude) * alike
        covariance += np.outer(misfit, misfit) * np.exp(-0.5 * (apart / 0.05) ** 2)
        covariance += np.eye(len(x)) * (0.25 * FLOOR + 0.05 * amplitude) ** 2
        return np.asarray(solve_triangular(np.linalg.cholesky(covariance), np.eye(len(x)), lower=True), float)


def measure_noise(profiles: list[Profile]) -> Noise:
    """
    Measure the scatter on the flat parts of all profiles.

    Parameters
    ----------
    profiles : list of Profile
        Sides, thin strokes and dots.

    Returns
    -------
    noise : Noise
        Root mean square about straight lines, raised by the tenth or so that a line takes away.
    """
    host: dict[str, float] = {}
    insert: dict[str, float] = {}
    for grain in ("along", "across", "dot"):
        for found, begin, end in ((host, -9.0, -0.1), (insert, 0.45, 9.0)):
            squares = []
            for profile in profiles:
                part = (profile.x > begin) & (profile.x < end)
                if profile.grain != grain or profile.kind == "both" or part.sum() < 12:
                    continue
                x, y = profile.x[part], profile.luma[part]
                squares.append(float(np.mean((y - np.polyval(np.polyfit(x, y, 1), x)) ** 2)))
            found[grain] = 1.2 * float(np.sqrt(np.mean(squares))) if squares else 2.0
    return Noise(host=host, insert=insert)
