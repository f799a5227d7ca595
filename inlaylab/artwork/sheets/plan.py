"""
Drawings of a planned inlay at true size: the pocket for the host, the mirrored plug for the insert, the depths.

Never machine code: outlines and numbers to carry to the machine's own program.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.artwork.axis.medial_axis import SAGITTA
from inlaylab.artwork.polygons import Artwork, as_polygons
from inlaylab.artwork.sheets.drawings import CHECK_LENGTH, COLORS, Layer, Sheet, check_line, write_together
from inlaylab.errors import DrawingError
from inlaylab.units import in_both

if TYPE_CHECKING:
    from shapely import MultiPolygon
    from shapely.geometry.base import BaseGeometry

MIRRORS = ("y", "x")
_FOOT = 12.0  # [mm] below the border, for the check line


def pocket_sheet(artwork: Artwork | BaseGeometry, *, border: float = 10.0, title: str = "pocket") -> Sheet:
    """
    Draw the pocket's outline for the host.

    Parameters
    ----------
    artwork : Artwork or shapely polygon
        The drawing. [mm]
    border : float
        Wood kept around the artwork's bounds. [mm]
    title : str
        Written on the sheet.

    Returns
    -------
    sheet : drawings.Sheet
        Layers ``pocket``, ``blank`` and ``check_line``.
    """
    return _sheet("pocket", as_polygons(artwork), border, title)


def plug_outline(
    artwork: Artwork | BaseGeometry, *, outline_offset: float = 0.0, rotation: float = 0.0, mirror: str = "y"
) -> MultiPolygon:
    """
    Mirror an artwork into its plug's outline.

    Parameters
    ----------
    artwork : Artwork or shapely polygon
        The drawing. [mm]
    outline_offset : float
        How much the outline is grown per side. [mm]
    rotation : float
        By which the artwork is turned on the insert, counter-clockwise as seen on the host. [degrees]
    mirror : {"y", "x"}
        Which way the mirror line runs: along y the insert is turned over sideways.

    Returns
    -------
    outline : shapely.MultiPolygon
        Around the artwork's own middle. [mm]

    Notes
    -----
    Mirrored about y after the turn: (x, y) -> (-x, y). The pocket stays as drawn; turned back by the same angle when
    it goes in, the plug matches it.
    """
    import shapely
    from shapely.affinity import rotate, scale

    if mirror not in MIRRORS:
        raise DrawingError("no such mirror line", value=mirror, allowed=", ".join(MIRRORS))
    polygons = as_polygons(artwork)
    left, bottom, right, top = polygons.bounds
    middle = ((left + right) / 2, (bottom + top) / 2)
    if outline_offset:
        radius = abs(outline_offset)
        segments = int(np.ceil(np.pi / 4 / np.arccos(max(0.0, 1 - SAGITTA / radius)))) if radius > SAGITTA else 2
        polygons = polygons.buffer(outline_offset, quad_segs=max(segments, 2))
        if polygons.is_empty:
            raise DrawingError("the outline offset leaves nothing of the artwork", value=in_both(outline_offset))
    turned = rotate(polygons, rotation, origin=middle) if rotation else polygons
    x, y = (-1.0, 1.0) if mirror == "y" else (1.0, -1.0)
    mirrored = scale(turned, xfact=x, yfact=y, origin=middle)
    return shapely.multipolygons(shapely.get_parts(shapely.orient_polygons(mirrored)))


def plug_sheet(
    artwork: Artwork | BaseGeometry,
    *,
    border: float = 10.0,
    outline_offset: float = 0.0,
    rotation: float = 0.0,
    mirror: str = "y",
    title: str = "plug",
) -> Sheet:
    """
    Draw the mirrored plug's outline for the insert.

    Parameters
    ----------
    artwork, outline_offset, rotation, mirror
        As in `plug_outline`.
    border : float
        Ground that is cleared around the plug's bounds. [mm]
    title : str
        Written on the sheet.

    Returns
    -------
    sheet : drawings.Sheet
        Layers ``plug``, ``blank`` and ``check_line``.
    """
    outline = plug_outline(artwork, outline_offset=outline_offset, rotation=rotation, mirror=mirror)
    notes = [f"mirrored about {mirror}"]
    notes += [f"turned by {rotation:g} degrees"] if rotation else []
    notes += [f"grown by {outline_offset:g} mm"] if outline_offset else []
    return _sheet("plug", outline, border, f"{title}: {', '.join(notes)}")


def write_plan(folder: str | Path, sheets: dict[str, Sheet]) -> tuple[Path, ...]:
    """
    Write sheets into a folder, all of them or none.

    Parameters
    ----------
    folder : path
        Made if it is not there.
    sheets : dict of str to drawings.Sheet
        By the file's name without its ending; ``depths`` is written as PDF, the others as SVG and DXF.

    Returns
    -------
    files : tuple of Path
        Written; none is written over.

    Raises
    ------
    DrawingError
        Where a file is there already or the folder cannot be written.
    """
    kinds = {name: ("pdf",) if name == "depths" else ("svg", "dxf") for name in sheets}
    return write_together(folder, {f"{name}.{kind}": sheets[name] for name in sheets for kind in kinds[name]})


def _sheet(name: str, outline: MultiPolygon, border: float, title: str) -> Sheet:
    from shapely.affinity import translate

    left, bottom, right, top = outline.bounds
    moved = translate(outline, border - left, border + _FOOT - bottom)
    width = max(right - left + 2 * border, CHECK_LENGTH + 30)
    height = top - bottom + 2 * border + _FOOT
    blank = [(0.0, _FOOT), (right - left + 2 * border, _FOOT), (right - left + 2 * border, height), (0.0, height)]
    return Sheet(
        width=width,
        height=height,
        title=title,
        layers=(
            Layer(name="blank", lines=((*blank, blank[0]),), color="#5f5f5f"),
            Layer(name=name, polygons=moved, filled=True),
            check_line(5.0, 5.0),
        ),
        texts=((5.0 + CHECK_LENGTH + 2, 4.0, 2.5, "50 mm"), (5.0, 8.0, 2.5, title), (5.0, 1.2, 2.0, COLORS)),
    )
