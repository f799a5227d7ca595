"""SVG in: the painted area, by the open standard's own rules for size, transforms, fills and strokes."""

from __future__ import annotations

import io
from collections import Counter
from typing import TYPE_CHECKING
from xml.etree.ElementTree import tostring

import numpy as np

from inlaylab.artwork.polygons import MOST_CORNERS
from inlaylab.artwork.reading.fills import filled_by_rule
from inlaylab.artwork.reading.svg_tree import MM_PER_PX, parsed, put_in_order, sized
from inlaylab.errors import DrawingError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from shapely.geometry.base import BaseGeometry
    from svgelements import Color, Path, Shape


def read_svg(content: bytes, *, tolerance: float, width: float | None = None) -> tuple[BaseGeometry, list[str]]:
    """
    Read what an SVG paints.

    Parameters
    ----------
    content : bytes
        The file.
    tolerance : float
        How far a flattened curve may stray. [mm]
    width : float, optional
        Width of the sheet, where the file states none; it overrules the file's. [mm]

    Returns
    -------
    shape : shapely geometry
        Everything painted, later white on earlier colour taken away; y up. [mm]
    mended : list of str
        What was left out or taken in a certain way.
    """
    import shapely
    from svgelements import SVG, Shape

    root = parsed(content)
    told: Counter[str] = Counter()
    put_in_order(root, told)
    height, mended = sized(root, width)
    try:
        drawing = SVG.parse(io.StringIO(tostring(root, encoding="unicode")), reify=False, ppi=96)
        elements = [element for element in drawing.elements() if isinstance(element, Shape)]
    except (ValueError, TypeError, KeyError, IndexError, AttributeError, ZeroDivisionError) as fault:
        raise DrawingError("the SVG cannot be understood", value=str(fault)) from fault
    layers: list[tuple[bool, list[BaseGeometry]]] = []
    corners = 0
    for element in elements:
        for white, shape in _painted(element, tolerance, told):
            corners += shapely.get_num_coordinates(shape)
            if corners > MOST_CORNERS:
                raise DrawingError("the drawing has too many corners", allowed=f"up to {MOST_CORNERS}")
            if not layers or layers[-1][0] != white:
                layers.append((white, []))
            layers[-1][1].append(shape)
    area: BaseGeometry = shapely.MultiPolygon()
    for white, shapes in layers:
        layer = shapely.union_all(shapes)
        area = area.difference(layer) if white else area.union(layer)
    if any(white for white, _ in layers):
        told["white shapes (taken as host wood)"] = sum(len(shapes) for white, shapes in layers if white)
    mended += [f"{number} x {what}" for what, number in told.items()]
    if area.is_empty:
        left_out = ("; left out: " + ", ".join(told)) if told else ""
        raise DrawingError(f"the SVG paints no area{left_out}", allowed="filled or stroked outlines")
    flipped = shapely.transform(area, lambda xy: xy * [MM_PER_PX, -MM_PER_PX] + [0.0, height])
    return flipped, mended


def _painted(element: Shape, tolerance: float, told: Counter[str]) -> list[tuple[bool, BaseGeometry]]:
    """Fill and stroke of one element in px: whether white, and the area."""
    from svgelements import Path

    values = element.values
    if values.get("visibility") in ("hidden", "collapse") or _share(values.get("opacity")) == 0:
        told["hidden shape: left out"] += 1
        return []
    path = Path(element)
    matrix = np.array([[path.transform.a, path.transform.c], [path.transform.b, path.transform.d]])
    shift = np.array([path.transform.e, path.transform.f])
    stretch = float(np.linalg.norm(matrix, 2))
    if not np.isfinite(matrix).all() or not np.isfinite(shift).all() or not stretch > 0:
        raise DrawingError("a transform of the SVG is not a number", value=element.id)
    step = tolerance / MM_PER_PX / stretch
    lines = _flattened(path, step)
    areas: list[tuple[bool, BaseGeometry]] = []
    if _is_paint(values.get("fill"), element.fill, default=True) and _share(values.get("fill-opacity")) > 0:
        rule = str(values.get("fill-rule", "nonzero")).strip() == "evenodd"
        areas.append((_is_white(element.fill), filled_by_rule([line for line, _ in lines], even_odd=rule)))
    width = float(element.stroke_width or 0)
    stroked = (
        _is_paint(values.get("stroke"), element.stroke, default=False) and _share(values.get("stroke-opacity")) > 0
    )
    if stroked and width > 0:
        areas.append((_is_white(element.stroke), _stroked(lines, width, values, step)))
    return [(white, _moved(shape, matrix, shift)) for white, shape in areas if not shape.is_empty]


def _moved(shape: BaseGeometry, matrix: np.ndarray, shift: np.ndarray) -> BaseGeometry:
    import shapely

    moved = shapely.transform(shape, lambda xy: xy @ matrix.T + shift)
    if not np.abs(moved.bounds).max() < 1e8:
        raise DrawingError("the SVG reaches too far from its sheet")
    return shapely.make_valid(moved)


def _stroked(
    lines: list[tuple[np.ndarray, bool]], width: float, values: Mapping[str, object], step: float
) -> BaseGeometry:
    import shapely

    caps = {"butt": "flat", "round": "round", "square": "square"}
    joins = {"miter": "mitre", "round": "round", "bevel": "bevel"}
    turn = np.arccos(max(-1.0, 1 - step / max(width / 2, step)))
    style = {
        "cap_style": caps.get(str(values.get("stroke-linecap", "butt")), "flat"),
        "join_style": joins.get(str(values.get("stroke-linejoin", "miter")), "mitre"),
        "mitre_limit": float(_number(values.get("stroke-miterlimit"), 4.0)),
        "quad_segs": int(np.clip(np.ceil(np.pi / 4 / max(turn, 1e-3)), 4, 64)),
    }
    drawn = []
    for line, closed in lines:
        line = line[np.concatenate([[True], (np.diff(line, axis=0) != 0).any(axis=1)])]
        if len(line) > 2 and closed:
            drawn.append(shapely.LinearRing(line).buffer(width / 2, **style))
        elif len(line) > 1:
            drawn.append(shapely.LineString(line).buffer(width / 2, **style))
    return shapely.union_all(drawn)


def _flattened(path: Path, step: float) -> list[tuple[np.ndarray, bool]]:
    """Subpaths as corners in the path's own coordinates, and whether each is closed."""
    from svgelements import Arc, Close, CubicBezier, Move, QuadraticBezier

    lines: list[tuple[list[np.ndarray], bool]] = []
    total = 0
    for segment in path.segments(transformed=False):
        if isinstance(segment, Move):
            lines.append(([np.array([[segment.end.x, segment.end.y]], dtype=float)], False))
            continue
        if not lines:
            continue
        if isinstance(segment, Close):
            lines[-1] = (lines[-1][0], True)
            continue
        cuts = 1
        if isinstance(segment, (CubicBezier, QuadraticBezier)):
            names = ("start", "control1", "control2", "end") if isinstance(segment, CubicBezier) else (
                "start", "control", "end")  # fmt: skip
            nodes = np.array([[getattr(segment, name).x, getattr(segment, name).y] for name in names])
            bend = np.hypot(*np.diff(nodes, n=2, axis=0).T).max()
            order = len(nodes) - 1
            cuts = np.ceil(np.sqrt(order * (order - 1) * bend / (8 * step)))
        elif isinstance(segment, Arc):
            radius = max(abs(segment.rx), abs(segment.ry), 1e-12)
            cuts = np.ceil(abs(segment.sweep) / (2 * np.arccos(np.clip(1 - step / radius, -1, 0.9999999))))
        if not np.isfinite(cuts) or total + cuts > MOST_CORNERS:
            raise DrawingError("the drawing has too many corners", allowed=f"up to {MOST_CORNERS}")
        total += int(max(cuts, 1))
        share = np.arange(1, int(max(cuts, 1)) + 1) / max(cuts, 1)
        lines[-1][0].append(np.asarray(segment.npoint(share), dtype=float).reshape(-1, 2))
    flat = [(np.concatenate(pieces), closed) for pieces, closed in lines]
    if not all(np.isfinite(line).all() for line, _ in flat):
        raise DrawingError("a coordinate of the SVG is not a number")
    return [
        (line[:-1] if closed and (line[0] == line[-1]).all() and len(line) > 1 else line, closed)
        for line, closed in flat
    ]


def _is_paint(text: object, color: Color | None, *, default: bool) -> bool:
    """Whether a paint puts anything down; the fill's default is black, the stroke's none."""
    if text is not None and str(text).strip().startswith("url("):
        return True
    if text is None and default:
        return True
    return color is not None and color.value is not None and color.alpha != 0


def _is_white(color: Color | None) -> bool:
    if color is None or color.value is None:
        return False
    return min(color.red, color.green, color.blue) >= 250


def _share(text: object) -> float:
    value = _number(text, 1.0)
    return value / 100 if isinstance(text, str) and text.strip().endswith("%") else value


def _number(text: object, default: float) -> float:
    try:
        return float(str(text).strip().rstrip("%")) if text is not None else default
    except ValueError:
        return default
