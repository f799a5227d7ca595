"""What was forecast of each station against what was read there, cut by cut."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inlaylab import units
from inlaylab.figures.style import LOOKS, Picture, axes_for, figure_of, label_axes, legend_below, styled, with_unit
from inlaylab.wording.figures import log as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.fitting.review.forecast_score import CutScore, ForecastScore, StationScore

MOST_CUTS = 12
"""Cuts that a picture has room for; the newest are drawn."""


@styled
def forecasts(result: ForecastScore, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw each forecast as a band with its reading on it.

    Parameters
    ----------
    result : ForecastScore
        Of kept or replayed forecasts; the newest cuts that were read are drawn.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
        Thin bar: the 90 % range; thick bar: the middle half; dot: read inside the range, cross: outside, open triangle:
        seen closed.
    """
    ax = axes_for(ax, width=7.0, height=3.8)
    cuts = [cut for cut in result.cuts if any(station.compared for station in cut.stations)][-MOST_CUTS:]
    scale = 1.0 / units.UNITS[unit]
    labelled: set[str] = set()
    for place, cut in enumerate(cuts):
        _draw_cut(ax, place, cut, scale, labelled)
    ax.set_xticks(range(len(cuts)), labels=[cut.cut for cut in cuts], rotation=90, fontsize=8, parse_math=False)
    ax.set_xlim(-0.6, max(len(cuts), 1) - 0.4)
    ax.set_ylim(bottom=-0.004 * scale if cuts else 0.0)
    label_axes(ax, across=words.CUT_BY_CUT, up=with_unit("glue line", unit))
    if cuts:
        legend_below(figure_of(ax), columns=3)
    stations = [station for cut in cuts for station in cut.stations if station.compared]
    return Picture(figure=figure_of(ax), axes=ax, alt=words.forecasts_alt(stations, len(cuts)))


def _draw_cut(ax: Axes, place: int, cut: CutScore, scale: float, labelled: set[str]) -> None:
    stations = [station for station in cut.stations if station.compared]
    for number, station in enumerate(stations):
        x = place + 0.8 * ((number + 0.5) / len(stations) - 0.5)
        low, quarter, three, high = (
            (getattr(station.expected, name) or 0.0) * scale for name in ("q05", "q25", "q75", "q95")
        )
        bar = {"color": LOOKS["fit"]["color"], "solid_capstyle": "butt"}
        ax.plot([x, x], [low, high], linewidth=1.2, label=_once(labelled, words.RANGE), **bar)
        ax.plot([x, x], [quarter, three], linewidth=4.0, alpha=0.45, label=_once(labelled, words.MIDDLE_HALF), **bar)
        name, look = _mark(station)
        ax.plot([x], [(station.read or 0.0) * scale], label=_once(labelled, name), **look)


def _mark(station: StationScore) -> tuple[str, dict[str, Any]]:
    if not station.inside("q05", "q95"):
        return words.READ_OUTSIDE, {**LOOKS["suspect"], "markersize": 6}
    if station.closed_below is not None:
        return words.SEEN_CLOSED, {**LOOKS["closed"], "markersize": 4}
    return words.READ_INSIDE, {**LOOKS["reading"], "markersize": 3}


def _once(labelled: set[str], name: str) -> str:
    """Name a mark in the legend the first time it is drawn."""
    if name in labelled:
        return "_nolegend_"
    labelled.add(name)
    return name
