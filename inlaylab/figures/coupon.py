"""The coupon as a strip of strokes and lands, so that a maker finds the station being typed."""

from __future__ import annotations

from typing import Any

from inlaylab import units
from inlaylab.figures.style import LOOKS, Picture, new_axes, note, styled, with_unit
from inlaylab.wording.figures import coupons as words


@styled
def coupon(result: Any, *, unit: str = "mm", ax: Any = None) -> Picture:
    """
    Draw the stations of a coupon in the order in which they are read.

    Parameters
    ----------
    result : bench.coupons.Coupon
        The coupon.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw; a new figure where none is given.

    Returns
    -------
    picture : Picture
        Its `spots` hold each station's place.

    Notes
    -----
    Widths are to scale across the strip, lengths are not: this is a map, not a drawing to cut from.
    """
    from matplotlib.patches import Polygon, Rectangle

    rows = _rows(result.stations)
    if ax is None:
        ax = new_axes(width=6.4, height=0.55 + 0.75 * max(1, len(rows)))
    longest = max((_length(stations) for _, stations in rows), default=1.0)
    places: dict[str, tuple[float, float, float, float]] = {}
    for number, (grain, stations) in enumerate(rows):
        bottom, at = -number * 1.5, 0.0
        ax.add_patch(Rectangle((0.0, bottom), longest, 1.0, **LOOKS["host"]))
        note(ax, -0.01 * longest, bottom + 0.5, words.with_grain(grain), ha="right", va="center", fontsize=8)
        for station in stations:
            at += station.land_width / 2
            width = station.stroke_width
            if station.kind == "wedge":
                corners = [(at, bottom + 0.5), (at + 3 * width, bottom + 0.9), (at + 3 * width, bottom + 0.1)]
                ax.add_patch(Polygon(corners, **LOOKS["insert"]))
                width *= 3
            else:
                ax.add_patch(Rectangle((at, bottom + 0.08), width, 0.84, **LOOKS["insert"]))
            note(ax, at + width / 2, bottom + 1.05, station.station, ha="center", va="bottom", fontsize=8)
            places[station.station] = (at, bottom - 0.05, width, 1.1)
            at += width + station.land_width / 2
    ax.set_xlim(-0.01 * longest, longest * 1.01)
    ax.set_ylim(-1.5 * max(0, len(rows) - 1) - 0.1, 1.45)
    ax.set_yticks([])
    ax.grid(False)
    ax.spines["left"].set_visible(False)
    ax.xaxis.set_major_formatter(lambda value, _: f"{value / units.UNITS[unit]:.3g}")
    ax.set_xlabel(with_unit(words.ACROSS_COUPON, unit), fontsize=8)
    ax.tick_params(labelsize=8)
    return Picture(figure=ax.figure, axes=ax, alt=words.coupon_alt(result, unit), spots=_shares(ax, places, longest))


def _rows(stations: Any) -> list[tuple[str, list[Any]]]:
    rows = [(grain, [s for s in stations if s.grain == grain]) for grain in ("along", "across")]
    return [(grain, kept) for grain, kept in rows if kept]


def _length(stations: list[Any]) -> float:
    return float(sum(s.land_width + s.stroke_width * (3 if s.kind == "wedge" else 1) for s in stations))


def _shares(ax: Any, places: dict[str, Any], longest: float) -> dict[str, tuple[float, float, float, float]]:
    """Turn places in data units into shares of the figure, once the layout is settled."""
    figure = ax.figure
    figure.draw_without_rendering()
    figure.set_layout_engine("none")
    wide, high = figure.bbox.width, figure.bbox.height
    shares = {}
    for name, (left, bottom, width, height) in places.items():
        extra = 0.006 * longest
        (x0, y0), (x1, y1) = ax.transData.transform([(left - extra, bottom), (left + width + extra, bottom + height)])
        shares[name] = (x0 / wide, 1 - y1 / high, (x1 - x0) / wide, (y1 - y0) / high)
    return shares
