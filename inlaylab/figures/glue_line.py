"""Glue line against stroke width: the fit's band, and the readings on it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inlaylab.figures.style import (
    LOOKS,
    Picture,
    axes_for,
    figure_of,
    in_unit,
    label_axes,
    legend_below,
    note,
    styled,
    with_unit,
)
from inlaylab.wording.figures import answers as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.figures.style import Floats


@dataclass(frozen=True, kw_only=True)
class GlueReading:
    """
    One glue line that was read.

    Parameters
    ----------
    stroke_width, value : float
        Full width of the stroke; the line per side, or the limit below which nothing was seen. [mm]
    closed : bool
        Whether nothing was seen.
    suspect : bool
        Whether the fit believes it a mistake.
    name : str
        Cut and station.
    """

    stroke_width: float
    value: float
    closed: bool = False
    suspect: bool = False
    name: str = ""


@dataclass(frozen=True, kw_only=True)
class GlueBand:
    """
    Glue lines by stroke width as the fit expects them, and those that were read.

    Parameters
    ----------
    stroke_widths, q05, q25, q50, q75, q95 : sequence of float
        Widths and quantiles of the line per side. [mm]
    readings : tuple of GlueReading
        What was read at comparable cuts.
    within : float
        The limit that the maker set. [mm]
    """

    stroke_widths: Floats
    q05: Floats
    q25: Floats
    q50: Floats
    q75: Floats
    q95: Floats
    readings: tuple[GlueReading, ...] = ()
    within: float | None = None


@styled
def glue_line(result: GlueBand, *, unit: str = "mm", ax: Axes | None = None, title: str = "") -> Picture:
    """
    Draw the band of glue lines against stroke width with the readings on it.

    Parameters
    ----------
    result : GlueBand
        Quantiles and readings.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.
    title : str
        Which readings these are.

    Returns
    -------
    picture : Picture
    """
    ax = axes_for(ax)
    widths = in_unit(result.stroke_widths, unit)
    low, lower, middle, upper, high = (
        in_unit(values, unit) for values in (result.q05, result.q25, result.q50, result.q75, result.q95)
    )
    ax.fill_between(widths, low, high, label=words.RANGE, **LOOKS["wide band"])
    ax.fill_between(widths, lower, upper, label=words.HALF, **LOOKS["band"])
    ax.plot(widths, middle, label=words.EXPECTED, **LOOKS["fit"])
    _points(ax, [r for r in result.readings if not r.closed and not r.suspect], unit, "reading", words.READ)
    _points(ax, [r for r in result.readings if r.closed and not r.suspect], unit, "closed", words.CLOSED)
    suspects = [r for r in result.readings if r.suspect]
    _points(ax, suspects, unit, "suspect", words.SUSPECT)
    top = _top(result)
    for reading in suspects:
        at = in_unit([reading.stroke_width, min(reading.value, top)], unit)
        note(ax, at[0], at[1], reading.name, shift=(7, 0), fontsize=8, va="center")
    if result.within is not None:
        ax.axhline(float(in_unit(result.within, unit)), label=words.ASKED, **LOOKS["asked"])
    ax.set_ylim(0, float(in_unit(top, unit)) * 1.06)
    ax.set_xlim(left=0)
    label_axes(ax, across=with_unit(words.STROKE_WIDTH, unit), up=with_unit(words.GLUE_LINE, unit), title=title)
    legend_below(figure_of(ax), columns=3)
    return Picture(figure=figure_of(ax), axes=ax, alt=_alt(result, unit))


def _top(result: GlueBand) -> float:
    """Upper end of the picture in mm; a suspect far off is drawn at its rim."""
    known = [float(v) for v in result.q95] + [r.value for r in result.readings if not r.suspect]
    return max([*known, 1.5 * (result.within or 0.0), 0.02])


def _points(ax: Axes, readings: Iterable[GlueReading], unit: str, look: str, label: str) -> None:
    kept = list(readings)
    if not kept:
        return
    top = ax.dataLim.y1 if look == "suspect" else float("inf")
    x = in_unit([r.stroke_width for r in kept], unit)
    y = in_unit([r.value for r in kept], unit)
    ax.plot(x, [min(v, top) for v in y], label=label, **LOOKS[look])


def _alt(result: GlueBand, unit: str) -> str:
    return words.glue_line_alt(
        [(float(result.stroke_widths[i]), float(result.q50[i])) for i in (0, -1)],
        unit,
        readings=len(result.readings),
        closed=sum(reading.closed for reading in result.readings),
        within=result.within,
        suspects=[reading.name for reading in result.readings if reading.suspect],
    )
