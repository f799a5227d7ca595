"""
Drawings in: SVG, DXF, WKT or a bitmap, as clean polygons in millimetres.

Nothing outside of the file itself is ever read, and its size is bounded before work starts. What could be put right
is put right and told in ``Artwork.mended``; what has no clear meaning is refused with its place.
"""

from __future__ import annotations

import stat
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.artwork.polygons import Artwork, clean
from inlaylab.errors import DrawingError, InputError

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

__all__ = ["BITMAPS", "SUFFIXES", "TOLERANCE", "Artwork", "read_artwork"]

TOLERANCE = 0.005
"""How far a flattened curve may stray from the drawn one [mm]."""
MOST_BYTES = {"vector": 20_000_000, "bitmap": 60_000_000}
_DEEPEST_WKT = 8
_KINDS = {
    **dict.fromkeys((".svg",), "SVG"),
    **dict.fromkeys((".dxf",), "DXF"),
    **dict.fromkeys((".wkt", ".txt"), "WKT"),
    **dict.fromkeys((".png", ".jpg", ".jpeg", ".bmp", ".gif", ".tif", ".tiff", ".webp", ".pgm", ".pbm"), "bitmap"),
}
SUFFIXES = tuple(_KINDS)
"""Endings of the files that can be read."""
BITMAPS = tuple(ending for ending, kind in _KINDS.items() if kind == "bitmap")
"""Those of pictures, which have no size of their own."""


def read_artwork(
    path: str | Path,
    *,
    tolerance: float = TOLERANCE,
    width: float | None = None,
    unit: str | None = None,
    threshold: float = 0.5,
    smoothing: float = 1.0,
) -> Artwork:
    """
    Read a drawing.

    Parameters
    ----------
    path : path
        An ``.svg``, ``.dxf``, ``.wkt`` or picture file.
    tolerance : float
        How far a flattened curve may stray from the drawn one. [mm]
    width : float, optional
        Width of the whole picture; needed for a bitmap, and for an SVG that states no size. [mm]
    unit : str, optional
        Unit of a DXF that states none: ``mm``, ``cm``, ``m``, ``in`` or ``ft``.
    threshold, smoothing : float
        For a bitmap: darkness (0 to 1) from which on it is to be filled, and the blur before. [share, pixels]

    Returns
    -------
    artwork : Artwork
        Clean polygons, x to the right and y up as the drawing is seen, with what was mended.

    Raises
    ------
    DrawingError
        One sentence: what cannot be used, and where.

    Notes
    -----
    An SVG's y axis points down; it is turned so that the host is seen as drawn: y = height of the sheet - y.
    """
    path = Path(path)
    kind = _KINDS.get(path.suffix.lower())
    if kind is None:
        raise DrawingError("this kind of drawing is not known", value=path.suffix or path.name, allowed=_allowed())
    _check(tolerance, 1e-4, 1.0, "tolerance", "mm")
    if width is not None:
        _check(width, 0.1, 5000.0, "width", "mm")
    content = _content(path, MOST_BYTES["bitmap" if kind == "bitmap" else "vector"])
    try:
        read = _reader(kind, tolerance, width, unit, threshold, smoothing)
        with np.errstate(all="ignore"):  # what is no number is refused in words
            shape, mended = read(content)
            return Artwork(polygons=clean(shape), mended=tuple(dict.fromkeys(mended)), source=path.name)
    except InputError as fault:
        raise DrawingError(
            fault.what, value=fault.value, where=fault.where or path.name, allowed=fault.allowed
        ) from fault
    except (MemoryError, RecursionError, OverflowError) as fault:
        raise DrawingError("the drawing is too involved to be read", where=path.name) from fault


def _reader(
    kind: str, tolerance: float, width: float | None, unit: str | None, threshold: float, smoothing: float
) -> Callable[[bytes], tuple[BaseGeometry, list[str]]]:
    if unit is not None and kind != "DXF":
        raise DrawingError("only a DXF without a unit of its own takes one", value=unit, allowed="no stated unit")
    if kind == "bitmap":
        from inlaylab.artwork.reading.bitmaps import read_bitmap

        if width is None:
            raise DrawingError("a bitmap has no size of its own", allowed="a stated width of the whole picture")
        return lambda content: read_bitmap(
            content, width=width, tolerance=tolerance, threshold=threshold, smoothing=smoothing
        )
    if kind == "SVG":
        from inlaylab.artwork.reading.svg import read_svg

        return lambda content: read_svg(content, tolerance=tolerance, width=width)
    if width is not None:
        raise DrawingError(f"a {kind} drawing has its own size", value=width, allowed="no stated width")
    if kind == "DXF":
        from inlaylab.artwork.reading.dxf import read_dxf

        return lambda content: read_dxf(content, tolerance=tolerance, unit=unit)
    return read_wkt


def read_wkt(content: bytes) -> tuple[BaseGeometry, list[str]]:
    """
    Read well-known text, in millimetres: one geometry, or one on each line.

    Parameters
    ----------
    content : bytes
        Polygons, or closed lines.

    Returns
    -------
    shape : shapely geometry
        Polygons as they stand, unmended. [mm]
    mended : list of str
        What is to be told.

    Examples
    --------
    >>> shape, mended = read_wkt(b"LINESTRING (0 0, 3 0, 3 2, 0 0)")
    >>> print(shape.area, mended)
    3.0 ['1 closed line was taken as an outline']
    """
    import shapely

    text = _text(content)
    level = deepest = 0
    for letter in text:
        level += (letter == "(") - (letter == ")")
        deepest = max(deepest, level)
    if deepest > _DEEPEST_WKT:
        raise DrawingError("the text nests too deep", value=deepest, allowed=f"up to {_DEEPEST_WKT} brackets")
    try:
        found = [shapely.from_wkt(text)]
    except (shapely.GEOSException, NotImplementedError):
        lines = [line for line in text.splitlines() if line.strip()]
        found = [_one_wkt(line, number) for number, line in enumerate(lines, start=1)]
    parts = shapely.get_parts(shapely.get_parts(shapely.force_2d(found)))
    parts = [part for part in parts if not part.is_empty]
    if not np.isfinite(shapely.get_coordinates(parts)).all():
        raise DrawingError("a coordinate is not a number", allowed="finite millimetres")
    if not parts:
        raise DrawingError("the text holds no polygon", allowed="POLYGON or MULTIPOLYGON, in mm")
    return _polygons_of(parts)


def _polygons_of(parts: list[BaseGeometry]) -> tuple[BaseGeometry, list[str]]:
    import shapely

    mended, closed = [], 0
    polygons = []
    for part in parts:
        if part.geom_type == "Polygon":
            polygons.append(part)
        elif part.geom_type in ("LineString", "LinearRing") and part.is_closed and len(part.coords) > 3:
            polygons.append(shapely.Polygon(part))
            closed += 1
        else:
            x, y = part.coords[0] if hasattr(part, "coords") else part.centroid.coords[0]
            raise DrawingError(
                f"a {part.geom_type} encloses no area", where=f"x {x:g}, y {y:g}", allowed="closed outlines"
            )
    if closed:
        mended.append(f"{closed} closed line{'s were' if closed > 1 else ' was'} taken as an outline")
    crossed = [p for p in polygons if not shapely.is_valid(p)]
    for polygon in crossed[:5]:
        reason = shapely.is_valid_reason(polygon).replace("[", " at ").replace("]", "")
        mended.append(f"an outline was fixed: {reason}")
    whole = shapely.make_valid(shapely.multipolygons(polygons), method="structure", keep_collapsed=False)
    alone = sum(shapely.make_valid(p, method="structure", keep_collapsed=False).area for p in polygons)
    if alone - whole.area > 1e-6 * max(whole.area, 1e-9):
        mended.append("polygons that lay on each other were joined")
    return whole, mended


def _one_wkt(line: str, number: int) -> BaseGeometry:
    import shapely

    try:
        return shapely.from_wkt(line)
    except NotImplementedError as fault:
        raise DrawingError("curved well-known text is not read", where=f"line {number}", allowed="POLYGON") from fault
    except shapely.GEOSException as fault:
        raise DrawingError("this is not well-known text", value=line.strip(), where=f"line {number}") from fault


def _text(content: bytes) -> str:
    try:
        return content.decode("utf-8-sig").strip()
    except UnicodeDecodeError as fault:
        raise DrawingError("the file is not text", allowed="UTF-8") from fault


def _content(path: Path, most: int) -> bytes:
    """Bytes of a plain file of bounded size."""
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            raise DrawingError("this is not a file", value=str(path))
        if found.st_size > most:
            raise DrawingError(
                "the file is too large",
                value=f"{found.st_size / 1e6:.1f} MB",
                where=path.name,
                allowed=f"up to {most / 1e6:.0f} MB",
            )
        with path.open("rb") as file:
            content = file.read(most + 1)
    except (OSError, ValueError) as fault:
        if isinstance(fault, DrawingError):
            raise
        reason = getattr(fault, "strerror", None) or "no such path"
        raise DrawingError("the drawing cannot be opened", value=str(path), where=reason) from fault
    if not content:
        raise DrawingError("the file is empty", value=path.name)
    return content


def _check(value: float, low: float, high: float, name: str, unit: str) -> None:
    if not low <= value <= high:
        raise DrawingError(f"the {name} is out of range", value=value, allowed=f"{low:g} to {high:g} {unit}")


def _allowed() -> str:
    return ", ".join(dict.fromkeys(_KINDS))
