"""Layouts: the drawing a coupon was cut from, as its finished face is seen from above."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass

from inlaylab.bench.coupons import GRAINS, KINDS, MOST_STATIONS
from inlaylab.errors import RecordError, shown

LONGEST_TEXT = 4_000_000
LONGEST_SIDE = 1000.0
MOST_POINTS = 100_000

Ring = tuple[tuple[float, float], ...]


@dataclass(frozen=True, kw_only=True)
class Shape:
    """
    A drawn shape: an outline and its holes.

    Parameters
    ----------
    exterior : tuple of (x, y)
        Its corners, the first not repeated. [mm]
    interiors : tuple of rings
        Holes, each as `exterior`.
    """

    exterior: Ring
    interiors: tuple[Ring, ...] = ()

    @property
    def rings(self) -> tuple[Ring, ...]:
        """Outline first, then the holes."""
        return (self.exterior, *self.interiors)


@dataclass(frozen=True, kw_only=True)
class Place:
    """
    A station as it is drawn.

    Parameters
    ----------
    station : str
        Its name.
    kind : {"bar", "wedge"}
        As in `bench.coupons.Station`.
    grain : {"along", "across"}
        As in `bench.coupons.Station`.
    stroke_width, land_width : float
        Full widths as drawn; of a wedge at its wide end. [mm]
    polygon : tuple of (x, y)
        A bar's four corners or a wedge's three. [mm]
    """

    station: str
    kind: str
    grain: str
    stroke_width: float
    land_width: float
    polygon: Ring


@dataclass(frozen=True, kw_only=True)
class Dot:
    """
    A hole drilled in the host's own setup.

    Parameters
    ----------
    x, y : float
        Its middle. [mm]
    diameter : float
        Of the drill. [mm]
    """

    x: float
    y: float
    diameter: float


@dataclass(frozen=True, kw_only=True)
class Layout:
    """
    A coupon's finished face: origin at a corner of the blank, x along its length, y up.

    Parameters
    ----------
    coupon : str
        Name of the coupon.
    length, width : float
        Of the blank. [mm]
    places : tuple of Place
        Its stations.
    other : tuple of Shape
        Strokes that are filled but not read.
    marks : tuple of Shape
        Labels, engraved in the host alone.
    dots : tuple of Dot
        Drilled dots; none on a coupon that was drawn without.
    groove : Shape, optional
        A groove in the host that is filled with glue alone: it shows the glue line's tone.
    """

    coupon: str
    length: float
    width: float
    places: tuple[Place, ...]
    other: tuple[Shape, ...] = ()
    marks: tuple[Shape, ...] = ()
    dots: tuple[Dot, ...] = ()
    groove: Shape | None = None


def write_layout(layout: Layout) -> str:
    """
    Text of a layout, as ``LAYOUT.json`` holds it.

    Parameters
    ----------
    layout : Layout
        What to write.

    Returns
    -------
    text : str
        JSON with lengths in mm to 0.00001.
    """

    def ring(points: Ring) -> list[list[float]]:
        return [[round(x, 5), round(y, 5)] for x, y in points]

    def shape(drawn: Shape) -> dict[str, object]:
        return {"exterior": ring(drawn.exterior), "interiors": [ring(hole) for hole in drawn.interiors]}

    record: dict[str, object] = {
        "coupon": layout.coupon,
        "length": float(layout.length),
        "width": float(layout.width),
        "unit": "mm",
        "stations": [
            {
                "station": place.station,
                "kind": place.kind,
                "grain": place.grain,
                "stroke_width": round(place.stroke_width, 5),
                "land_width": round(place.land_width, 5),
                "polygon": ring(place.polygon),
            }
            for place in layout.places
        ],
        "other": [shape(drawn) for drawn in layout.other],
        "marks": [shape(drawn) for drawn in layout.marks],
        "dots": [{"x": dot.x, "y": dot.y, "diameter": dot.diameter} for dot in layout.dots],
    }
    if layout.groove is not None:
        record["groove"] = shape(layout.groove)
    return json.dumps(record, ensure_ascii=False)


def read_layout(text: str, *, where: str = "LAYOUT.json") -> Layout:
    """
    Read a layout and check it.

    Parameters
    ----------
    text : str
        JSON as `write_layout` gives it; further keys are passed over.
    where : str, optional
        Name of the file, for messages.

    Returns
    -------
    layout : Layout
        The drawing.

    Raises
    ------
    RecordError
        Where it is not JSON, lacks a part, or a part cannot be.
    """
    if len(text) > LONGEST_TEXT:
        raise RecordError("the layout is too long", value=f"{len(text)} letters", where=where, allowed="4 million")
    try:
        found = json.loads(text)
    except (ValueError, RecursionError) as fault:
        allowed = "the LAYOUT.json that the coupon command wrote"
        raise RecordError("the layout cannot be read as JSON", where=where, allowed=allowed) from fault
    return _Reader(where).layout(found)


class _Reader:
    """Takes a layout apart, and says where in it a fault is."""

    def __init__(self, where: str) -> None:
        self.where = where

    def layout(self, found: object) -> Layout:
        if self.text(found, "unit", "the layout", default="mm") != "mm":
            raise self.fault("the unit of a layout must be mm", self.text(found, "unit", "the layout"), "mm")
        length = self.size(found, "length", "the layout")
        width = self.size(found, "width", "the layout")
        places = tuple(self.place(item) for item in self.items(found, "stations"))
        names = [place.station for place in places]
        if not 0 < len(names) <= MOST_STATIONS or len(set(names)) < len(names):
            raise self.fault("the stations", f"{len(names)}", f"1 to {MOST_STATIONS} stations, each name once")
        groove = found.get("groove") if isinstance(found, dict) else None
        return Layout(
            coupon=self.text(found, "coupon", "the layout"),
            length=length,
            width=width,
            places=places,
            other=tuple(self.shape(item, "other") for item in self.items(found, "other")),
            marks=tuple(self.shape(item, "marks") for item in self.items(found, "marks")),
            dots=tuple(
                Dot(**{name: self.size(item, name, "a dot") for name in ("x", "y", "diameter")})
                for item in self.items(found, "dots")
            ),
            groove=None if groove is None else self.shape(groove, "groove"),
        )

    def place(self, item: object) -> Place:
        name = self.text(item, "station", "a station")
        where = f"station {name}"
        place = Place(
            station=name,
            kind=self.text(item, "kind", where),
            grain=self.text(item, "grain", where),
            stroke_width=self.size(item, "stroke_width", where),
            land_width=self.size(item, "land_width", where),
            polygon=self.ring(item.get("polygon") if isinstance(item, dict) else None, where),
        )
        if place.kind not in KINDS:
            raise self.fault(f"the kind of {where}", place.kind, " or ".join(KINDS))
        if place.grain not in GRAINS:
            raise self.fault(f"the grain of {where}", place.grain, " or ".join(GRAINS))
        corners = 4 if place.kind == "bar" else 3
        if len(place.polygon) != corners:
            raise self.fault(
                f"the polygon of {where}", f"{len(place.polygon)} corners", f"{corners} for a {place.kind}"
            )
        return place

    def shape(self, item: object, where: str) -> Shape:
        holes = self.items(item, "interiors")
        exterior = self.ring(item.get("exterior") if isinstance(item, dict) else None, where)
        return Shape(exterior=exterior, interiors=tuple(self.ring(hole, where) for hole in holes))

    def ring(self, points: object, where: str) -> Ring:
        if not isinstance(points, list) or not 3 <= len(points) <= MOST_POINTS:
            raise self.fault(f"an outline of {where}", None, "a list of three or more points [x, y]")
        ring = tuple((self.number(p, 0, where), self.number(p, 1, where)) for p in points)
        return ring[:-1] if ring[0] == ring[-1] and len(ring) > 3 else ring

    def number(self, point: object, axis: int, where: str) -> float:
        value = point[axis] if isinstance(point, list) and len(point) == 2 else None
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            raise self.fault(f"a point of {where}", point, "[x, y] in mm")
        if abs(value) > LONGEST_SIDE:
            raise self.fault(f"a point of {where}", value, f"within {LONGEST_SIDE:g} mm")
        return float(value)

    def size(self, item: object, name: str, where: str) -> float:
        value = item.get(name) if isinstance(item, dict) else None
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value <= LONGEST_SIDE:
            raise self.fault(f"{name} of {where}", value, f"a number above 0, at most {LONGEST_SIDE:g}, in mm")
        return float(value)

    def text(self, item: object, name: str, where: str, default: str | None = None) -> str:
        value = item.get(name, default) if isinstance(item, dict) else None
        if not isinstance(value, str):
            raise self.fault(f"{name} of {where}", value, "text")
        return value

    def items(self, item: object, name: str) -> list[object]:
        value = item.get(name, []) if isinstance(item, dict) else None
        if not isinstance(value, list) or len(value) > MOST_POINTS:
            raise self.fault(f"{name} of the layout", None, "a list")
        return value

    def fault(self, what: str, value: object, allowed: str) -> RecordError:
        return RecordError(
            f"the layout is at fault: {what}", value=shown(str(value)), where=self.where, allowed=allowed
        )
