"""
The pieces that a coupon is put together from, and how they are packed onto a blank.

A piece has its strokes, its engraved marks and its stations in coordinates of its own, with clear land all round.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapely import MultiPolygon, Polygon

GAP = 1.2  # [mm] between a label and its stroke
BETWEEN = 1.0  # [mm] between two labels

_Box = tuple[float, float, float, float]  # left, bottom, right and top [mm]


@dataclass(frozen=True, kw_only=True)
class Place:
    """
    A station on a piece.

    Parameters
    ----------
    station, kind, grain : str
        As in ``bench.coupons.Station``.
    stroke_width : float
        Full width; of a wedge at its wide end. [mm]
    stroke : shapely.Polygon
        The stroke itself. [mm]
    """

    station: str
    kind: str
    grain: str
    stroke_width: float
    stroke: Polygon


@dataclass(frozen=True, kw_only=True)
class Piece:
    """
    Strokes that are placed together.

    Parameters
    ----------
    width, height : float
        Room that the piece takes, clear land included. [mm]
    strokes : tuple of shapely.Polygon
        All of its strokes. [mm]
    places : tuple of Place
        Its stations.
    marks : tuple of shapely.MultiPolygon
        Labels, engraved in the host alone. [mm]
    """

    width: float
    height: float
    strokes: tuple[Polygon, ...]
    places: tuple[Place, ...] = ()
    marks: tuple[MultiPolygon, ...] = ()

    def moved(self, x: float, y: float) -> Piece:
        """Give the piece with everything on it shifted."""
        from shapely.affinity import translate

        return Piece(
            width=self.width,
            height=self.height,
            strokes=tuple(translate(stroke, x, y) for stroke in self.strokes),
            places=tuple(
                Place(
                    station=each.station,
                    kind=each.kind,
                    grain=each.grain,
                    stroke_width=each.stroke_width,
                    stroke=translate(each.stroke, x, y),
                )
                for each in self.places
            ),
            marks=tuple(translate(mark, x, y) for mark in self.marks),
        )


def label(text: str, *, label_size: float, x: float = 0.0, y: float = 0.0) -> MultiPolygon:
    """
    Outlines of a label, its lower left corner at (x, y).

    Parameters
    ----------
    text : str
        Letters and figures.
    label_size : float
        Label size of the type; capitals are 0.73 of it high. [mm]
    x, y : float, optional
        [mm]

    Returns
    -------
    outlines : shapely.MultiPolygon
        [mm]
    """
    from shapely.affinity import translate

    shape = _letters(text, round(label_size, 6))
    left, bottom, _, _ = shape.bounds
    return translate(shape, x - left, y - bottom)


def stem(label_size: float) -> float:
    """Width of a label's strokes, taken from its letter I. [mm]."""
    left, _, right, _ = label("I", label_size=label_size).bounds
    return float(right - left)


@lru_cache(maxsize=256)
def _letters(text: str, label_size: float) -> MultiPolygon:
    import shapely
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextPath

    font = FontProperties(family="DejaVu Sans", weight="bold")
    rings = TextPath((0, 0), text, size=label_size, prop=font).to_polygons()
    whole = shapely.MultiPolygon()
    for ring in rings:
        whole = whole.symmetric_difference(shapely.Polygon(ring))
    return shapely.multipolygons([part for part in shapely.get_parts(whole) if part.geom_type == "Polygon"])


def bars(
    widths: Sequence[float], *, names: Sequence[str], grain: str, length: float, clear_land: float, label_size: float
) -> Piece:
    """
    Make straight bars of several widths, side by side, each with its label at its end.

    Parameters
    ----------
    widths : sequence of float
        Full widths. [mm]
    names : sequence of str
        Names of the stations.
    grain : {"along", "across"}
        Along the grain bars lie flat and are stacked; across they stand in a row.
    length, clear_land : float
        Length and clear land of each bar; land between neighbours and all round. [mm]
    label_size : float
        Label size of the labels. [mm]

    Returns
    -------
    piece : Piece
    """
    import shapely

    labels = [label(name, label_size=label_size) for name in names]
    flat = grain == "along"
    room = max(mark.bounds[2 if flat else 3] for mark in labels) + GAP
    strokes, places, marks, at = [], [], [], clear_land / 2
    for width, name, mark in zip(widths, names, labels, strict=True):
        thick = mark.bounds[3 if flat else 2]
        at += max(0.0, (thick + BETWEEN - width - clear_land) / 2)
        corners = (clear_land / 2 + room, at, clear_land / 2 + room + length, at + width)
        stroke = shapely.box(*(corners if flat else (at, corners[0], at + width, corners[2])))
        beside = at + width / 2 - thick / 2
        marks.append(
            label(
                name, label_size=label_size, x=clear_land / 2 if flat else beside, y=beside if flat else clear_land / 2
            )
        )
        strokes.append(stroke)
        places.append(Place(station=name, kind="bar", grain=grain, stroke_width=width, stroke=stroke))
        at += width + clear_land + max(0.0, (thick + BETWEEN - width - clear_land) / 2)
    long = clear_land + room + length
    across = at - clear_land / 2
    return Piece(
        width=long if flat else across,
        height=across if flat else long,
        strokes=tuple(strokes),
        places=tuple(places),
        marks=tuple(marks),
    )


def wedge(*, width: float, name: str, length: float, clear_land: float, label_size: float) -> Piece:
    """
    Make a long wedge along the grain, from nothing at its left to its wide end.

    Parameters
    ----------
    width, length : float
        Width and length of its wide end; from its tip to that end. [mm]
    name : str
        Name of the station.
    clear_land, label_size : float
        Land all round; size of the label. [mm]
    """
    import shapely

    mark = label(name, label_size=label_size)
    left = clear_land / 2 + mark.bounds[2] + GAP
    middle = clear_land / 2 + max(width, mark.bounds[3]) / 2
    stroke = shapely.Polygon([(left, middle), (left + length, middle - width / 2), (left + length, middle + width / 2)])
    return Piece(
        width=left + length + clear_land / 2,
        height=2 * middle,
        strokes=(stroke,),
        places=(Place(station=name, kind="wedge", grain="along", stroke_width=width, stroke=stroke),),
        marks=(label(name, label_size=label_size, x=clear_land / 2, y=middle - mark.bounds[3] / 2),),
    )


def narrow_land(*, width: float, land: float, name: str, length: float, clear_land: float, label_size: float) -> Piece:
    """
    Make three like bars with a narrow land on either side of the middle one, which is the station.

    Parameters
    ----------
    width, land, length : float
        Width, land and length of each bar, of each land, of the bars. [mm]
    name : str
        Name of the station.
    clear_land, label_size : float
        Land all round; size of the label. [mm]
    """
    import shapely

    mark = label(name, label_size=label_size)
    left = clear_land / 2 + mark.bounds[2] + GAP
    high = 3 * width + 2 * land
    bottom = clear_land / 2 + max(0.0, (mark.bounds[3] - high) / 2)
    strokes = tuple(
        shapely.box(left, bottom + n * (width + land), left + length, bottom + n * (width + land) + width)
        for n in range(3)
    )
    return Piece(
        width=left + length + clear_land / 2,
        height=2 * bottom + high,
        strokes=strokes,
        places=(Place(station=name, kind="bar", grain="along", stroke_width=width, stroke=strokes[1]),),
        marks=(label(name, label_size=label_size, x=clear_land / 2, y=bottom + high / 2 - mark.bounds[3] / 2),),
    )


def ring(*, width: float, diameter: float, clear_land: float) -> Piece:
    """
    Make a ring, whose stroke meets the grain at every angle.

    Parameters
    ----------
    width, diameter, clear_land : float
        Width, diameter and clear land of the stroke; outside; land all round. [mm]
    """
    import shapely

    side = diameter + clear_land
    middle = shapely.Point(side / 2, side / 2)
    outer, inner = (middle.buffer(radius, quad_segs=48) for radius in (diameter / 2, diameter / 2 - width))
    return Piece(width=side, height=side, strokes=(outer.difference(inner),))


def corners(*, side: float, clear_land: float) -> Piece:
    """
    Make a triangle with corners of 30, 60 and 90 degrees.

    Parameters
    ----------
    side, clear_land : float
        Side and clear land of its longer leg; land all round. [mm]
    """
    import shapely

    short = side / 3**0.5
    at = clear_land / 2
    triangle = shapely.Polygon([(at, at), (at + side, at), (at, at + short)])
    return Piece(width=side + clear_land, height=short + clear_land, strokes=(triangle,))


def pack(pieces: Sequence[Piece], width: float, height: float) -> list[Piece] | None:
    """
    Place pieces on a rectangle without turning them.

    Parameters
    ----------
    pieces : sequence of Piece
        Placed largest first.
    width, height : float
        Width and height of the rectangle. [mm]

    Returns
    -------
    placed : list of Piece or None
        In the order given; None where they do not fit.

    Notes
    -----
    Keeps every largest free rectangle, and puts each piece into the lowest and
    then leftmost one that takes it.
    """
    free: list[_Box] = [(0.0, 0.0, width, height)]
    placed: dict[int, Piece] = {}
    for index in sorted(range(len(pieces)), key=lambda i: -pieces[i].width * pieces[i].height):
        piece = pieces[index]
        fits = [f for f in free if f[2] - f[0] >= piece.width - 1e-9 and f[3] - f[1] >= piece.height - 1e-9]
        if not fits:
            return None
        x, y, _, _ = min(fits, key=lambda f: (f[1], f[0]))
        placed[index] = piece.moved(x, y)
        taken = (x, y, x + piece.width, y + piece.height)
        free = _without(free, taken)
    return [placed[index] for index in range(len(pieces))]


def _without(free: list[_Box], taken: _Box) -> list[_Box]:
    """Free rectangles once one is taken; those inside another are dropped."""
    left, bottom, right, top = taken
    pieces: list[_Box] = []
    for x0, y0, x1, y1 in free:
        if right <= x0 or left >= x1 or top <= y0 or bottom >= y1:
            pieces.append((x0, y0, x1, y1))
            continue
        pieces += [(x0, y0, min(x1, left), y1), (max(x0, right), y0, x1, y1)]
        pieces += [(x0, y0, x1, min(y1, bottom)), (x0, max(y0, top), x1, y1)]
    real = list(dict.fromkeys(p for p in pieces if p[2] - p[0] > 1e-9 and p[3] - p[1] > 1e-9))
    return [p for p in real if not any(q != p and _inside(p, q) for q in real)]


def _inside(small: tuple[float, ...], large: tuple[float, ...]) -> bool:
    return small[0] >= large[0] and small[1] >= large[1] and small[2] <= large[2] and small[3] <= large[3]
