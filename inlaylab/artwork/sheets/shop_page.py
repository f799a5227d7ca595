"""One page to print and carry to the machine: depths, a section, the mirrored plug, and lines of known length."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inlaylab.artwork.sheets.drawings import COLORS, Layer, Sheet, check_line

if TYPE_CHECKING:
    from shapely import MultiPolygon

_WIDTH, _HEIGHT = 210.0, 297.0  # [mm] ISO 216 A4, upright; also prints on US letter, which is 279 high
_LEFT, _TOP = 18.0, 262.0
_MOST_LINES = 20
_SECTION = (18.0, 42.0, 74.0, 66.0)  # [mm] left, bottom, width and height of the section
_PLUG = (112.0, 42.0, 80.0, 66.0)  # [mm] of the plug's small picture
INCH = 25.4

Point = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Section:
    """
    Levels of an inlay as it rests, counted from the host's face, down positive.

    Parameters
    ----------
    pocket_depth, start_depth, relief_depth, stand_off, sanded_off : float
        [mm]
    path_half_tangent : float
        Slope of the walls, T0.
    labels : tuple of str
        Of the backer's underside, the host's face, the finished face, the plug's nose and the pocket's floor.
    """

    pocket_depth: float
    start_depth: float
    relief_depth: float
    stand_off: float
    sanded_off: float
    path_half_tangent: float
    labels: tuple[str, str, str, str, str]

    @property
    def levels(self) -> tuple[float, float, float, float, float]:
        """Depths of what is labelled [mm]."""
        return (
            -(self.relief_depth + self.stand_off),
            0.0,
            self.sanded_off,
            self.start_depth - self.stand_off,
            self.pocket_depth,
        )


def shop_page(lines: Sequence[str], *, title: str, plug: MultiPolygon, mirror: str, section: Section) -> Sheet:
    """
    Draw the page.

    Parameters
    ----------
    lines : sequence of str
        Bit, woods and depths, one below the other.
    title : str
        At the top.
    plug : shapely.MultiPolygon
        The mirrored plug as it is drawn on its blank. [mm]
    mirror : {"y", "x"}
        Along which axis the mirror line runs.
    section : Section
        Levels of the inlay.

    Returns
    -------
    sheet : drawings.Sheet
        An upright A4 page; the section keeps its proportions, the plug is made to fit.
    """
    texts = [(_LEFT, _HEIGHT - 24.0, 5.5, title)]
    texts += [(_LEFT, _TOP - 6.6 * row, 3.2, line) for row, line in enumerate(lines[:_MOST_LINES])]
    inch = check_line(110.0, 14.0, 2 * INCH)
    known = (check_line(_LEFT, 14.0), Layer(name="check_line_inch", lines=inch.lines, color=inch.color))
    texts += [(_LEFT + 52.0, 13.0, 2.8, "50 mm"), (110.0 + 2 * INCH + 2.0, 13.0, 2.8, "2 in")]
    texts.append((_LEFT, 6.0, 2.6, COLORS))
    drawn, told = _section(section)
    small, named = _mirrored(plug, mirror)
    return Sheet(
        width=_WIDTH,
        height=_HEIGHT,
        layers=(*known, *drawn, *small),
        texts=(*texts, *told, *named),
        title=title,
    )


def _section(section: Section) -> tuple[tuple[Layer, ...], list[tuple[float, float, float, str]]]:
    """Pocket and plug across a wide stroke, levels named beside them, words spread so that none hides another."""
    left, bottom, width, height = _SECTION
    slope, levels = section.path_half_tangent, section.levels
    high, low = levels[0] - 4.0, section.pocket_depth + 3.0
    nose = 3.0
    half = nose + section.pocket_depth * slope + section.relief_depth * slope + 3.0
    scale = min(height / (low - high), width * 0.62 / (2 * half))
    middle = left + half * scale

    def at(x: float, depth: float) -> Point:
        return middle + x * scale, bottom + (low - depth) * scale

    rim = nose + section.pocket_depth * slope
    pocket = [at(-half, 0.0), at(-rim, 0.0), at(-nose, levels[4]), at(nose, levels[4]), at(rim, 0.0), at(half, 0.0)]
    tip = rim - section.start_depth * slope
    reach = rim + section.relief_depth * slope
    plug = [at(-half, levels[0]), at(-reach, levels[0]), at(-tip, levels[3]), at(tip, levels[3]), at(reach, levels[0])]
    plug += [at(half, levels[0]), at(half, high), at(-half, high), at(-half, levels[0])]
    host = [*pocket, at(half, low), at(-half, low), at(-half, 0.0)]
    finish = [at(-half, levels[2]), at(half, levels[2])]
    edge = left + 2 * half * scale + 2.0
    wanted = sorted(((at(0.0, depth)[1], depth, label) for depth, label in zip(levels, section.labels, strict=True)))
    texts, leaders, last = [], [], -1e9
    for y, _, label in wanted:
        last = max(y - 1.0, last + 5.0)
        texts.append((edge + 5.0, last, 2.6, label))
        leaders.append(((edge - 2.0, y), (edge + 4.0, last + 1.0)))
    texts.append((left, bottom - 7.0, 2.6, "section across a wide stroke, true proportions"))
    layers = (
        Layer(name="host", lines=(tuple(host),), color="#5f5f5f"),
        Layer(name="insert", lines=(tuple(plug),), color="#0072B2"),
        Layer(name="finished_face", lines=(tuple(finish),), color="#a33c00"),
        Layer(name="levels", lines=tuple(leaders), color="#9a9a9a"),
    )
    return layers, texts


def _mirrored(plug: MultiPolygon, mirror: str) -> tuple[tuple[Layer, ...], list[tuple[float, float, float, str]]]:
    """Mirrored plug, made to fit, with its mirror line through the middle."""
    from shapely.affinity import affine_transform

    left, bottom, width, height = _PLUG
    x0, y0, x1, y1 = plug.bounds
    scale = min(width / max(x1 - x0, 1e-9), height / max(y1 - y0, 1e-9))
    wide, high = (x1 - x0) * scale, (y1 - y0) * scale
    x, y = left + (width - wide) / 2, bottom + (height - high) / 2
    small = affine_transform(plug, (scale, 0.0, 0.0, scale, x - scale * x0, y - scale * y0))
    upright = ((x + wide / 2, bottom - 3.0), (x + wide / 2, bottom + height + 3.0))
    level = ((left - 3.0, y + high / 2), (left + width + 3.0, y + high / 2))
    layers = (
        Layer(name="plug_small", polygons=small, color="#0072B2"),
        Layer(name="mirror_line", lines=(upright if mirror == "y" else level,), color="#a33c00"),
    )
    return layers, [(left, bottom - 7.0, 2.6, f"mirrored plug, made to fit; the mirror line runs along {mirror}")]
