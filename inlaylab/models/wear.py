"""
When a bit has worn so far that it should be tuned again.

Measures of one bit, taken after more and more metres of path, are points of a
straight line; where that line reaches what the settings can still hide, the bit
is due.
"""

from dataclasses import dataclass

import numpy as np

from inlaylab.errors import InputError
from inlaylab.models.arrays import Floats
from inlaylab.models.measuring.lines import Lines, straight_lines
from inlaylab.models.walls import half_tangent


@dataclass(frozen=True, kw_only=True)
class Wear:
    """
    How a bit wears, and when it is due.

    Parameters
    ----------
    line : Lines
        Tip flat or angle against metres cut.
    due_at : float
        Metres of path at which the limit is expected; infinite where nothing wears. [m]
    due_at_uncertainty : float
        Its standard uncertainty; infinite where nothing wears. [m]
    certain : bool
        Whether the wear is larger than twice its standard uncertainty.
    """

    line: Lines
    due_at: float
    due_at_uncertainty: float
    certain: bool


def wear(metres: Floats, values: Floats, *, change_allowed: float, value_uncertainty: float | None = None) -> Wear:
    """
    Straight line through measures of a bit, and the metres at which it is due.

    Parameters
    ----------
    metres : array_like
        Length of path cut before each measure. [m]
    values : array_like
        Tip flats [mm] or angles [degrees], in the same order.
    change_allowed : float
        Change since the first measure that calls for tuning again; its sign does
        not matter. [as the values]
    value_uncertainty : float, optional
        Standard uncertainty of one measure; from the scatter by default. [as the values]

    Returns
    -------
    wear : Wear
        With the uncertainty of the line's slope carried over to the metres.

    Raises
    ------
    InputError
        Where the measures do not settle a line, or no change is allowed at all.

    Examples
    --------
    >>> found = wear([0, 100, 200], [0.06, 0.08, 0.10], change_allowed=0.06, value_uncertainty=0.01)
    >>> print(f"{found.due_at:.0f} m, certain: {found.certain}")
    300 m, certain: True
    """
    if change_allowed == 0:
        raise InputError("some change must be allowed", value=change_allowed, allowed="a number that is not 0")
    first = float(np.min(metres))
    line = straight_lines(metres, values, reference=first, y_uncertainty=value_uncertainty)
    slope, uncertainty = abs(line.slope), line.uncertainties[-1]
    tiny = 1e-15 * max(1.0, abs(change_allowed))
    due_after = abs(change_allowed) / slope if slope > tiny else np.inf
    return Wear(
        line=line,
        due_at=first + due_after,
        due_at_uncertainty=float(due_after * uncertainty / slope) if slope > tiny else np.inf,
        certain=bool(slope > 2 * uncertainty),
    )


def flat_growth_allowed(*, spare_floor_gap: Floats, true_angle: Floats) -> Floats:
    """
    How much the tip flat may grow before the nose reaches the floor.

    Parameters
    ----------
    spare_floor_gap : array_like
        Floor gap less the sink it must cover today. [mm]
    true_angle : array_like
        Included angle the bit cuts. [degrees]

    Returns
    -------
    growth : float or array
        [mm]

    Notes
    -----
    A flat of t sinks t/T, so a spare gap hides a growth of gap times T.

    Examples
    --------
    >>> print(f"{flat_growth_allowed(spare_floor_gap=0.1, true_angle=60):.3f}")
    0.058
    """
    return np.asarray(spare_floor_gap, dtype=float)[()] * half_tangent(true_angle)
