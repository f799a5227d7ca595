"""Strokes under the sander: what comes off the face, and how far down each still has wood of the plug."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inlaylab import units
from inlaylab.figures.style import (
    INK,
    LOOKS,
    Picture,
    figure_of,
    label_axes,
    legend_below,
    new_axes,
    note,
    styled,
    with_unit,
)
from inlaylab.wording.figures import around as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.figures.style import Floats

MOST = 5
"""Strokes drawn at most."""


@dataclass(frozen=True, kw_only=True)
class SandedStrokes:
    """
    Strokes side by side in a host.

    Parameters
    ----------
    widths : sequence of float
        As drawn, at the face. [mm]
    reserves : sequence of float
        How much more may come off each before it is lost; below zero where it is lost already. [mm]
    slope : float
        Half the width that a wall gains in one unit of depth.
    pocket_depth, nose_depth, sanded_off : float
        The pocket's floor, the plug's flat end and the finished face, all below the face as cut. [mm]
    """

    widths: Floats
    reserves: Floats
    slope: float
    pocket_depth: float
    nose_depth: float
    sanded_off: float


@styled
def sanding(result: SandedStrokes, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw strokes in section with the finished face.

    Parameters
    ----------
    result : SandedStrokes
        The strokes, of which the first few are drawn.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
        Depths are to scale; wide strokes are drawn narrower.
    """
    from matplotlib.patches import Patch

    shown = list(zip(result.widths, result.reserves, strict=True))[:MOST]
    scale = 1 / units.UNITS[unit]
    ax = new_axes(width=6.6, height=3.6) if ax is None else ax
    widest = 2.4 * result.pocket_depth * result.slope
    room = max(1.2 * result.pocket_depth, 1.3 * max(min(width, widest) for width, _ in shown))
    for number, (width, reserve) in enumerate(shown):
        _stroke(ax, result, place=(number * room, (number + 1) * room), width=float(width),
                drawn=float(min(width, widest)), reserve=float(reserve), scale=scale)  # fmt: skip
        name = units.format_length(float(width), unit)
        note(ax, (number + 0.5) * room * scale, -0.03 * result.pocket_depth * scale, name, ha="center", va="bottom",
             fontsize=9)  # fmt: skip
    right, off = len(shown) * room * scale, result.sanded_off * scale
    ax.axhspan(0, off, facecolor="#ffffff", alpha=0.55, zorder=3)
    ax.plot([0, right], [off, off], color=INK, linewidth=1.6, label=words.FINISHED, zorder=5)
    ax.set_xlim(0, right)
    ax.set_xticks([])
    ax.set_yticks([mark for mark in ax.get_yticks() if mark >= 0])
    ax.set_ylim(1.15 * result.pocket_depth * scale, -0.2 * result.pocket_depth * scale)
    ax.grid(False)
    label_axes(ax, across="", up=with_unit(words.DEPTH, unit))
    handles, _ = ax.get_legend_handles_labels()
    handles += [Patch(label=words.PLUG_WOOD, **LOOKS["insert"]), Patch(label="host", **LOOKS["host"])]
    lost = [reserve for _, reserve in shown if reserve > 0]
    if lost:
        from matplotlib.lines import Line2D

        handles.append(Line2D([], [], label=words.LOST_HERE, **_LOST))
    legend_below(figure_of(ax), columns=2, handles=handles)
    alt = words.sanding_alt(shown, unit, sanded_off=result.sanded_off)
    return Picture(figure=figure_of(ax), axes=ax, alt=alt)


_LOST: dict[str, Any] = {"color": "#a33c00", "linewidth": 1.8, "linestyle": "--"}


def _stroke(
    ax: Axes,
    result: SandedStrokes,
    *,
    place: tuple[float, float],
    width: float,
    drawn: float,
    reserve: float,
    scale: float,
) -> None:
    """Draw one pocket with what there is of its plug, between two places; `drawn` is the width it gets."""
    from matplotlib.patches import Polygon

    left, right = place
    middle = (left + right) / 2
    deep = min(result.pocket_depth, width / 2 / result.slope)
    foot = max(0.0, drawn / 2 - deep * result.slope)
    face = [(left, 0.0), (middle - drawn / 2, 0.0), (middle - foot, deep), (middle + foot, deep)]
    face += [(middle + drawn / 2, 0.0), (right, 0.0)]
    bottom = 1.15 * result.pocket_depth
    around = [(x * scale, y * scale) for x, y in (*face, (right, bottom), (left, bottom))]
    ax.add_patch(Polygon(around, **LOOKS["host"], zorder=1))
    end = min(deep, result.nose_depth, max(0.0, result.sanded_off + reserve))
    if end > 0:
        tip = drawn / 2 - end * result.slope
        plug = [(middle - drawn / 2, 0.0), (middle - tip, end), (middle + tip, end), (middle + drawn / 2, 0.0)]
        ax.add_patch(Polygon([(x * scale, y * scale) for x, y in plug], **LOOKS["insert"], zorder=2))
        ax.plot(
            [(middle - 0.62 * drawn) * scale, (middle + 0.62 * drawn) * scale], [end * scale] * 2, zorder=6, **_LOST
        )
