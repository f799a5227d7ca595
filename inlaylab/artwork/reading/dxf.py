"""DXF in: closed outlines of the model space, in the file's own unit."""

from __future__ import annotations

import io
from collections import Counter
from typing import TYPE_CHECKING, Any

import numpy as np

from inlaylab.artwork.polygons import MOST_CORNERS
from inlaylab.artwork.reading.fills import chained, nested
from inlaylab.artwork.sheets.drawings import NOT_TO_BE_CUT
from inlaylab.errors import DrawingError

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities import DXFEntity
    from ezdxf.layouts import BaseLayout, BlockLayout
    from shapely.geometry.base import BaseGeometry

UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
CLOSED_WITHIN = 0.05
"""Gap between two line ends that is taken as drawn closed [mm]."""
_OUTLINES = {"LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE"}
_AREAS = {"HATCH", "MPOLYGON", "SOLID", "TRACE", "3DFACE"}
_MOST_ENTITIES = 200_000


def read_dxf(content: bytes, *, tolerance: float, unit: str | None = None) -> tuple[BaseGeometry, list[str]]:
    """
    Read the closed outlines of a DXF.

    Parameters
    ----------
    content : bytes
        The file.
    tolerance : float
        How far a flattened curve may stray. [mm]
    unit : str, optional
        One of `UNITS`, for a file that states none.

    Returns
    -------
    shape : shapely geometry
        Outlines filled, with holes by nesting. [mm]
    mended : list of str
        What was left out or put right.
    """
    import shapely

    document = _opened(content)
    scale, mended = _scale(document, unit)
    told: Counter[str] = Counter()
    rings: list[BaseGeometry] = []
    open_lines: list[np.ndarray] = []
    corners = 0
    for entity in _entities(document, told):
        for line, closed in _lines(entity, tolerance / scale, told):
            line = line * scale
            corners += len(line)
            if corners > MOST_CORNERS:
                raise DrawingError("the drawing has too many corners", allowed=f"up to {MOST_CORNERS}")
            if not np.isfinite(line).all():
                raise DrawingError("a coordinate of the DXF is not a number", value=entity.dxf.get("handle"))
            if not closed and len(line) > 3 and np.hypot(*(line[0] - line[-1])) < 1e-9:
                line, closed = line[:-1], True
            if closed and len(line) > 2:
                rings.append(shapely.Polygon(line))
            elif not closed and len(line) > 1:
                open_lines.append(line)
    joined, notes = chained(_once(open_lines, told), gap=CLOSED_WITHIN)
    rings += [shapely.Polygon(ring) for ring in joined if len(ring) > 2]
    sound = _sound(rings, told)
    mended += notes + [f"{number} x {what}" for what, number in told.items()]
    if not sound:
        left_out = ("; left out: " + ", ".join(told)) if told else ""
        raise DrawingError(f"the DXF holds no closed outline{left_out}", allowed="closed lines in the model space")
    shape, notes = nested(sound)
    return shape, mended + notes


def _opened(content: bytes) -> Drawing:
    from ezdxf import DXFError, recover

    if content[:4] == b"AC10" or content[:22] == b"AutoCAD Binary DXF\r\n\x1a\x00":
        raise DrawingError("this is a binary drawing", allowed="DXF as text")
    if b"SECTION" not in content[:200_000]:
        raise DrawingError("this is not a DXF", allowed="DXF as text")
    try:
        document, _ = recover.read(io.BytesIO(content))
    except (DXFError, OSError, ValueError, TypeError, KeyError, IndexError, AttributeError, EOFError) as fault:
        raise DrawingError("the DXF cannot be read", value=str(fault)) from fault
    return document


def _scale(document: Drawing, unit: str | None) -> tuple[float, list[str]]:
    from ezdxf import units

    if unit is not None and unit not in UNITS:
        raise DrawingError("the unit of the DXF is not known", value=unit, allowed=", ".join(UNITS))
    stated = _whole_number(document.header.get("$INSUNITS", 0) or 0)
    if stated == 0:
        if unit is None:
            raise DrawingError("the DXF states no unit", allowed=f"a stated unit: {', '.join(UNITS)}")
        return UNITS[unit], [f"the DXF states no unit; {unit} was taken, as stated"]
    try:
        scale = float(units.conversion_factor(units.InsertUnits(stated), units.InsertUnits.Millimeters))
    except (ValueError, TypeError, KeyError, IndexError) as fault:
        raise DrawingError("the DXF's unit is not known", value=stated, allowed="mm, inch or another length") from fault
    if not (np.isfinite(scale) and scale > 0):
        raise DrawingError("the DXF's unit is not a length", value=stated)
    if unit is not None and abs(scale - UNITS[unit]) > 1e-9:
        raise DrawingError("the DXF states another unit", value=unit, allowed=units.unit_name(stated))
    return scale, []


def _whole_number(stated: Any) -> int:
    try:
        return int(stated)
    except (ValueError, TypeError, OverflowError) as fault:
        raise DrawingError("the DXF's unit is not a whole number", value=str(stated)) from fault


def _entities(document: Drawing, told: Counter[str]) -> list[DXFEntity]:
    """List what is drawn in the model space, with blocks written out."""
    from ezdxf.disassemble import recursive_decompose

    space = document.modelspace()
    if _size(document, space, {}, ()) > _MOST_ENTITIES:
        raise DrawingError("the DXF repeats its blocks too often", allowed=f"up to {_MOST_ENTITIES} entities")
    hidden = {layer.dxf.name.lower() for layer in document.layers if layer.is_off() or layer.is_frozen()}
    found = []
    try:
        for entity in recursive_decompose(space):
            layer = entity.dxf.get("layer", "0").lower()
            if layer in NOT_TO_BE_CUT:
                told[f"{layer}: left out, as not to be cut"] += 1
            elif layer in hidden or entity.dxf.get("invisible", 0):
                told["hidden entity: left out"] += 1
            else:
                found.append(entity)
    except (ValueError, TypeError, KeyError, IndexError, AttributeError, ZeroDivisionError) as fault:
        raise DrawingError("a block of the DXF cannot be written out", value=str(fault)) from fault
    return found


def _size(document: Drawing, layout: BaseLayout | BlockLayout, known: dict[str, int], above: tuple[str, ...]) -> int:
    """How many entities a layout becomes when every block it inserts is written out."""
    total = 0
    for entity in layout:
        total += 1
        if entity.dxftype() != "INSERT":
            continue
        name = entity.dxf.get("name", "")
        if name in above or len(above) > 40:
            raise DrawingError("a block of the DXF inserts itself", value=name)
        block = document.blocks.get(name)
        if block is None:
            continue
        if name not in known:
            known[name] = _size(document, block, known, (*above, name))
        total += known[name] * max(1, entity.dxf.get("row_count", 1)) * max(1, entity.dxf.get("column_count", 1))
    return total


def _lines(entity: DXFEntity, step: float, told: Counter[str]) -> list[tuple[np.ndarray, bool]]:
    """Corners of an entity's outlines and whether each is closed; in the file's unit."""
    from ezdxf import path as paths
    from ezdxf.entities.polygon import DXFPolygon

    kind = entity.dxftype()
    if kind not in _OUTLINES | _AREAS:
        outside = kind in ("INSERT", "IMAGE", "PDFUNDERLAY", "DWFUNDERLAY", "DGNUNDERLAY", "OLE2FRAME")
        told[f"{kind}{' (outside file)' if outside else ''}: left out"] += 1
        return []
    try:
        drawn = list(paths.from_hatch(entity)) if isinstance(entity, DXFPolygon) else [paths.make_path(entity)]
        lines = []
        for each in drawn:
            for one in each.sub_paths() if each.has_sub_paths else [each]:
                corners = np.array([(p.x, p.y) for p in one.flattening(step, segments=4)], dtype=float).reshape(-1, 2)
                if len(corners) < 2:
                    continue
                ends_meet = np.hypot(*(corners[0] - corners[-1])) < 1e-9
                closed = ends_meet or one.is_closed or kind in _AREAS
                lines.append((corners[:-1] if ends_meet and len(corners) > 2 else corners, closed))
    except (ValueError, TypeError, KeyError, IndexError, AttributeError, ZeroDivisionError, ArithmeticError) as fault:
        handle = entity.dxf.get("handle", "?")
        raise DrawingError(f"a {kind} of the DXF cannot be read", value=str(fault), where=f"handle {handle}") from fault
    return lines


def _once(lines: list[np.ndarray], told: Counter[str]) -> list[np.ndarray]:
    """Open lines without those drawn twice and those of no length."""
    seen: dict[bytes, np.ndarray] = {}
    for line in lines:
        rounded = np.round(line, 4) + 0.0
        if (rounded == rounded[0]).all():
            told["line of no length: left out"] += 1
            continue
        key = min(rounded.tobytes(), np.ascontiguousarray(rounded[::-1]).tobytes())
        if key in seen:
            told["line drawn twice: taken once"] += 1
        seen.setdefault(key, line)
    return list(seen.values())


def _sound(rings: list[BaseGeometry], told: Counter[str]) -> list[BaseGeometry]:
    """Rings with self-crossings mended and rings without area left out."""
    import shapely

    sound = []
    for ring in rings:
        if not shapely.is_valid(ring):
            told["outline that crossed itself: mended"] += 1
            ring = shapely.make_valid(ring, method="structure", keep_collapsed=False)
        parts = shapely.get_parts(shapely.get_parts(ring))
        sound += [part for part in parts if part.geom_type == "Polygon" and part.area > 1e-9]
    return sound
