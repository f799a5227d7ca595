"""Where a bit is measured: a groove across its top, and the flat of the bit itself under a loupe."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inlaylab.figures.style import INK, LOOKS, Picture, figure_of, note, several_axes, styled
from inlaylab.wording.figures import bits as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_BIT: dict[str, Any] = {"facecolor": "#cfd8e3", "edgecolor": "#3f4a57", "linewidth": 1.0, "hatch": "\\\\"}
_MARK = "#a33c00"


@dataclass(frozen=True, kw_only=True)
class WhereToMeasure:
    """
    A bit to be sketched.

    Parameters
    ----------
    angle : float
        Its included angle. [degrees]
    """

    angle: float = 60.0


@styled
def where_to_measure(result: WhereToMeasure, *, unit: str = "mm", ax: Sequence[Axes] | None = None) -> Picture:
    """
    Sketch where the width of a groove and the flat of a tip are read.

    Parameters
    ----------
    result : WhereToMeasure
        The bit.
    unit : str
        Not used: a sketch has no scale.
    ax : array of two matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
        Not to scale: the flat is drawn much larger than it is.
    """
    axes = several_axes(width=7.0, height=2.7, columns=2) if ax is None else ax
    slope = math.tan(math.radians(min(max(result.angle, 20.0), 120.0)) / 2)
    _groove(axes[0], slope)
    _tip(axes[1], slope)
    for each in axes:
        each.set_xlim(-1.75, 1.75)
        each.set_aspect("equal")
        each.axis("off")
    alt = words.WHERE
    return Picture(figure=figure_of(axes[0]), axes=axes, alt=alt)


def _groove(ax: Axes, slope: float) -> None:
    from matplotlib.patches import Polygon

    flat, wide = 0.12, 0.95
    deep = min(1.25, (wide - flat) / slope)
    wide = flat + deep * slope
    ends = [(-1.7, 0.0), (-wide, 0.0), (-flat, -deep), (flat, -deep), (wide, 0.0), (1.7, 0.0)]
    ax.add_patch(Polygon([*ends, (1.7, -1.6), (-1.7, -1.6)], **LOOKS["host"]))
    _between(ax, (-wide, 0.12), (wide, 0.12), words.WIDTH, above=True)
    for x in (-wide, wide):
        ax.plot([x, x], [0.0, 0.22], color=INK, linewidth=0.8)
    ax.annotate("", (0, -deep), (0, 0), arrowprops={"arrowstyle": "<->", "color": INK, "shrinkA": 0, "shrinkB": 0})
    ax.plot([-wide, wide], [0, 0], color=INK, linewidth=0.8, linestyle=":")
    note(ax, 0.0, -deep, words.DEPTH, shift=(0, -5), ha="center", va="top", fontsize=9, bbox=_paper())
    ax.set_ylim(-1.65, 0.65)
    ax.set_title(words.GROOVE_END, fontsize=10)


def _tip(ax: Axes, slope: float) -> None:
    from matplotlib.patches import Circle, Polygon

    flat, high = 0.28, 1.35
    wide = min(1.2, flat + high * slope)
    high = (wide - flat) / slope
    ax.add_patch(Polygon([(-wide, high), (-flat, 0.0), (flat, 0.0), (wide, high)], **_BIT))
    ax.add_patch(Circle((0, 0.0), 0.62, facecolor="none", edgecolor=INK, linewidth=1.4))
    ax.plot([0.44, 0.85], [-0.44, -0.85], color=INK, linewidth=3, solid_capstyle="round")
    note(ax, 0.9, -0.8, "loupe", ha="left", va="center", fontsize=9)
    for x in (-flat, flat):
        ax.plot([x, x], [-0.18, 0.0], color=INK, linewidth=0.8)
    _between(ax, (-flat, -0.12), (flat, -0.12), "", above=False)
    note(ax, -0.7, -0.72, "tip flat", ha="right", va="center", fontsize=9, color=_MARK, fontweight="bold")
    ax.plot([-0.68, -0.05], [-0.68, -0.16], color=_MARK, linewidth=1.0)
    ax.set_ylim(-0.95, 1.4)
    ax.set_title(words.TIP_SIDE, fontsize=10)


def _between(ax: Axes, start: tuple[float, float], end: tuple[float, float], text: str, *, above: bool) -> None:
    look = {"arrowstyle": "<->", "color": _MARK, "linewidth": 1.8, "shrinkA": 0, "shrinkB": 0}
    ax.annotate("", end, start, arrowprops=look, zorder=6)
    if text:
        middle = (start[0] + end[0]) / 2
        note(ax, middle, start[1], text, shift=(0, 5 if above else -5), ha="center", color=_MARK, fontweight="bold",
             va="bottom" if above else "top", fontsize=9)  # fmt: skip


def _paper() -> dict[str, Any]:
    return {"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 1.0}
