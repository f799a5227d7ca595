"""Stroke widths of a coupon: what a bit and its depths make worth cutting."""

from __future__ import annotations

import math

STEPS = {"mm": 0.1, "in": 0.005 * 25.4, "thou": 0.005 * 25.4}
"""Steps in which widths are chosen, by unit. [mm]"""


def choose_widths(
    *,
    path_angle: float,
    pocket_depth: float,
    count: int = 7,
    thin_from: float = 0.4,
    thin_to: float = 0.9,
    unit: str = "mm",
) -> tuple[float, ...]:
    """
    Choose stroke widths that tell the most about a bit at its depths.

    Parameters
    ----------
    path_angle : float
        Included angle that the path is computed for. [degrees]
    pocket_depth : float
        [mm]
    count : int, optional
        At least 4.
    thin_from, thin_to : float, optional
        Between which thin strokes start to fill: the limit looked for, or what a fit still leaves open of it. [mm]
    unit : str, optional
        Widths come out round in it.

    Returns
    -------
    widths : tuple of float
        Rising; the last two reach the pocket's floor, the first ones span the thin-stroke limit. [mm]

    Examples
    --------
    >>> [round(width, 2) for width in choose_widths(path_angle=60, pocket_depth=3.0)]
    [0.4, 0.6, 0.9, 1.4, 2.2, 3.9, 5.2]
    """
    floor = 2 * pocket_depth * math.tan(math.radians(path_angle) / 2)
    thick = [1.12 * floor, 1.5 * floor]
    thin_count = 2 if count < 6 else 3
    thin = [thin_from * (thin_to / thin_from) ** (n / (thin_count - 1)) for n in range(thin_count)]
    between = count - len(thick) - thin_count
    last = max(thin[-1], 1e-3)
    middle = [last * (floor / last) ** ((n + 1) / (between + 1)) for n in range(between)] if floor > last else []
    middle = [min(width, 0.9 * floor) for width in middle]
    step = STEPS[unit]
    rounded = [max(step, round(width / step) * step) for width in (*thin, *middle)]
    rounded += [math.ceil(width / step - 1e-9) * step for width in thick]
    return tuple(sorted({round(width, 9) for width in rounded}))
