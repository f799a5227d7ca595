"""The coupon, so that a maker finds the station being typed: as it was drawn, or a strip where no drawing is kept."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from inlaylab.figures.style import (
    INK,
    LOOKS,
    Picture,
    figure_of,
    new_axes,
    note,
    round_ticks,
    shares,
    styled,
    with_unit,
)
from inlaylab.wording.figures import coupons as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.bench.coupons import Coupon, Station


@styled
def coupon(result: Coupon, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw the face of a coupon with the names of its stations.

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
    A coupon whose drawing the log keeps is drawn to scale as it lies on the bench. Any other is a strip of strokes in
    the order in which they are read: widths are to scale across it, lengths are not.
    """
    if result.layout:
        return _as_drawn(result, unit, ax)
    return _strip(result, unit, ax)


def _as_drawn(result: Coupon, unit: str, ax: Axes | None) -> Picture:
    """Draw the layout: blank, strokes, holes and dots, each station's name beside its stroke."""
    from matplotlib.patches import Circle, PathPatch, Polygon, Rectangle
    from matplotlib.path import Path

    from inlaylab.bench.layouts import read_layout

    layout = read_layout(result.layout)
    if ax is None:
        ax = new_axes(width=7.0, height=7.0 * layout.width / layout.length + 0.6, to_scale=0.6)
    ax.add_patch(Rectangle((0, 0), layout.length, layout.width, **{**LOOKS["host"], "hatch": None}))
    wood = {**LOOKS["insert"], "hatch": None}
    for shape in (*layout.other, *([layout.groove] if layout.groove else [])):
        rings = [Path([*ring, ring[0]], closed=True) for ring in shape.rings]
        ax.add_patch(PathPatch(Path.make_compound_path(*rings), **wood))
    for dot in layout.dots:
        ax.add_patch(Circle((dot.x, dot.y), dot.diameter / 2, facecolor=INK, edgecolor="none"))
    places: dict[str, tuple[float, float, float, float]] = {}
    for place in layout.places:
        ax.add_patch(Polygon(place.polygon, **wood))
        xs, ys = zip(*place.polygon, strict=True)
        left, right, bottom, top = min(xs), max(xs), min(ys), max(ys)
        places[place.station] = (left, bottom, right - left, top - bottom)
        upright = top - bottom > right - left
        at = ((left + right) / 2, bottom) if upright else (left, (bottom + top) / 2)
        side: dict[str, Any] = {"ha": "center", "va": "top"} if upright else {"ha": "right", "va": "center"}
        note(ax, *at, place.station, shift=(0, -2) if upright else (-2, 0), fontsize=8, **side)
    ax.set_xlim(-0.01 * layout.length, 1.01 * layout.length)
    ax.set_ylim(-0.01 * layout.width, 1.01 * layout.width)
    ax.set_aspect("equal")
    ax.grid(False)
    for axis in (ax.xaxis, ax.yaxis):
        round_ticks(axis, unit)
    ax.set_xlabel(with_unit(words.with_grain("along"), unit), fontsize=9)
    ax.tick_params(labelsize=8)
    alt = words.coupon_alt(result, unit)
    return Picture(figure=figure_of(ax), axes=ax, alt=alt, spots=shares(ax, places, extra=0.006 * layout.length))


def _strip(result: Coupon, unit: str, ax: Axes | None) -> Picture:
    """Draw strokes and lands side by side."""
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
    round_ticks(ax.xaxis, unit)
    ax.set_xlabel(with_unit(words.ACROSS_COUPON, unit), fontsize=8)
    ax.tick_params(labelsize=8)
    alt = words.coupon_alt(result, unit)
    return Picture(figure=figure_of(ax), axes=ax, alt=alt, spots=shares(ax, places, extra=0.006 * longest))


def _rows(stations: Iterable[Station]) -> list[tuple[str, list[Station]]]:
    rows = [(grain, [s for s in stations if s.grain == grain]) for grain in ("along", "across")]
    return [(grain, kept) for grain, kept in rows if kept]


def _length(stations: list[Station]) -> float:
    return float(sum(s.land_width + s.stroke_width * (3 if s.kind == "wedge" else 1) for s in stations))
