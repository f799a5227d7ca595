"""
Two scales of colour, the same for every drawing: how wide a glue line is, and how likely a stroke fills.

What is good has the colour of the insert's wood, what is bad is dark: a tight line looks tight, and grey print keeps
the order.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab import units
from inlaylab.figures.style import figure_of, with_unit
from inlaylab.wording.figures import artwork as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.cm import ScalarMappable
    from matplotlib.colorbar import Colorbar
    from matplotlib.colors import Colormap, Normalize

WIDEST = 0.3
"""Glue line per side at the dark end of its scale; wider ones have its colour too [mm]."""
LOST = "#ffffff"
"""Colour of strokes that sanding takes away."""
_STOPS = ("#fbe9c3", "#eebf63", "#c97b2a", "#7d3b22", "#1a1a1a")


def colours(*, good_is_low: bool = True) -> Colormap:
    """Give the colour map from the insert's wood to dark, its lightness falling evenly."""
    from matplotlib.colors import LinearSegmentedColormap

    stops = _STOPS if good_is_low else _STOPS[::-1]
    made = LinearSegmentedColormap.from_list("wood to dark", list(stops))
    return made.with_extremes(bad=LOST)


def glue_norm(unit: str) -> Normalize:
    """Give the scale of glue lines, in the reader's unit."""
    from matplotlib.colors import Normalize

    return Normalize(0.0, WIDEST / units.UNITS[unit], clip=True)


def glue_bar(ax: Axes, drawn: ScalarMappable, unit: str) -> Colorbar:
    """Put the scale of glue lines under a picture."""
    bar = figure_of(ax).colorbar(drawn, ax=ax, location="bottom", fraction=0.06, aspect=32, extend="max")
    marks = (0.0, 0.1, 0.2, 0.3) if figure_of(ax).get_figwidth() < 4.5 else (0.0, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3)
    bar.set_ticks([mark / units.UNITS[unit] for mark in marks])
    bar.ax.xaxis.set_major_formatter(lambda value, _: f"{value:.3g}" if unit != "in" else f"{value:.3f}")
    bar.set_label(f"{with_unit(words.GLUE_BAR, unit)}\n{words.GLUE_SCALE}")
    return bar


def chance_bar(ax: Axes, drawn: ScalarMappable) -> Colorbar:
    """Put the scale of chances to fill under a picture."""
    bar = figure_of(ax).colorbar(drawn, ax=ax, location="bottom", fraction=0.06, aspect=32)
    bar.set_label(words.CHANCE_BAR)
    return bar
