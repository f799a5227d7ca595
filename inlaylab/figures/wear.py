"""Wear of a bit: its measures against metres cut, and when it is due."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inlaylab.figures.style import LOOKS, Picture, axes_for, figure_of, label_axes, legend_below, styled
from inlaylab.wording.figures import bits as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.figures.style import Floats


@dataclass(frozen=True, kw_only=True)
class WearPoints:
    """
    Measures of one bit, and the line through them.

    Parameters
    ----------
    metres, values : sequence of float
        Metres of path before each measure [m], and what was measured.
    what, unit : str
        Name and unit of the values, as an axis shows them.
    line_metres, line_values : sequence of float
        Two ends of the line.
    limit : float
        Value at which to tune again.
    due_at, due_at_uncertainty : float
        Metres at which the line reaches it. [m]
    """

    metres: Floats
    values: Floats
    what: str
    unit: str
    line_metres: Floats
    line_values: Floats
    limit: float
    due_at: float
    due_at_uncertainty: float


@styled
def wear(result: WearPoints, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw measures of a bit against metres cut.

    Parameters
    ----------
    result : WearPoints
        Values are drawn in their own unit.
    unit : str
        Not used: the values carry theirs.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    ax = axes_for(ax, height=3.2)
    ax.plot(result.line_metres, result.line_values, label=words.STRAIGHT, **LOOKS["fit"])
    ax.plot(result.metres, result.values, label=words.MEASURED, **LOOKS["reading"])
    ax.axhline(result.limit, label=words.TUNE_AGAIN, **LOOKS["asked"])
    label_axes(ax, across=words.METRES, up=f"{result.what} [{result.unit}]")
    legend_below(figure_of(ax), columns=3)
    alt = words.wear_alt(result.values, result.what, due_at=result.due_at, unsure=result.due_at_uncertainty)
    return Picture(figure=figure_of(ax), axes=ax, alt=alt)
