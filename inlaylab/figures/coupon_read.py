"""A coupon as a picture showed it: straightened, the drawing laid over it, and the profile behind each line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inlaylab import units
from inlaylab.figures.style import (
    BLUE,
    INK,
    ORANGE,
    Picture,
    figure_of,
    legend_below,
    new_axes,
    note,
    round_ticks,
    shares,
    styled,
    with_unit,
)
from inlaylab.wording.figures import coupons as words

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.axes import Axes
    from matplotlib.axis import Axis
    from matplotlib.colors import Colormap, Normalize
    from matplotlib.lines import Line2D
    from numpy.typing import NDArray

    from inlaylab.bench.layouts import Layout
    from inlaylab.pictures.records import PictureReading, StationReading
    from inlaylab.services.picture_readings import Side

WIDEST = 0.15
"""Width at which the colours of lines end. [mm]"""
BANDS = ((0.0, 0.05, 1.4, "-"), (0.05, 0.1, 2.6, (0, (3.2, 0.7))), (0.1, 9.0, 3.8, (0, (1.2, 0.7))))
"""The second cue beside colour: from what width to what width [mm] a side is how thick [points] and how dashed."""


@dataclass(frozen=True, kw_only=True, eq=False)
class CouponRead:
    """
    What a picture showed, ready to be drawn.

    Parameters
    ----------
    straight : array of shape (rows, columns, 3)
        The coupon's face, straightened; its first row is the drawing's top. [code values]
    layout : Layout
        The drawing.
    reading : PictureReading
        What was read.
    sides : tuple of Side
        Each side of a stroke with the glue line seen there.
    chosen : str
        Station to be marked; blank for none.
    """

    straight: NDArray[np.uint8]
    layout: Layout
    reading: PictureReading
    sides: tuple[Side, ...]
    chosen: str = ""


@styled
def coupon_read(result: CouponRead, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw a coupon's face with its drawing laid over it, each side of a stroke coloured by its glue line.

    Parameters
    ----------
    result : CouponRead
        What the picture showed.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw; a new figure where none is given.

    Returns
    -------
    picture : Picture
        A side is the thicker and the more dashed the wider its line; one that was not read is a row of dots; the chosen
        station is framed, with the mean of its sides. Its `spots` hold each station's place.
    """
    from matplotlib import colormaps
    from matplotlib.cm import ScalarMappable
    from matplotlib.colors import Normalize
    from matplotlib.patches import Polygon, Rectangle

    layout = result.layout
    if ax is None:
        ax = new_axes(width=8.0, height=0.9 + 7.0 * layout.width / layout.length, to_scale=0.9)
    ax.imshow(result.straight, extent=(0, layout.length, 0, layout.width), alpha=0.75)
    scale = Normalize(0, WIDEST)
    for side in result.sides:
        ends = {"xdata": (side.start[0], side.end[0]), "ydata": (side.start[1], side.end[1])}
        look = _look(side.width, colormaps["cividis"], scale)
        ax.add_line(_line(**ends, color="#ffffff", linewidth=look["linewidth"] + 1.8, solid_capstyle="butt"))
        ax.add_line(_line(**ends, **look))
    answers, spots = {one.station: one for one in result.reading.stations}, {}
    for place in layout.places:
        one, (xs, ys) = answers[place.station], zip(*place.polygon, strict=True)
        if place.kind != "bar":
            style = "-" if one.wedge_stop is not None else ":"
            ax.add_patch(Polygon(place.polygon, fill=False, ec="#ffffff", lw=3.0))
            ax.add_patch(Polygon(place.polygon, fill=False, ec=INK, lw=1.4, ls=style))
        spots[place.station] = (min(xs) - 1, min(ys) - 1, max(xs) - min(xs) + 2, max(ys) - min(ys) + 2)
        if place.station == result.chosen:
            left, bottom, wide, high = spots[place.station]
            for color, thick in (("#ffffff", 4.0), ("#a33c00", 2.0)):
                ax.add_patch(Rectangle((left, bottom), wide, high, fill=False, ec=color, lw=thick))
            box = {"fc": "#ffffff", "ec": "none", "pad": 1.0}
            look_of: dict[str, Any] = {"shift": (3, 3), "fontsize": 8, "fontweight": "bold", "bbox": box, "zorder": 5}
            note(ax, left + wide, bottom + high, words.station_read(one, unit), **look_of)
    bar = figure_of(ax).colorbar(ScalarMappable(norm=scale, cmap="cividis"), ax=ax, shrink=0.7, pad=0.02, extend="max")
    bar.set_label(with_unit(words.LINE_OF_SIDE, unit), fontsize=8)
    ax.grid(False)
    for axis, longest in ((ax.xaxis, layout.length), (ax.yaxis, layout.width), (bar.ax.yaxis, WIDEST)):
        _round_ticks(axis, longest, unit)
    ax.set_xlabel(with_unit(words.ALONG_BLANK, unit), fontsize=8)
    ax.set_ylabel(with_unit(words.ACROSS_BLANK, unit), fontsize=8)
    ax.tick_params(labelsize=7)
    alt = words.coupon_read_alt(layout.coupon, result.reading, unit)
    legend_below(figure_of(ax), columns=4, handles=_legend(unit, colormaps["cividis"], scale))
    return Picture(figure=figure_of(ax), axes=ax, alt=alt, spots=shares(ax, spots, extra=0.0))


def _round_ticks(axis: Axis, longest: float, unit: str) -> None:
    """Ticks at round numbers of the reader's unit, on an axis in mm."""
    from matplotlib.ticker import FixedLocator, MaxNLocator

    size = units.UNITS[unit]
    ticks = [tick for tick in MaxNLocator(5).tick_values(0, longest / size) if tick * size <= longest * 1.0001]
    axis.set_major_locator(FixedLocator([tick * size for tick in ticks]))
    axis.set_major_formatter(lambda value, _: f"{value / size:.4g}")


def _line(**options: Any) -> Line2D:
    from matplotlib.lines import Line2D

    return Line2D(**options)


def _look(width: float | None, colors: Colormap, scale: Normalize) -> dict[str, Any]:
    """Colour, thickness and dashes of a side."""
    if width is None:
        return {"color": INK, "linewidth": 1.6, "linestyle": ":"}
    _, _, thick, dashes = next(band for band in BANDS if width < band[1])
    return {"color": colors(scale(width)), "linewidth": thick, "linestyle": dashes, "dash_capstyle": "butt"}


def _legend(unit: str, colors: Colormap, scale: Normalize) -> list[Line2D]:
    """One line a band, and one for what was not read."""
    bands = words.line_bands(BANDS[0][1], BANDS[1][1], unit)
    widths = (0.0, 0.07, 0.15, None)
    return [
        _line(xdata=[], ydata=[], label=word, **_look(width, colors, scale))
        for word, width in zip(bands, widths, strict=True)
    ]


@styled
def line_profile(result: StationReading, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw the brightness across the sides of a stroke, as seen and as fitted.

    Parameters
    ----------
    result : StationReading
        A station with its curves.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw; a new figure where none is given.

    Returns
    -------
    picture : Picture
        The fitted glue line is the shaded band.
    """
    if ax is None:
        ax = new_axes(width=6.0, height=2.8)
    looks = {"low": (BLUE, "o", "low side"), "high": (ORANGE, "s", "high side"), "both": (BLUE, "o", "")}
    for curve in result.curves:
        color, marker, name = looks[curve.kind]
        ax.plot(curve.x, curve.seen, marker, ms=3, color=color, label=f"{name} seen".strip())
        ax.plot(curve.x, curve.fitted, "-" if marker == "o" else "--", color=color, label=f"{name} fitted".strip())
        for begin, end in zip(curve.edges[::2], curve.edges[1::2], strict=True):
            ax.axvspan(begin, end, color=color, alpha=0.25, lw=0, hatch="//" if marker == "o" else "\\\\")
    round_ticks(ax.xaxis, unit)
    ax.set_xlabel(with_unit(words.FROM_EDGE, unit), fontsize=8)
    ax.set_ylabel(words.BRIGHTNESS, fontsize=8)
    ax.set_title(words.station_name(result.station), fontsize=9, parse_math=False)
    if result.curves:
        ax.legend(fontsize=7)
    alt = words.profile_alt(result, unit)
    return Picture(figure=figure_of(ax), axes=ax, alt=alt)
