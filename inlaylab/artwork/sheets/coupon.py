"""
A coupon for test cuts: host and insert drawings and its stations, all from one source.

`design_coupon` chooses stroke widths for a bit and its depths, some of which reach the floor and some do not, and
places them on a stated blank; `write_coupon` writes both drawings at true size and the table of stations.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inlaylab import units
from inlaylab.artwork.sheets import coupon_pieces, drawings
from inlaylab.artwork.sheets.coupon_layout import about_dots, layers_of, layout_of
from inlaylab.artwork.sheets.coupon_widths import STEPS, choose_widths
from inlaylab.bench.coupons import Coupon, Station
from inlaylab.bench.layouts import Layout, write_layout
from inlaylab.errors import DrawingError

if TYPE_CHECKING:
    from shapely import MultiPolygon

    from inlaylab.artwork.sheets.coupon_pieces import Piece

COLUMNS = ("coupon", "station", "kind", "stroke_width", "land_width", "grain", "unit")
MIRRORS = ("y", "x")
_FULLNESS = (  # from rich to lean: bar length [mm], bars along, bars across, narrow lands, ring and corners
    (28.0, 8, 6, 3, True),
    (22.0, 7, 5, 2, True),
    (18.0, 7, 4, 2, True),
    (15.0, 6, 4, 1, True),
    (12.0, 6, 3, 1, True),
    (12.0, 5, 3, 0, True),
    (10.0, 5, 2, 0, False),
    (8.0, 4, 2, 0, False),
)


@dataclass(frozen=True, kw_only=True)
class CouponPlan:
    """
    A coupon, drawn and ready to be written.

    Parameters
    ----------
    coupon : bench.coupons.Coupon
        Its stations.
    length, width : float
        Length and width of the blank, the first along the grain. [mm]
    strokes : shapely.MultiPolygon
        Pocketed in the host; mirrored, the insert's plug.
    marks : shapely.MultiPolygon
        Labels, engraved in the host alone.
    places : dict
        For each station the middle of its stroke, in mm.
    mark_depth : float
        How deep the bit cuts the labels. [mm]
    floor_width : float
        Full width from which a stroke reaches the pocket's floor. [mm]
    notes : tuple of str
        What was left out or should be known, in sentences.
    layout : Layout, optional
        By which a picture of the face can be read; None where the blank has no room for the dots.
    """

    coupon: Coupon
    length: float
    width: float
    strokes: MultiPolygon
    marks: MultiPolygon
    places: dict[str, tuple[float, float]]
    mark_depth: float
    floor_width: float
    notes: tuple[str, ...] = ()
    layout: Layout | None = None


def design_coupon(
    *,
    name: str,
    path_angle: float,
    pocket_depth: float,
    relief_depth: float,
    length: float = 120.0,
    width: float = 80.0,
    border: float = 10.0,
    widths: Sequence[float] | None = None,
    thin_from: float = 0.4,
    thin_to: float = 0.9,
    sanded_off: float = 0.3,
    unit: str = "mm",
    glue_groove: bool = False,
) -> CouponPlan:
    """
    Lay out a coupon on a blank.

    Parameters
    ----------
    name : str
        Name of the coupon.
    path_angle : float
        Included angle that the path is computed for. [degrees]
    pocket_depth, relief_depth : float
        Programmed depths. [mm]
    length, width : float, optional
        Length and width of the blank, the first along the grain. [mm]
    border : float, optional
        Kept free all round for holding the boards. [mm]
    widths : sequence of float, optional
        Full stroke widths instead of those of `choose_widths`. [mm]
    thin_from, thin_to : float, optional
        As in `choose_widths`.
    sanded_off : float, optional
        What will come off the finished face; labels are cut deeper. [mm]
    unit : str, optional
        Unit of the stations' table.
    glue_groove : bool, optional
        Whether the host gets a groove to be filled with glue alone, which shows the glue line's tone in a picture.

    Returns
    -------
    plan : CouponPlan
        As rich as the blank allows.

    Raises
    ------
    DrawingError
        Where not even the leanest coupon fits; it says which blank would do.
    """
    room = _Room(path_angle=path_angle, relief_depth=relief_depth, sanded_off=sanded_off, glue_groove=glue_groove)
    thin: dict[str, Any] = {"thin_from": thin_from, "thin_to": thin_to, "unit": unit}
    for level, fullness in enumerate(_FULLNESS):
        chosen = widths or choose_widths(path_angle=path_angle, pocket_depth=pocket_depth, count=fullness[1], **thin)
        pieces = _pieces(sorted(chosen), fullness, room)
        placed = coupon_pieces.pack(pieces, length - 2 * border, width - 2 * border)
        if placed is not None:
            placed = _centred(placed, length, width)
            floor = 2 * pocket_depth * room.slope
            return _plan(name, placed, length=length, width=width, unit=unit, room=room, floor=floor, level=level)
    raise DrawingError(
        "the blank is too small for a coupon of this bit and these depths",
        value=f"{units.format_length(length, unit)} by {units.format_length(width, unit)}",
        allowed=_smallest(pieces, length, width, border=border, unit=unit),
    )


@dataclass(frozen=True, kw_only=True)
class _Room:
    """What a bit and its depths ask for between strokes, and of labels."""

    path_angle: float
    relief_depth: float
    sanded_off: float
    glue_groove: bool = False

    @property
    def slope(self) -> float:
        return math.tan(math.radians(self.path_angle) / 2)

    @property
    def clear(self) -> float:
        """Land wide enough for flat ground between two strokes. [mm]."""
        return max(2.0, 2.3 * self.relief_depth * self.slope)

    @property
    def size(self) -> float:
        """Size of labels whose strokes are cut a little deeper than the sanding. [mm]."""
        return min(8.0, max(3.6, 2 * self.slope * (self.sanded_off + 0.15) / coupon_pieces.stem(1.0)))

    @property
    def mark_depth(self) -> float:
        return coupon_pieces.stem(self.size) / 2 / self.slope


def _pieces(
    widths: Sequence[float], fullness: tuple[float, int, int, int, bool], room: _Room
) -> list[coupon_pieces.Piece]:
    bar, _, across_count, lands, extras = fullness
    across = [widths[round(n * (len(widths) - 2) / max(1, across_count - 1))] for n in range(across_count)]
    across = list(dict.fromkeys(across))
    look = {"clear_land": room.clear, "label_size": room.size}
    rows = {"along": list(widths), "across": across}
    pieces = []
    for grain, letter in (("along", "A"), ("across", "C")):
        names = [f"{letter}{n}" for n in range(1, len(rows[grain]) + 1)]
        pieces.append(coupon_pieces.bars(rows[grain], names=names, grain=grain, length=bar, **look))
    wide = max(widths[-2], 3.0)
    pieces.append(coupon_pieces.wedge(width=wide, name="W1", length=max(2.6 * bar, 8 * wide), **look))
    third = widths[len(widths) // 2]
    for number, share in enumerate((0.6, 0.35, 0.2)[:lands], start=1):
        land = max(0.4, share * 2 * room.relief_depth * room.slope)
        pieces.append(coupon_pieces.narrow_land(width=third, land=land, name=f"L{number}", length=bar, **look))
    if extras:
        pieces.append(coupon_pieces.ring(width=third, diameter=max(12.0, 5 * third), clear_land=room.clear))
        pieces.append(coupon_pieces.corners(side=14.0, clear_land=room.clear))
    return pieces


def _centred(placed: list[Piece], length: float, width: float) -> list[Piece]:
    """Move packed pieces, as one, to the middle of the blank."""
    import shapely

    left, bottom, right, top = shapely.total_bounds([s for piece in placed for s in (*piece.strokes, *piece.marks)])
    return [piece.moved((length - left - right) / 2, (width - bottom - top) / 2) for piece in placed]


def _plan(
    name: str, placed: list[Piece], *, length: float, width: float, unit: str, room: _Room, floor: float, level: int
) -> CouponPlan:
    import shapely

    strokes = [stroke for piece in placed for stroke in piece.strokes]
    places = [place for piece in placed for place in piece.places]
    step = STEPS[unit]
    stations = []
    for place in places:
        beside = min(place.stroke.distance(other) for other in strokes if not other.equals(place.stroke))
        stations.append(
            Station(
                coupon=name,
                station=place.station,
                kind=place.kind,
                stroke_width=place.stroke_width,
                land_width=round(max(step, math.floor(beside / step + 1e-6) * step), 9),
                grain=place.grain,
                unit=unit,
            )
        )
    notes = []
    if level > 2:
        notes.append("The blank holds a leaner coupon than a larger one would: fewer or shorter bars.")
    if room.mark_depth < room.sanded_off + 0.1:
        shown = units.format_length(room.mark_depth, unit)
        notes.append(f"This bit cuts the labels only {shown} deep: sanding may take them; pencil them on the edge too.")
    labels = [part for piece in placed for mark in piece.marks for part in mark.geoms]
    layout = layout_of(
        name,
        stations,
        strokes,
        read={p.station: p.stroke for p in places},
        marks=labels,
        length=length,
        width=width,
        groove=room.glue_groove,
    )
    notes.append(about_dots(layout, slope=room.slope, unit=unit))
    return CouponPlan(
        coupon=Coupon(coupon=name, stations=tuple(stations), layout=write_layout(layout) if layout else ""),
        length=length,
        width=width,
        strokes=shapely.multipolygons(strokes),
        marks=shapely.multipolygons(labels),
        places={p.station: (p.stroke.centroid.x, p.stroke.centroid.y) for p in places},
        mark_depth=room.mark_depth,
        floor_width=floor,
        notes=tuple(notes),
        layout=layout,
    )


def _smallest(pieces: list[Piece], length: float, width: float, *, border: float, unit: str) -> str:
    """Say which blank of the same shape, or a larger one, the leanest coupon would fit."""
    for more in range(1, 200):
        grown = length + 5.0 * more, width + 5.0 * more
        if coupon_pieces.pack(pieces, grown[0] - 2 * border, grown[1] - 2 * border) is not None:
            return (
                f"{units.format_length(grown[0], unit)} by {units.format_length(grown[1], unit)}, or shallower depths"
            )
    return "shallower depths or narrower strokes"


def host_sheet(plan: CouponPlan) -> drawings.Sheet:
    """
    Drawing of the host: strokes to pocket, labels to engrave, blank and check line.

    Parameters
    ----------
    plan : CouponPlan
        The coupon.

    Returns
    -------
    sheet : drawings.Sheet
    """
    marks = drawings.Layer(name="engrave", polygons=plan.marks, color="#0072B2")
    return _sheet(plan, "host", plan.strokes, (marks, *layers_of(plan.layout)))


def insert_sheet(plan: CouponPlan, *, mirror: str = "y") -> drawings.Sheet:
    """
    Drawing of the insert: the same strokes mirrored, to be left standing.

    Parameters
    ----------
    plan : CouponPlan
        The coupon.
    mirror : {"y", "x"}, optional
        Which way the mirror line runs: along y the insert is turned over sideways.

    Returns
    -------
    sheet : drawings.Sheet

    Raises
    ------
    DrawingError
        For another mirror line.
    """
    from shapely.affinity import affine_transform

    if mirror not in MIRRORS:
        raise DrawingError("no such mirror line", value=mirror, allowed=", ".join(MIRRORS))
    turn = (-1, 0, 0, 1, plan.length, 0) if mirror == "y" else (1, 0, 0, -1, 0, plan.width)
    return _sheet(plan, f"insert, mirrored about {mirror}", affine_transform(plan.strokes, turn), ())


def _sheet(plan: CouponPlan, board: str, strokes: MultiPolygon, more: tuple[drawings.Layer, ...]) -> drawings.Sheet:
    corners = ((0.0, 0.0), (plan.length, 0.0), (plan.length, plan.width), (0.0, plan.width), (0.0, 0.0))
    title = f"coupon {plan.coupon.coupon}: {board}"
    start, top = (plan.length - drawings.CHECK_LENGTH) / 2, plan.width - 4.5
    notes = (2.0, top, 2.5, f"{title}; grain runs along x"), (2.0, top - 3.5, 2.0, drawings.COLORS)
    return drawings.Sheet(
        width=plan.length,
        height=plan.width,
        title=title,
        layers=(
            drawings.Layer(name="blank", lines=(corners,), color="#5f5f5f"),
            drawings.Layer(name="strokes", polygons=strokes),
            *more,
            drawings.check_line(start, 3.0),
        ),
        texts=(*notes, (start + 52.0, 2.0, 2.5, "50 mm")),
    )


def write_coupon(
    plan: CouponPlan, folder: str | Path, *, mirror: str = "y", kinds: Sequence[str] = ("svg", "dxf", "pdf")
) -> tuple[Path, ...]:
    """
    Write both drawings and the table of stations, all of them or none.

    Parameters
    ----------
    plan : CouponPlan
        The coupon.
    folder : path
        Made where it is not there; no file in it is written over.
    mirror : {"y", "x"}, optional
        As in `insert_sheet`.
    kinds : sequence of str, optional
        Endings of the drawings.

    Returns
    -------
    files : tuple of Path
        ``host.*``, ``insert.*``, ``coupons.csv`` and ``LAYOUT.json``.

    Raises
    ------
    DrawingError
        Where a file is there already or cannot be written; nothing new is left behind.
    """
    sheets = {"host": host_sheet(plan), "insert": insert_sheet(plan, mirror=mirror)}
    contents: dict[str, drawings.Sheet | str] = {
        f"{board}.{kind}": sheet for board, sheet in sheets.items() for kind in kinds
    }
    contents["coupons.csv"] = _table(plan)
    if plan.layout is not None:
        contents["LAYOUT.json"] = write_layout(plan.layout)
    return drawings.write_together(folder, contents)


def _table(plan: CouponPlan) -> str:
    file = io.StringIO()
    rows = csv.writer(file, lineterminator="\n")
    rows.writerow(COLUMNS)
    for station in plan.coupon.stations:
        lengths = {name: units.number_text(getattr(station, name), station.unit) for name in COLUMNS[3:5]}
        rows.writerow([lengths.get(name, getattr(station, name)) for name in COLUMNS])
    return file.getvalue()
