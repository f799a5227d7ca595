"""Where the glue goes: a film on the walls, and the void under the plug's nose."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inlaylab.figures.style import BLUE, LOOKS, Picture, figure_of, new_axes, note, styled
from inlaylab.wording.figures import around as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_FILM: dict[str, Any] = {"color": "#a33c00", "linewidth": 3.0}
_VOID: dict[str, Any] = {"facecolor": "white", "edgecolor": BLUE, "hatch": "xx", "linewidth": 0.8}


@dataclass(frozen=True, kw_only=True)
class GluedJoint:
    """
    The glue of a whole artwork.

    Parameters
    ----------
    angle : float
        True angle of the bit. [degrees]
    depth, floor_gap : float
        How deep the plug sits in its pocket, and the room under its nose. [mm]
    film, void : float
        What a film on the walls holds, and what the void under the nose could hold. [mm3]
    """

    angle: float
    depth: float
    floor_gap: float
    film: float
    void: float


@styled
def glue(result: GluedJoint, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw one stroke in section with the glue that the whole artwork takes.

    Parameters
    ----------
    result : GluedJoint
        Depths and volumes.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
        Depths are to scale, the film is drawn thicker than it is.
    """
    from matplotlib.patches import Polygon

    ax = new_axes(width=6.4, height=3.0, to_scale=0.2) if ax is None else ax
    slope = math.tan(math.radians(min(result.angle, 120.0)) / 2)
    deep, gap = result.depth, result.floor_gap
    floor = deep + gap
    wide = 0.8 * floor + floor * slope
    foot, nose, out = wide - floor * slope, wide - deep * slope, wide + 1.0 * floor
    pocket = [(-wide, 0.0), (-foot, floor), (foot, floor), (wide, 0.0)]
    ax.add_patch(
        Polygon([(-out, 0.0), *pocket, (out, 0.0), (out, 1.35 * floor), (-out, 1.35 * floor)], **LOOKS["host"])
    )
    ax.add_patch(Polygon([(-wide, 0.0), (-nose, deep), (nose, deep), (wide, 0.0)], **LOOKS["insert"]))
    if gap > 0:
        ax.add_patch(Polygon([(-nose, deep), (-foot, floor), (foot, floor), (nose, deep)], **_VOID))
    for side in (-1, 1):
        ax.plot([side * wide, side * nose], [0.0, deep], solid_capstyle="butt", **_FILM)
    _point(ax, (wide + nose) / 2, deep / 2, (out, -0.62 * floor), words.film_size(result.film, unit))
    _point(ax, 0.0, deep + gap / 2, (0.0, 1.62 * floor), words.void_size(gap, result.void, unit))
    note(ax, 0.0, 0.4 * deep, "plug", ha="center", va="center", fontsize=9)
    note(ax, -out * 0.95, 1.15 * floor, "host", ha="left", va="center", fontsize=9)
    ax.set_xlim(-out * 1.02, out * 1.02)
    ax.set_ylim(2.0 * floor, -0.95 * floor)
    ax.set_aspect("equal")
    ax.axis("off")
    alt = words.glue_alt(unit, film=result.film, gap=gap, void=result.void)
    return Picture(figure=figure_of(ax), axes=ax, alt=alt)


def _point(ax: Axes, x: float, y: float, place: tuple[float, float], text: str) -> None:
    """Write words above or below the joint, with a line to what they name."""
    from inlaylab.figures.style import GREY

    below = place[1] > 0
    ax.plot([place[0] * 0.55, x], [place[1] * 0.9, y], color=GREY, linewidth=0.9, zorder=6)
    ha, va = ("center", "top") if below else ("right", "bottom")
    note(ax, place[0], place[1] * (0.95 if below else 1.0), text, fontsize=9, ha=ha, va=va)
