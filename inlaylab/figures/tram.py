"""What a leaning spindle does to pocket and plug, by the line about which the plug is mirrored."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inlaylab.figures.style import LOOKS, Picture, figure_of, note, several_axes, styled
from inlaylab.wording.figures import around as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

DRAWN_LEAN = 5.0
"""Lean in the picture, much more than any spindle's, so that it can be seen. [degrees]"""


@dataclass(frozen=True, kw_only=True)
class LeaningCuts:
    """
    One stroke, cut with the plug mirrored about either line.

    Parameters
    ----------
    along : str
        Machine axis along which the mirror line is advised.
    angle : float
        Included angle of the bit. [degrees]
    advised, other : float
        Worst glue line from the lean alone, mirrored as advised and about the other line. [mm]
    """

    along: str
    angle: float
    advised: float
    other: float


@styled
def tram(result: LeaningCuts, *, unit: str = "mm", ax: Sequence[Axes] | None = None) -> Picture:
    """
    Draw pocket and plug with the lean cancelled and doubled.

    Parameters
    ----------
    result : LeaningCuts
        What the lean does.
    unit : str
        The reader's unit.
    ax : array of two matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
        The lean is drawn much larger than it is; the numbers are the true ones.
    """
    axes = several_axes(width=7.0, height=2.5, columns=2) if ax is None else ax
    across = "y" if result.along == "x" else "x"
    ways = ((words.mirror_title(result.along, doubled=False), result.advised, False),
            (words.mirror_title(across, doubled=True), result.other, True))  # fmt: skip
    for each, (title, line, doubled) in zip(axes, ways, strict=True):
        _draw(each, result.angle, doubled=doubled)
        each.set_title(title, fontsize=10)
        note(each, 0.0, 1.62, words.worst_line(line, unit), ha="center", va="top", fontsize=9)
    alt = words.tram_alt(result.along, across, unit, right=result.advised, wrong=result.other)
    return Picture(figure=figure_of(axes[0]), axes=axes, alt=alt)


def _draw(ax: Axes, angle: float, *, doubled: bool) -> None:
    """Draw one section; the plug rests as low as its walls let it."""
    from matplotlib.patches import Polygon

    half, lean = math.radians(min(max(angle, 20.0), 110.0)) / 2, math.radians(DRAWN_LEAN)
    steep, flat = math.tan(half - lean), math.tan(half + lean)
    deep, nose = 1.2, 1.0
    wide = 0.45 + deep * math.tan(half)
    pocket = [(-wide, 0.0), (-wide + deep * steep, deep), (wide - deep * flat, deep), (wide, 0.0)]
    out = 1.35 * wide
    ax.add_patch(Polygon([(-out, 0.0), *pocket, (out, 0.0), (out, 1.55), (-out, 1.55)], **LOOKS["host"]))
    left, right = (flat, steep) if doubled else (steep, flat)
    proud = nose * (flat - steep) / (2 * flat) if doubled else 0.0
    shift = -proud * flat if doubled else 0.0
    top = -0.35
    grown = proud - top
    plug = [
        (-wide + shift - (grown - proud) * left + proud * left, top),
        (-wide + shift + nose * left, nose - proud),
        (wide + shift - nose * right, nose - proud),
        (wide + shift + (grown - proud) * right - proud * right, top),
    ]
    ax.add_patch(Polygon(plug, **LOOKS["insert"]))
    ax.set_xlim(-out, out)
    ax.set_ylim(1.95, top - 0.1)
    ax.set_aspect("equal")
    ax.axis("off")
    note(ax, 0.0, 0.35, "plug", ha="center", va="center", fontsize=9)
    note(ax, -out * 0.93, 1.3, "host", ha="left", va="center", fontsize=9)
