"""
The look that all pictures share.

One mark and one colour for one thing, everywhere, and always a second cue (hatch, line style, mark, word), so that a
picture can be read in grey print and by colour-blind eyes. Nothing here knows what is drawn.
"""

from __future__ import annotations

import base64
import functools
import html
import io
import textwrap
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from contextvars import ContextVar
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any, ParamSpec

from inlaylab import units

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.axis import Axis
    from matplotlib.figure import Figure
    from matplotlib.text import Annotation, Text
    from numpy.typing import ArrayLike, NDArray

    Floats = Sequence[float] | NDArray[np.float64]

BLUE = "#0072B2"
ORANGE = "#E69F00"
INK = "#1a1a1a"
GREY = "#5f5f5f"
PALE = "#d9d9d9"

#: How each thing looks, whichever picture it stands in.
LOOKS: dict[str, dict[str, Any]] = {
    "host": {"facecolor": "#e6e6e6", "edgecolor": "#8c8c8c", "hatch": "//", "linewidth": 0.8},
    "insert": {"facecolor": "#f8e3b5", "edgecolor": "#a8802f", "hatch": "..", "linewidth": 0.8},
    "fit": {"color": BLUE, "linewidth": 2.0, "linestyle": "-"},
    "band": {"facecolor": BLUE, "alpha": 0.16, "linewidth": 0.0},
    "wide band": {"facecolor": BLUE, "alpha": 0.08, "linewidth": 0.0},
    "reading": {"color": INK, "marker": "o", "markersize": 5, "linestyle": "none"},
    "closed": {"color": INK, "marker": "v", "markersize": 6, "markerfacecolor": "white", "linestyle": "none"},
    "suspect": {"color": "#a33c00", "marker": "X", "markersize": 8, "markeredgecolor": "white", "linestyle": "none"},
    "advice": {"color": INK, "linewidth": 1.6, "linestyle": "-", "marker": "D", "markersize": 7},
    "asked": {"color": GREY, "linewidth": 1.4, "linestyle": "--"},
    "along": {"color": BLUE, "marker": "o", "markersize": 5, "linestyle": "-"},
    "across": {"color": "#b87400", "marker": "s", "markersize": 5, "linestyle": "--"},
    "now": {"facecolor": PALE, "edgecolor": INK, "hatch": "///", "linewidth": 0.8},
    "turned": {"facecolor": BLUE, "edgecolor": INK, "linewidth": 0.8},
}

#: For bits or pairs side by side: at most four, each with its own mark and line.
GROUPS: tuple[dict[str, Any], ...] = (
    {"color": BLUE, "marker": "o", "linestyle": "-"},
    {"color": "#b87400", "marker": "s", "linestyle": "--"},
    {"color": "#5b3f8c", "marker": "^", "linestyle": "-."},
    {"color": INK, "marker": "D", "linestyle": ":"},
)

#: CSS pixels to an inch: a picture so many inches wide takes that many pixels of the screen.
PIXELS = 96
#: Narrowest picture that is drawn [in]; narrower screens scroll or shrink it.
NARROWEST = 3.2

_Taken = ParamSpec("_Taken")
_ROOM: ContextVar[float | None] = ContextVar("room", default=None)  # width that pictures get now [in]

_RC: Any = {  # matplotlib's own type lists every name there is
    "font.family": "DejaVu Sans",
    "font.size": 10,
    "axes.titlesize": 11,
    "axes.titlelocation": "left",
    "axes.titley": 1.0,  # above the axes at once: seeking room above the ticks takes a fifth of a drawing
    "axes.labelsize": 10,
    "axes.edgecolor": GREY,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": "#e6e6e6",
    "grid.linewidth": 0.8,
    "legend.frameon": False,
    "legend.fontsize": 9,
    "hatch.linewidth": 0.5,
    "text.usetex": False,
    "svg.fonttype": "none",
}


@dataclass(frozen=True, kw_only=True)
class Picture:
    """
    A drawn figure with the words that say what is to be seen on it.

    Parameters
    ----------
    figure, axes : matplotlib figure and axes
        What was drawn; `axes` is a tuple where there are several.
    alt : str
        What a reader who cannot see the picture is told.
    spots : mapping
        Named places as (left, top, width, height), each a share of the whole picture, for marks laid over it.
    again : callable, optional
        Draws the same once more; given by `styled`.

    Notes
    -----
    Figures are made without pyplot, so nothing keeps them once the picture is dropped.
    """

    figure: Figure
    axes: Axes | Sequence[Axes]
    alt: str
    spots: Mapping[str, tuple[float, float, float, float]] = field(default_factory=dict)
    again: Callable[[], Picture] | None = None

    @property
    def width(self) -> float:
        """Width on a screen [CSS pixels]."""
        return float(self.figure.get_figwidth() * PIXELS)

    def fitted(self, pixels: float | None) -> Picture:
        """
        Draw the same picture for the room it gets, with type of the same size.

        Parameters
        ----------
        pixels : float or None
            Room on the screen; None where it is not known. [CSS pixels]

        Returns
        -------
        picture : Picture
            This one where it fits.
        """
        if pixels is None or self.again is None or self.width <= pixels:
            return self
        held = _ROOM.set(max(NARROWEST, pixels / PIXELS))
        try:
            return replace(self.again(), again=self.again)
        finally:
            _ROOM.reset(held)

    def png(self, *, dpi: int = 120) -> bytes:
        """Give the picture as PNG bytes."""
        from matplotlib import rc_context

        held = io.BytesIO()
        layout, drawn_at = self.figure.get_layout_engine(), self.figure.dpi
        with rc_context(_RC):
            if layout is not None:  # laid out here once: saving would draw all of it for the layout alone
                self.figure.set_dpi(dpi)
                layout.execute(self.figure)
                self.figure.set_layout_engine(None)
            try:
                self.figure.savefig(held, format="png", dpi=dpi, pil_kwargs={"compress_level": 3})
            finally:
                self.figure.set_dpi(drawn_at)
                self.figure.set_layout_engine(layout)
        return held.getvalue()

    def html(self, *, dpi: int = 120) -> str:
        """Give the picture as one HTML image that holds its own data and its words."""
        width = round(self.width)
        data = base64.b64encode(self.png(dpi=dpi)).decode("ascii")
        return (
            f'<img class="inlaylab-picture" alt="{html.escape(self.alt, quote=True)}" '
            f'style="width:{width}px;max-width:100%;height:auto" src="data:image/png;base64,{data}">'
        )

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> tuple[dict[str, Any], ...]:
        data = base64.b64encode(self.png(dpi=150)).decode("ascii")
        return {"image/png": data, "text/plain": self.alt}, {"image/png": {"alt": self.alt, "width": round(self.width)}}


def styled(draw: Callable[_Taken, Picture]) -> Callable[_Taken, Picture]:
    """Draw in the house's style, whatever style the notebook around it has."""

    @functools.wraps(draw)
    def drawn(*args: _Taken.args, **options: _Taken.kwargs) -> Picture:
        from matplotlib import rc_context

        def again() -> Picture:
            with rc_context(_RC):
                picture = draw(*args, **options)
            if _ROOM.get() is not None:
                _break_lines(picture.figure)
            return picture

        return replace(again(), again=again if options.get("ax") is None else None)

    return drawn


def keep_title(ax: Axes) -> None:
    """Keep room above axes at equal scale for their title, which the layout gives to their colour bar otherwise."""
    from matplotlib.layout_engine import ConstrainedLayoutEngine, TightLayoutEngine

    figure = figure_of(ax)
    engine = figure.get_layout_engine()
    if isinstance(engine, ConstrainedLayoutEngine | TightLayoutEngine):
        engine.set(rect=(0, 0, 1, 1 - 0.3 / figure.get_figheight()))


def _break_lines(figure: Figure) -> None:
    """Break names of axes and titles that are longer than a narrow picture is wide, or its axes high."""
    letter = 0.083 / 10  # width of a letter [in] per point of its size
    wide = figure.get_figwidth() - 0.9
    high = figure.get_figheight() / max(1, len([ax for ax in figure.axes if ax.get_ylabel()])) - 0.9
    for ax in figure.axes:
        left: Text = ax._left_title  # type: ignore[attr-defined]  # which has no public name
        for text, room in ((ax.xaxis.label, wide), (ax.title, wide), (left, wide), (ax.yaxis.label, high)):
            fits = max(12, int(room / letter / float(text.get_fontsize())))
            lines = [part for line in text.get_text().split("\n") for part in textwrap.wrap(line, fits)]
            text.set_text("\n".join(lines))


def new_axes(
    *,
    width: float = 6.0,
    height: float = 3.6,
    margins: tuple[float, float, float, float] | None = None,
    to_scale: float | None = None,
) -> Axes:
    """
    Make a figure in the house's style and give its axes.

    Parameters
    ----------
    width, height : float
        Size of the figure; narrower where the screen is (`Picture.fitted`). [in]
    margins : tuple of float, optional
        Left, bottom, right and top; worked out if left out, which takes twice as long to draw. [in]
    to_scale : float, optional
        For a drawing, whose height shrinks with its width: how much of the height, for words, does not. [in]
    """
    from matplotlib.figure import Figure

    room = _ROOM.get()
    if room is not None and room < width:
        if to_scale is not None:
            height = max(2.0, to_scale + (height - to_scale) * room / width)
        width = room
    if margins is None:
        return Figure(figsize=(width, height), layout="constrained").subplots()
    left, bottom, right, top = margins
    place = (left / width, bottom / height, 1 - (left + right) / width, 1 - (bottom + top) / height)
    return Figure(figsize=(width, height)).add_axes(place)


def several_axes(*, width: float, height: float, columns: int = 1, rows: Sequence[float] = (1.0,)) -> tuple[Axes, ...]:
    """
    Make a figure of a width and height [in] as `new_axes` does, and give its axes row by row.

    There are so many `columns`, one above the other where there is no room, and `rows` of these relative heights.
    """
    from matplotlib.figure import Figure

    room = _ROOM.get()
    if room is not None and room < width:
        height, rows, columns, width = height * columns, tuple(rows) * columns, 1, room
    figure = Figure(figsize=(width, height), layout="constrained")
    return tuple(figure.subplots(len(rows), columns, height_ratios=rows, squeeze=False).flat)


def axes_for(ax: Axes | None, *, width: float = 6.0, height: float = 3.6, to_scale: float | None = None) -> Axes:
    """Give the axes passed in, or new ones where there are none."""
    return new_axes(width=width, height=height, to_scale=to_scale) if ax is None else ax


def figure_of(ax: Axes) -> Figure:
    """Give the whole figure that axes stand on."""
    return ax.figure.figure


def legend_below(figure: Figure, *, columns: int = 3, handles: Sequence[Artist] | None = None) -> None:
    """Put a legend under the whole picture, where it covers nothing; fewer columns on a narrow one."""
    labels = [h.get_label() for h in handles] if handles is not None else []
    for ax in figure.axes:
        labels += ax.get_legend_handles_labels()[1]
    wide = 0.6 + 0.075 * max((len(str(label)) for label in labels), default=0)  # [in] of mark and words at 9 points
    fits = max(1, int(figure.get_figwidth() / wide))
    options = {} if handles is None else {"handles": handles}
    figure.legend(loc="outside lower center", ncols=min(columns, fits), **options)


def shares(
    ax: Axes, places: Mapping[str, tuple[float, float, float, float]], *, extra: float
) -> dict[str, tuple[float, float, float, float]]:
    """
    Turn places on a drawing into shares of the whole picture, as `Picture.spots` holds them.

    Parameters
    ----------
    ax : matplotlib axes
        What was drawn; its layout is settled and then kept.
    places : mapping
        Left, bottom, width and height of each, in the axes' own units.
    extra : float
        Added to the left and to the right.

    Returns
    -------
    shares : dict
        Left, top, width and height of each, 0 to 1.
    """
    figure = figure_of(ax)
    figure.draw_without_rendering()
    figure.set_layout_engine("none")
    wide, high = figure.bbox.width, figure.bbox.height
    found = {}
    for name, (left, bottom, width, height) in places.items():
        (x0, y0), (x1, y1) = ax.transData.transform([(left - extra, bottom), (left + width + extra, bottom + height)])
        found[name] = (x0 / wide, 1 - y1 / high, (x1 - x0) / wide, (y1 - y0) / high)
    return found


def label_axes(ax: Axes, *, across: str, up: str, title: str = "") -> None:
    """Name both axes, unit included, and the picture."""
    ax.set_xlabel(plain(across), parse_math=False)
    ax.set_ylabel(plain(up), parse_math=False)
    if title:
        ax.set_title(plain(title), parse_math=False)


def note(
    ax: Axes, x: float, y: float, text: str, *, shift: tuple[float, float] = (0.0, 0.0), **options: Any
) -> Annotation:
    """Write words on a picture, moved by points; never read as a formula, whoever typed them."""
    lines = "\n".join(plain(line) for line in text.split("\n"))
    return ax.annotate(lines, (x, y), shift, textcoords="offset points", parse_math=False, **options)


def round_ticks(axis: Axis, unit: str) -> None:
    """Put ticks at round numbers of the reader's unit on an axis that is in mm itself."""
    from matplotlib.ticker import MaxNLocator

    scale = units.UNITS[unit]
    low, high = sorted(axis.get_view_interval())
    marks = MaxNLocator(nbins=7, steps=[1, 2, 2.5, 5, 10]).tick_values(low / scale, high / scale)
    axis.set_ticks([mark * scale for mark in marks if low <= mark * scale <= high])
    axis.set_major_formatter(lambda value, _: f"{value / scale:.3g}")


def with_unit(what: str, unit: str) -> str:
    """
    Name a quantity with its unit, as an axis shows it.

    Examples
    --------
    >>> with_unit("start depth", "in")
    'start depth [in]'
    """
    return f"{what} [{unit}]"


def in_unit(lengths: ArrayLike, unit: str) -> NDArray[np.float64]:
    """
    Turn millimetres into the reader's unit, for an axis.

    Examples
    --------
    >>> print(in_unit([2.54, 25.4], "thou").round())
    [ 100. 1000.]
    """
    import numpy as np

    return np.asarray(lengths, dtype=float) / units.UNITS[unit]


def plain(text: object, *, longest: int = 120) -> str:
    r"""
    Make words from a log safe to draw: one line, no control characters, no glyph that the font lacks.

    Examples
    --------
    >>> plain("oak\u202e\n on  ash")
    'oak on ash'
    """
    kept = "".join(c if unicodedata.category(c)[0] != "C" else " " for c in str(text))
    kept = " ".join(kept.split())
    if len(kept) > longest:
        kept = kept[: longest - 1] + "…"
    known = _glyphs()
    return "".join(c if ord(c) in known else "□" for c in kept)


@lru_cache(maxsize=1)
def _glyphs() -> frozenset[int]:
    from matplotlib import font_manager

    font = font_manager.get_font(font_manager.findfont("DejaVu Sans"))
    return frozenset(font.get_charmap())
