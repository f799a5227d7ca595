"""
Which angle and tip flat a bit really has.

A straight groove cut at a known depth and measured across its top is one point
of a straight line: its slope gives the angle, and where the line meets depth
zero the tip flat and the zero error of the setup are mixed. A loupe reading
of the flat, or trust in the zero, parts the two.
"""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from inlaylab.errors import InputError
from inlaylab.models.arrays import Floats, as_arrays, plain
from inlaylab.models.measuring.least_squares import fit_curve
from inlaylab.models.measuring.lines import Lines, straight_lines
from inlaylab.models.measuring.uncertainty import propagate
from inlaylab.models.walls import half_tangent

LOUPE_UNCERTAINTY = 0.05
"""Standard uncertainty of a tip flat read by loupe. [mm] Our choice: half a division of a loupe's 0.1 mm scale."""
ZERO_UNCERTAINTY = 0.05
"""Standard uncertainty of one setup's zero, where nothing better is known. [mm] Our choice: a sheet of
paper, with which many makers set their zero, is about 0.1 mm thick."""
WIDTH_UNCERTAINTY = 0.02
"""Standard uncertainty of one groove's width by loupe or calipers. [mm] Our choice: the
finest step of digital calipers is 0.01 mm, and the edge of a groove in wood hides about as much again."""


def groove_width(*, depth: Floats, true_angle: Floats, tip_flat: Floats, zero_error: Floats = 0.0) -> Floats:
    """
    Full width of a straight groove across its top.

    Parameters
    ----------
    depth : array_like
        Programmed depth. [mm]
    true_angle : array_like
        Included angle the bit cuts. [degrees]
    tip_flat : array_like
        Width of the flat or worn tip. [mm]
    zero_error : array_like, optional
        How much deeper than programmed the board was cut. [mm]

    Returns
    -------
    width : float or array
        [mm]

    Notes
    -----
    t + 2 (depth + e) T, with T the tangent of half the true angle.

    Examples
    --------
    >>> print(f"{groove_width(depth=2.5, true_angle=90, tip_flat=0.1):.2f}")
    5.10
    """
    _, (depth, flat, zero) = as_arrays(depth, tip_flat, zero_error)
    return plain(flat + 2 * (depth + zero) * half_tangent(true_angle))


@dataclass(frozen=True, kw_only=True)
class BitMeasure:
    """
    What grooves and a loupe say about a bit.

    Parameters
    ----------
    true_angle, true_angle_uncertainty : float
        Included angle the bit cuts, and its standard uncertainty. [degrees]
    tip_flat, tip_flat_uncertainty : float
        Below zero where a zero error hides it. [mm]
    correlation : float
        Correlation of the angle with the flat.
    zero_errors : dict
        For each setup its zero error and standard uncertainty. [mm]
    residuals : array
        Residuals of each groove's width. [mm]
    residual_sd : float
        Scatter of the widths about the line; nan where no groove is left over. [mm]
    degrees_of_freedom : int
        Grooves less parameters of the lines.
    """

    true_angle: float
    true_angle_uncertainty: float
    tip_flat: float
    tip_flat_uncertainty: float
    correlation: float
    zero_errors: dict[Hashable, tuple[float, float]]
    residuals: np.ndarray
    residual_sd: float
    degrees_of_freedom: int


def measure_bit(
    depths: ArrayLike,
    widths: ArrayLike,
    *,
    settings_up: Iterable[Hashable] | None = None,
    tip_flat: float | None = None,
    tip_flat_uncertainty: float = LOUPE_UNCERTAINTY,
    zero_uncertainty: float = ZERO_UNCERTAINTY,
    width_uncertainty: float | None = WIDTH_UNCERTAINTY,
) -> BitMeasure:
    """
    Find the true angle and the tip flat of a bit from straight grooves.

    Parameters
    ----------
    depths, widths : array_like
        Programmed depth and measured full width of each groove. [mm]
    settings_up : sequence, optional
        Which setup each groove belongs to: grooves of one share a zero. All one by default.
    tip_flat : float, optional
        Loupe reading of the flat. [mm]
    tip_flat_uncertainty, zero_uncertainty : float, optional
        Standard uncertainties of the loupe reading and of any zero. [mm]
    width_uncertainty : float or None, optional
        Standard uncertainty of one width. Where the grooves scatter more than
        that, their scatter counts; with None it counts alone. [mm]

    Returns
    -------
    measure : BitMeasure
        With standard uncertainties and correlation.

    Raises
    ------
    InputError
        Where the grooves do not settle a line, or would need an angle outside 0 to 180 degrees.

    Notes
    -----
    The lines have slope 2 T and intercepts t + 2 e T. Together with the zeros
    (0, within their uncertainty) and the loupe reading they are solved for T, t
    and every e by generalised least squares; uncertainties are propagated to
    first order, as the GUM does.

    Examples
    --------
    >>> measure = measure_bit([1.0, 2.0, 4.0], [1.26, 2.41, 4.72], tip_flat=0.1)
    >>> print(f"{measure.true_angle:.1f} +- {measure.true_angle_uncertainty:.1f} degrees")
    60.0 +- 0.4 degrees
    """
    _check_uncertainties(
        tip_flat_uncertainty=tip_flat_uncertainty,
        zero_uncertainty=zero_uncertainty,
        width_uncertainty=WIDTH_UNCERTAINTY if width_uncertainty is None else width_uncertainty,
    )
    known = _reading_uncertainty(depths, widths, settings_up, width_uncertainty)
    lines = straight_lines(depths, widths, groups=settings_up, y_uncertainty=known)
    if lines.slope <= 0:
        raise InputError("deeper grooves must be wider", value=f"slope {lines.slope:.3f}", allowed="a rising line")
    loupe = [] if tip_flat is None else [(tip_flat, tip_flat_uncertainty)]
    unknown, covariance = _solve(lines, loupe, zero_uncertainty)
    uncertainty = np.sqrt(np.diag(covariance))
    tangent, flat = unknown[-2:]
    return BitMeasure(
        true_angle=float(np.degrees(2 * np.arctan(tangent))),
        true_angle_uncertainty=float(np.degrees(2 / (1 + tangent**2) * uncertainty[-2])),
        tip_flat=float(flat),
        tip_flat_uncertainty=float(uncertainty[-1]),
        correlation=float(covariance[-2, -1] / (uncertainty[-2] * uncertainty[-1])),
        zero_errors={name: (float(unknown[i]), float(uncertainty[i])) for i, name in enumerate(lines.groups)},
        residuals=lines.residuals,
        residual_sd=lines.residual_sd,
        degrees_of_freedom=lines.degrees_of_freedom,
    )


def expected_sink(measure: BitMeasure) -> tuple[float, float]:
    """
    Tell how far the tip flat lets a plug sink, which is the floor gap it needs.

    Parameters
    ----------
    measure : BitMeasure
        What grooves and loupe say.

    Returns
    -------
    sink, uncertainty : float
        With its standard uncertainty. [mm]

    Notes
    -----
    t/T where walls alone hold the plug, with the path computed for the angle the
    bit really has; the correlation of angle and flat is kept.

    Examples
    --------
    >>> measure = measure_bit([1.0, 2.0, 4.0], [1.2547, 2.4094, 4.7188], tip_flat=0.1)
    >>> print(f"{expected_sink(measure)[0]:.2f}")
    0.17
    """
    spread = np.array([measure.true_angle_uncertainty, measure.tip_flat_uncertainty])
    covariance = np.outer(spread, spread) * [[1, measure.correlation], [measure.correlation, 1]]
    sink, variance = propagate(
        lambda bit: bit[1] / half_tangent(bit[0]), [measure.true_angle, measure.tip_flat], covariance
    )
    return float(sink[0]), float(np.sqrt(variance[0, 0]))


def further_groove(
    depths: ArrayLike,
    extra_depths: ArrayLike,
    *,
    measure: BitMeasure,
    settings_up: Iterable[Hashable] | None = None,
    **uncertainties: Any,
) -> np.ndarray:
    """
    Tell what one more groove would leave of the uncertainties.

    Parameters
    ----------
    depths : array_like
        Depths of the grooves there are. [mm]
    extra_depths : array_like
        Depths that one more groove, in the last setup, might have. [mm]
    measure : BitMeasure
        What the grooves say so far.
    settings_up : sequence, optional
        As in `measure_bit`.
    **uncertainties
        The further arguments of `measure_bit`.

    Returns
    -------
    left : array
        For each extra depth the standard uncertainty of the true angle [degrees]
        and of the tip flat [mm].

    Examples
    --------
    >>> measure = measure_bit([1.0, 2.0, 4.0], [1.26, 2.41, 4.72], tip_flat=0.1)
    >>> left = further_groove([1.0, 2.0, 4.0], [2.5, 8.0], measure=measure, tip_flat=0.1)
    >>> print(bool(left[1, 0] < left[0, 0] < measure.true_angle_uncertainty))
    True
    """
    depths = np.asarray(depths, dtype=float)
    groups = [None] * depths.size if settings_up is None else list(settings_up)
    zeros = np.array([measure.zero_errors[group][0] for group in groups])
    bit = {"true_angle": measure.true_angle, "tip_flat": measure.tip_flat}
    spread = uncertainties.get("width_uncertainty", WIDTH_UNCERTAINTY) or 0.0
    if measure.degrees_of_freedom:
        spread = max(spread, measure.residual_sd)
    uncertainties["width_uncertainty"] = spread
    left = []
    for extra in np.atleast_1d(np.asarray(extra_depths, dtype=float)):
        ideal = groove_width(depth=np.append(depths, extra), zero_error=np.append(zeros, zeros[-1]), **bit)
        after = measure_bit([*depths, extra], ideal, settings_up=[*groups, groups[-1]], **uncertainties)
        left.append((after.true_angle_uncertainty, after.tip_flat_uncertainty))
    return np.array(left)


def _reading_uncertainty(
    depths: ArrayLike, widths: ArrayLike, groups: Iterable[Hashable] | None, stated: float | None
) -> float | None:
    """Take the stated uncertainty of one width, or the scatter about the lines where that is larger."""
    if stated is None:
        return None
    scatter = straight_lines(depths, widths, groups=groups, y_uncertainty=stated).residual_sd
    return stated if np.isnan(scatter) else max(stated, scatter)


def _check_uncertainties(**uncertainties: float) -> None:
    for name, value in uncertainties.items():
        if not 0 < value < np.inf:
            raise InputError(f"{name.replace('_', ' ')} must be above zero", value=value, allowed="a length above 0")


def _solve(lines: Lines, loupe: list[tuple[float, float]], zero_uncertainty: float) -> tuple[np.ndarray, np.ndarray]:
    """Solve lines, zeros and loupe reading for every zero error, T and the flat; give them and their covariance."""
    count = len(lines.groups)
    flats = [flat for flat, _ in loupe]
    seen = np.concatenate([lines.intercepts, [lines.slope], np.zeros(count), flats])
    spread = [zero_uncertainty] * count + [uncertainty for _, uncertainty in loupe]
    known = np.zeros((seen.size, seen.size))
    known[: count + 1, : count + 1] = lines.covariance
    known[count + 1 :, count + 1 :] = np.diag(np.square(spread))

    def expected(unknown: np.ndarray) -> np.ndarray:
        zeros, (tangent, flat) = unknown[:count], unknown[count:]
        return np.concatenate([flat + 2 * zeros * tangent, [2 * tangent], zeros, [flat] * len(flats)])

    guess = np.concatenate([np.zeros(count), [lines.slope / 2], flats or [lines.intercepts.mean()]])
    fitted = fit_curve(expected, guess, seen, known_covariance=known)
    return fitted.best, fitted.covariance
