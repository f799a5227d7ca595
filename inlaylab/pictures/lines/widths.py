"""From fits at several tones of the glue line to widths with their uncertainty, or to none."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.pictures.lines import light
from inlaylab.pictures.lines.joint_fit import Fit, Problem

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

CLOSED = 0.05  # a line below this counts as closed [mm]
KNOWN_TONE = 0.2  # sd of the logarithm of the line's tone where glue alone was seen
NODES = (-1.5, -0.75, 0.0, 0.75, 1.5)  # in those standard deviations
UNKNOWN_TONES = (0.08, 0.16, 0.3, 0.5, 0.75, 1.05)  # of the darker wood's light, where no glue alone was seen
STRANGER = 1.5  # factor on every sd: profiles of real lenses and woods fit less well than the noise says
LEAST_SD = 0.005  # of a line, whatever the fit says [mm]
MOST_SD = 0.03  # from which a line is not answered [mm]
ALIKE = 14.0  # code values between line and the nearer wood below which lines are not read


@dataclass(frozen=True, kw_only=True)
class Lines:
    """
    Widths of the glue lines of each profile, low side and high side.

    Parameters
    ----------
    mean : array of shape (n, 2)
        [mm]
    covariance : array of shape (2 n, 2 n)
        [mm2]
    best : Fit
        The likeliest fit.
    faint : bool
        Whether the line looks so much like one of the woods that no width can be trusted.
    """

    mean: Floats
    covariance: Floats
    best: Fit
    faint: bool


def find_lines(problem: Problem, glue: Floats | None, *, progress: Callable[[float], None] | None = None) -> Lines:
    """
    Fit at each likely tone and mix the answers by their evidence.

    Parameters
    ----------
    problem : Problem
        All profiles of the picture.
    glue : array of shape (3,) or None
        Colour of glue that stands alone; None where none was seen. [code values]
    progress : callable, optional
        Called with the share that is done.

    Returns
    -------
    lines : Lines

    Notes
    -----
    A line thinner than the blur gives its width times its contrast, so a single best tone would be confidently wrong.
    """
    host, insert = np.median(problem.host, axis=0), np.median(problem.insert[problem.kinds != "dot"], axis=0)
    if glue is not None:
        scales = np.exp(KNOWN_TONE * np.array(NODES))
        tones = scales[:, None] * light.decode(glue)
        prior = -0.5 * np.array(NODES) ** 2
    else:
        darker = min(float(light.decode(light.brightness(host))), float(light.decode(light.brightness(insert))))
        tones = np.array(UNKNOWN_TONES)[:, None] * np.full(3, darker)
        prior = np.zeros(len(tones))
    fits: list[Fit] = []
    order = sorted(range(len(tones)), key=lambda n: abs(n - len(tones) // 2))
    found: dict[int, Fit] = {}
    for done, n in enumerate(order):
        if not found:
            shared = problem.first_shared()
            start = shared, problem.settle(shared, tones[n])
        else:
            near = found[min(found, key=lambda m: abs(m - n))]
            start = near.shared, near.own
        found[n] = problem.fit(tones[n], start)
        if progress is not None:
            progress((done + 1) / len(order))
    fits = [found[n] for n in range(len(tones))]
    excess = max(1.0, 2 * min(f.cost for f in fits) / problem.freedom)
    weights = prior + np.array([f.log_evidence for f in fits]) / excess
    weights = np.exp(weights - weights.max())
    weights /= weights.sum()
    widths = np.array([np.maximum(f.own[:, (1, 3)], 0.0) for f in fits])
    mean = np.einsum("t,tni->ni", weights, widths)
    spread = (widths - mean).reshape(len(fits), -1)
    covariance = sum(
        w * (f.line_covariance * excess + np.outer(o, o)) for w, f, o in zip(weights, fits, spread, strict=True)
    )
    tone = float(weights @ light.brightness(tones))
    faint = min(abs(tone - float(light.brightness(wood))) for wood in (host, insert)) < ALIKE
    return Lines(mean=mean, covariance=np.asarray(covariance), best=fits[int(weights.argmax())], faint=faint)


def both_sides(lines: Lines, low: tuple[int, int], high: tuple[int, int]) -> tuple[float, float, float]:
    """
    Mean of a station's two sides.

    Parameters
    ----------
    lines : Lines
        Of all profiles.
    low, high : tuple of int
        Profile and column of either side.

    Returns
    -------
    width, sd : float
        [mm]
    closed_chance : float
        That the mean is below `CLOSED`.
    """
    from scipy.special import ndtr

    places = [2 * low[0] + low[1], 2 * high[0] + high[1]]
    width = float(lines.mean[low] + lines.mean[high]) / 2
    variance = float(lines.covariance[np.ix_(places, places)].sum()) / 4
    sd = float(np.hypot(STRANGER * np.sqrt(max(variance, 0.0)), LEAST_SD))
    return width, sd, float(ndtr((CLOSED - width) / sd))
