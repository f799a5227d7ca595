"""A coupon as a picture showed it: straightened, the drawing laid over it, and the profile behind each line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inlaylab import units
from inlaylab.figures.style import Picture, new_axes, note, styled, with_unit
from inlaylab.wording.figures import coupons as words

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inlaylab.bench.layouts import Layout
    from inlaylab.pictures.records import PictureReading, StationReading

WIDEST = 0.15
"""Width at which the colours of lines end. [mm]"""


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
    chosen : str
        Station to be marked; blank for none.
    """

    straight: NDArray[np.uint8]
    layout: Layout
    reading: PictureReading
    chosen: str = ""


@styled
def coupon_read(result: CouponRead, *, unit: str = "mm", ax: Any = None) -> Picture:
    """
    Draw a coupon's face with its drawing laid over it, each stroke coloured by its glue line.

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
        Strokes that were not read are dotted; the number beside a stroke is its line's width.
    """
    from matplotlib import colormaps
    from matplotlib.cm import ScalarMappable
    from matplotlib.colors import Normalize
    from matplotlib.patches import Polygon

    layout = result.layout
    if ax is None:
        ax = new_axes(width=7.0, height=7.0 * layout.width / layout.length)
    ax.imshow(result.straight, extent=(0, layout.length, 0, layout.width), alpha=0.75)
    scale = Normalize(0, WIDEST)
    answers = {one.station: one for one in result.reading.stations}
    for place in layout.places:
        one = answers[place.station]
        read = one.glue_line is not None
        color = "#000000" if one.glue_line is None else colormaps["cividis"](scale(one.glue_line))
        style = "-" if read or one.wedge_stop is not None else ":"
        thick = 3.0 if place.station == result.chosen else 1.6
        ax.add_patch(Polygon(place.polygon, fill=False, ec="#ffffff", lw=thick + 1.6))
        ax.add_patch(Polygon(place.polygon, fill=False, ec=color, lw=thick, ls=style))
        x, y = max(place.polygon)
        note(
            ax,
            x,
            y,
            words.station_read(one, unit),
            fontsize=7,
            shift=(2, 0),
            bbox={"fc": "#ffffff", "ec": "none", "pad": 0.5},
        )
    bar = ax.figure.colorbar(ScalarMappable(norm=scale, cmap="cividis"), ax=ax, shrink=0.7, pad=0.02)
    bar.ax.yaxis.set_major_formatter(lambda value, _: f"{value / units.UNITS[unit]:.3g}")
    bar.set_label(with_unit("glue line", unit), fontsize=8)
    ax.grid(False)
    ax.xaxis.set_major_formatter(lambda value, _: f"{value / units.UNITS[unit]:.3g}")
    ax.yaxis.set_major_formatter(lambda value, _: f"{value / units.UNITS[unit]:.3g}")
    ax.set_xlabel(with_unit(words.ALONG_BLANK, unit), fontsize=8)
    ax.set_ylabel(with_unit(words.ACROSS_BLANK, unit), fontsize=8)
    ax.tick_params(labelsize=7)
    return Picture(figure=ax.figure, axes=ax, alt=words.coupon_read_alt(result.layout.coupon, result.reading, unit))


@styled
def line_profile(result: StationReading, *, unit: str = "mm", ax: Any = None) -> Picture:
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
    looks = {"low": ("#0072B2", "o", "low side"), "high": ("#E69F00", "s", "high side"), "both": ("#0072B2", "o", "")}
    for curve in result.curves:
        color, marker, name = looks[curve.kind]
        ax.plot(curve.x, curve.seen, marker, ms=3, color=color, label=f"{name} seen".strip())
        ax.plot(curve.x, curve.fitted, "-" if marker == "o" else "--", color=color, label=f"{name} fitted".strip())
        for begin, end in zip(curve.edges[::2], curve.edges[1::2], strict=True):
            ax.axvspan(begin, end, color=color, alpha=0.25, lw=0, hatch="//" if marker == "o" else "\\\\")
    ax.xaxis.set_major_formatter(lambda value, _: f"{value / units.UNITS[unit]:.3g}")
    ax.set_xlabel(with_unit(words.FROM_EDGE, unit), fontsize=8)
    ax.set_ylabel(words.BRIGHTNESS, fontsize=8)
    ax.set_title(words.station_name(result.station), fontsize=9, parse_math=False)
    if result.curves:
        ax.legend(fontsize=7)
    alt = words.profile_alt(result, unit)
    return Picture(figure=ax.figure, axes=ax, alt=alt)
