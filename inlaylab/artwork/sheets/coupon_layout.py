"""A coupon's layout: dots, and a groove for glue alone, by which a picture of its finished face can be read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab import units
from inlaylab.artwork.sheets import drawings
from inlaylab.bench.layouts import Dot, Layout, Place, Ring, Shape

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import Polygon

    from inlaylab.bench.coupons import Station

DOT = 2.0
"""Diameter of a dot on the face as drawn. [mm]"""
DOT_INSET = 5.0
"""Distance of a dot's middle from both edges at a corner of the blank. [mm]"""
GROOVE = (20.0, 1.2)
"""Length and width of the groove that is filled with glue alone. [mm]"""
CLEAR = 1.5  # from a dot or the groove to any stroke or label [mm]


def dots_of(length: float, width: float) -> tuple[Dot, ...]:
    """
    Place the dots: one near each corner, one of them doubled along the length.

    Parameters
    ----------
    length, width : float
        Of the blank. [mm]

    Returns
    -------
    dots : tuple of Dot
        Five, so that no turn and no mirror image looks like another.
    """
    near, right, top = DOT_INSET, length - DOT_INSET, width - DOT_INSET
    places = ((near, near), (right, near), (right, top), (near, top), (2 * near, top))
    return tuple(Dot(x=x, y=y, diameter=DOT) for x, y in places)


def groove_of(length: float, width: float) -> Shape:
    """
    Place the groove for glue alone along the top edge.

    Parameters
    ----------
    length, width : float
        Of the blank. [mm]

    Returns
    -------
    groove : Shape
        Cut in the host, and in no insert.
    """
    long, wide = GROOVE
    right, middle = length - 3 * DOT_INSET, width - DOT_INSET
    left, bottom, top = right - long, middle - wide / 2, middle + wide / 2
    return Shape(exterior=((left, bottom), (right, bottom), (right, top), (left, top)))


def layout_of(
    name: str,
    stations: Sequence[Station],
    strokes: Sequence[Polygon],
    *,
    read: dict[str, Polygon],
    marks: Sequence[Polygon],
    length: float,
    width: float,
    groove: bool = False,
) -> Layout | None:
    """
    Lay out what a reader of pictures must know.

    Parameters
    ----------
    name : str
        Name of the coupon.
    stations : sequence of Station
        In their order.
    strokes : sequence of Polygon
        All strokes, as drawn on the host.
    read : dict
        The stroke of each station.
    marks : sequence of Polygon
        Labels.
    length, width : float
        Of the blank. [mm]
    groove : bool, optional
        Whether a groove for glue alone is wanted.

    Returns
    -------
    layout : Layout or None
        None where the blank has no room for dots beside its strokes and labels.
    """
    import shapely

    dots = dots_of(length, width)
    extra = groove_of(length, width) if groove else None
    taken = shapely.union_all([*strokes, *marks])
    drilled = [shapely.Point(dot.x, dot.y).buffer(DOT / 2) for dot in dots]
    if extra is not None:
        drilled.append(shapely.Polygon(extra.exterior))
    if min(shapely.distance(taken, drilled)) < CLEAR:
        return None
    places = tuple(
        Place(
            station=station.station,
            kind=station.kind,
            grain=station.grain,
            stroke_width=station.stroke_width,
            land_width=station.land_width,
            polygon=_ring(read[station.station].exterior.coords),
        )
        for station in stations
    )
    others = [stroke for stroke in strokes if not any(stroke.equals(own) for own in read.values())]
    return Layout(
        coupon=name,
        length=length,
        width=width,
        places=places,
        other=tuple(_shape(stroke) for stroke in others),
        marks=tuple(_shape(mark) for mark in marks),
        dots=dots,
        groove=extra,
    )


def layers_of(layout: Layout | None) -> tuple[drawings.Layer, ...]:
    """
    Draw dots and groove as layers of the host's sheet.

    Parameters
    ----------
    layout : Layout or None
        None gives no layer.

    Returns
    -------
    layers : tuple of drawings.Layer
    """
    import shapely

    if layout is None:
        return ()
    dots = [shapely.Point(dot.x, dot.y).buffer(dot.diameter / 2) for dot in layout.dots]
    layers = [drawings.Layer(name="dots", polygons=shapely.multipolygons(dots), color="#D55E00")]
    if layout.groove is not None:
        groove = shapely.multipolygons([shapely.Polygon(layout.groove.exterior)])
        layers.append(drawings.Layer(name="glue_groove", polygons=groove, color="#CC79A7"))
    return tuple(layers)


def about_dots(layout: Layout | None, *, slope: float, unit: str) -> str:
    """
    Say how the dots and the groove are cut, or why there are none.

    Parameters
    ----------
    layout : Layout or None
        None where there is no room for dots.
    slope : float
        Tangent of half the path angle.
    unit : str
        Unit of the lengths in it.

    Returns
    -------
    said : str
        One sentence.
    """
    if layout is None:
        return "There is no room for the dots by which a picture could be read: leave a wider border."
    deep = units.format_length(DOT / 2 / slope, unit)
    said = f"Peck the five dots into the host with the same bit in the same setup, {deep} deep"
    if layout.groove is not None:
        said += f"; cut the groove {units.format_length(GROOVE[1] / 2 / slope, unit)} deep and fill it with glue alone"
    return said + ": then a scan or photo of the finished face can be read."


def _ring(points: Sequence[tuple[float, ...]]) -> Ring:
    return tuple((float(x), float(y)) for x, y, *_ in points)[:-1]


def _shape(polygon: Polygon) -> Shape:
    return Shape(
        exterior=_ring(polygon.exterior.coords), interiors=tuple(_ring(hole.coords) for hole in polygon.interiors)
    )
