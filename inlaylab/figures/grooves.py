"""Grooves that measure a bit: the line through them, and what one more would buy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inlaylab.figures.style import (
    LOOKS,
    Picture,
    axes_for,
    figure_of,
    in_unit,
    label_axes,
    several_axes,
    styled,
    with_unit,
)
from inlaylab.wording.figures import bits as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.figures.style import Floats


@dataclass(frozen=True, kw_only=True)
class GrooveLines:
    """
    Grooves, the lines through them, and what a further groove would leave.

    Parameters
    ----------
    depths, widths : sequence of float
        Depths and widths of each groove. [mm]
    expected : sequence of float
        Width of each by the line of its setup. [mm]
    further_depths : sequence of float
        Depths that one more groove might have. [mm]
    further_angle : sequence of float
        Standard uncertainty of the angle that each would leave. [degrees]
    angle, angle_uncertainty : float
        What the grooves say, and how sure. [degrees]
    tip_flat, tip_flat_uncertainty : float
        The same of the flat. [mm]
    """

    depths: Floats
    widths: Floats
    expected: Floats
    further_depths: Floats = ()
    further_angle: Floats = ()
    angle: float = float("nan")
    angle_uncertainty: float = float("nan")
    tip_flat: float = float("nan")
    tip_flat_uncertainty: float = float("nan")


@styled
def grooves(result: GrooveLines, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw widths against depths with their line, and beside it what a further groove buys.

    Parameters
    ----------
    result : GrooveLines
        What was measured and reckoned.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw the line alone.

    Returns
    -------
    picture : Picture
    """
    import numpy as np

    both = ax is None and len(result.further_depths) > 0
    axes = several_axes(width=8.4, height=3.4, columns=2) if both else None
    left = axes[0] if axes is not None else axes_for(ax)
    order = np.argsort(result.depths)
    depths = in_unit(result.depths, unit)[order]
    left.plot(depths, in_unit(result.expected, unit)[order], label=words.LINE, **LOOKS["fit"])
    left.plot(depths, in_unit(result.widths, unit)[order], label=words.GROOVE, **LOOKS["reading"])
    label_axes(left, across=with_unit(words.DEPTH, unit), up=with_unit(words.WIDTH, unit))
    if axes is not None:
        right = axes[1]
        right.plot(in_unit(result.further_depths, unit), result.further_angle, label=words.ONE_MORE, **LOOKS["fit"])
        right.axhline(result.angle_uncertainty, label=words.NOW, **LOOKS["asked"])
        right.set_ylim(bottom=0)
        label_axes(
            right,
            across=with_unit(words.FURTHER, unit),
            up=words.UNSURE,
        )
    for each in [left] if axes is None else axes:
        each.legend(loc="upper center", bbox_to_anchor=(0.5, -0.22), ncols=2, columnspacing=1.2)
    return Picture(figure=figure_of(left), axes=left if axes is None else axes, alt=_alt(result, unit))


def _alt(result: GrooveLines, unit: str) -> str:
    off = max((abs(w - e) for w, e in zip(result.widths, result.expected, strict=True)), default=0.0)
    more = len(result.further_depths) > 0
    return words.grooves_alt(
        float(off),
        unit,
        grooves=len(result.widths),
        angle=(result.angle, result.angle_uncertainty),
        tip_flat=(result.tip_flat, result.tip_flat_uncertainty),
        further=(float(result.further_depths[-1]), float(result.further_angle[-1])) if more else None,
    )
