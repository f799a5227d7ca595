"""The section through pocket and plug, as a maker would draw it: what touches, and what room is left."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inlaylab import units
from inlaylab.figures.style import INK, LOOKS, Picture, figure_of, new_axes, note, round_ticks, styled, with_unit
from inlaylab.services.by_hand.section import Section
from inlaylab.wording.figures import sections

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from numpy.typing import ArrayLike

#: Narrower pictures list their lengths below, where wider ones write them at their places. [in]
NARROW = 5.5


@styled
def section(result: Section, *, unit: str = "mm", ax: Axes | None = None, words: bool = False) -> Picture:
    """
    Draw host, pocket, plug and backer at true proportions, with what holds the plug up.

    Parameters
    ----------
    result : Section
        Depths, bit and seat.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.
    words : bool
        Whether to name every part, for a first look.

    Returns
    -------
    picture : Picture
    """
    from matplotlib.patches import Polygon

    middles = [
        result.land_width + sum(result.stroke_widths[:i]) + i * result.land_width + width / 2
        for i, width in enumerate(result.stroke_widths)
    ]
    right = middles[-1] + result.stroke_widths[-1] / 2 + result.land_width
    bottom = max(result.pocket_depth, result.start_depth) * 1.0 + 1.6
    top = -(result.relief_depth + max(0.0, float(result.seat.stand_off))) - (
        2.4 if words and _on_the_face(result) else 1.6
    )
    if ax is None:
        high = min(6.0, 0.85 + 6.2 * (bottom - top) / (right + 2.0))
        ax = new_axes(width=7.0, height=high, margins=(0.65, 0.55, 0.1, 0.3), to_scale=1.0)
    narrow = figure_of(ax).get_figwidth() < NARROW
    host = [(0.0, bottom), (0.0, 0.0)]
    insert = [(0.0, top)]
    for middle, width in zip(middles, result.stroke_widths, strict=True):
        host += result.pocket(middle, width)
        insert += result.plug(middle, width)
    ax.add_patch(Polygon([*host, (right, 0.0), (right, bottom)], **LOOKS["host"]))
    ground = insert[1][1]
    ax.add_patch(Polygon([insert[0], (0.0, ground), *insert[1:], (right, ground), (right, top)], **LOOKS["insert"]))
    ax.plot([0, right], [0, 0], color=INK, linewidth=0.8, linestyle=":")
    _mark_contact(ax, result, middles)
    if narrow:
        _list_below(ax, result, unit, words)
    else:
        _measure(ax, result, middles, right, unit, words)
    ax.set_xlim(-1.0, right + 1.0)
    ax.set_ylim(bottom, top)
    ax.set_aspect("equal")
    ax.grid(False)
    for axis in (ax.xaxis, ax.yaxis):
        round_ticks(axis, unit)
    ax.set_ylabel(with_unit(sections.DEPTH_SHORT if narrow else sections.DEPTH, unit))
    ax.set_xlabel(with_unit(sections.ACROSS, unit))
    ax.set_title(sections.title(result.seat.held_up_by))
    return Picture(figure=figure_of(ax), axes=ax, alt=sections.section_alt(result, unit))


def _on_the_face(result: Section) -> bool:
    """Say whether the insert's ground lies on the host's face, where else there is room for words."""
    return str(result.seat.held_up_by) in ("backer", "land")


def _contact_point(result: Section, middles: list[float]) -> tuple[float, float]:
    at = int(result.seat.at)
    middle, width = middles[at], result.stroke_widths[at]
    pocket = result.pocket(middle, width)
    held = str(result.seat.held_up_by)
    if held == "wall":
        deep = pocket[2][1]
        y = min(deep / 2, max(deep / 4, 0.5))  # above the words in the middle of a deep wall
        share = y / deep if deep > 0 else 0.5
        return pocket[3][0] + (pocket[2][0] - pocket[3][0]) * share, y
    if _on_the_face(result):
        return middle + width / 2 + result.land_width / 2, 0.0
    return middle, pocket[1][1]


def _mark_contact(ax: Axes, result: Section, middles: list[float]) -> None:
    x, y = _contact_point(result, middles)
    ax.plot([x], [y], marker="*", markersize=17, color="#a33c00", markeredgecolor="white", zorder=9)


def _measure(ax: Axes, result: Section, middles: list[float], right: float, unit: str, words: bool) -> None:
    """Put the depths, the gaps and, if wanted, every word on the picture."""
    widest = max(range(len(middles)), key=lambda i: result.stroke_widths[i])
    middle, stand_off = middles[widest], float(result.seat.stand_off)
    floor = result.pocket(middle, result.stroke_widths[widest])[1][1]
    face = result.start_depth - stand_off
    ground = -(result.relief_depth + result.insert_zero_error + stand_off)

    def told(length: float) -> str:
        return units.format_length(length, unit)

    def label(x: float, y: float, text: str, **options: Any) -> None:
        box = {"facecolor": "white", "edgecolor": "none", "alpha": 0.88, "pad": 1.2}
        note(ax, x, y, text, bbox=box, fontsize=8.5, zorder=7, **{"ha": "center", "va": "center", **options})

    label(middle, floor + 0.7, f"floor gap {told(max(0.0, floor - face))}")
    level = -1.0 if _on_the_face(result) else min(-0.45, ground * 0.5)
    label(middle, level, f"sink\n{told(-stand_off)}" if stand_off < 0 else f"stand-off\n{told(stand_off)}")
    label(result.land_width / 2, level, f"backer gap\n{told(max(0.0, -ground))}")
    for place, width, line in zip(middles, result.stroke_widths, _flat(result.seat.glue_line), strict=True):
        label(place + (width + result.land_width) / 2, level, f"glue line\n{told(float(line))}")
    if not words:
        return
    thin = min(range(len(middles)), key=lambda i: result.stroke_widths[i])
    deepest = max(result.pocket_depth, result.start_depth)
    label(right / 2, level - 0.95 if _on_the_face(result) else ground - 1.0, sections.BACKER)
    label(right / 2, deepest + 1.25, "host")
    label(middles[thin], result.stroke_widths[thin] / 2 / result.slopes[0] + 0.7, sections.THIN_STROKE)
    label(right - result.land_width / 2, 0.45, "land")
    quarter = result.stroke_widths[widest] * 0.24
    _arrow(ax, middle - quarter, 0.0, floor, f"pocket depth\n{told(result.pocket_depth)}")
    _arrow(ax, middle + quarter, -stand_off, face, f"start depth\n{told(result.start_depth)}")


def _list_below(ax: Axes, result: Section, unit: str, words: bool) -> None:
    """List the lengths under a picture that has no room for them, and make that room."""
    stand_off = float(result.seat.stand_off)
    floor = result.pocket(0.0, max(result.stroke_widths))[1][1]
    lines = sections.lengths_listed(
        unit,
        stand_off=stand_off,
        floor_gap=max(0.0, floor - result.start_depth + stand_off),
        backer_gap=max(0.0, result.relief_depth + result.insert_zero_error + stand_off),
        glue_lines=[float(line) for line in _flat(result.seat.glue_line)],
        depths=(result.pocket_depth, result.start_depth) if words else None,
    )
    figure, room = figure_of(ax), 0.18 * len(lines) - 0.1
    width, height = figure.get_size_inches()
    left, bottom, wide, high = (
        side * size for side, size in zip(ax.get_position().bounds, (width, height, width, height), strict=True)
    )
    figure.set_size_inches(width, height + room)
    ax.set_position((left / width, (bottom + room) / (height + room), wide / width, high / (height + room)))
    figure.text(0.04, 0.06 / (height + room), "\n".join(lines), fontsize=9, va="bottom", parse_math=False)


def _arrow(ax: Axes, x: float, start: float, end: float, text: str) -> None:
    ax.annotate("", (x, end), (x, start), arrowprops={"arrowstyle": "<->", "color": INK, "linewidth": 1.2}, zorder=7)
    box = {"facecolor": "white", "edgecolor": "none", "alpha": 0.88, "pad": 1.0}
    note(ax, x, (start + end) / 2, text, ha="center", va="center", fontsize=8.5, bbox=box, zorder=8)


def _flat(values: ArrayLike) -> list[float]:
    import numpy as np

    return list(np.ravel(values))
