"""
Drawings at true size: SVG, DXF and PDF from one sheet.

A sheet is a rectangle in millimetres, x to the right and y up, with named layers of polygons and lines. Every sheet
carries a line of known length, so that a print or an import can be checked with a ruler.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inlaylab.errors import DrawingError

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.figure import Figure
    from numpy.typing import NDArray
    from shapely import MultiPolygon

CHECK_LENGTH = 50.0
"""Length of the line that proves a drawing's size [mm]."""
MM_PER_INCH = 25.4
NOT_TO_BE_CUT = ("blank", "check_line", "notes")
"""Layers that only tell the reader something; reading a drawing leaves them out."""


@dataclass(frozen=True, kw_only=True)
class Layer:
    """
    What belongs together on a sheet.

    Parameters
    ----------
    name : str
        Name of the layer in the file.
    polygons : shapely.MultiPolygon, optional
        Closed outlines, holes included. [mm]
    lines : tuple of tuple
        Open lines, each a tuple of points. [mm]
    color : str
        Colour of the outlines.
    filled : bool
        Whether SVG and PDF fill the polygons; a DXF never does.
    """

    name: str
    polygons: MultiPolygon | None = None
    lines: tuple[tuple[tuple[float, float], ...], ...] = ()
    color: str = "#000000"
    filled: bool = False


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """
    A drawing at true size.

    Parameters
    ----------
    width, height : float
        Width and height of the whole sheet. [mm]
    layers : tuple of Layer
        From the bottom up.
    texts : tuple of tuple
        Notes to the reader as (x, y, height, text); never to be cut. [mm]
    title : str
        Stored in the file.
    """

    width: float
    height: float
    layers: tuple[Layer, ...]
    texts: tuple[tuple[float, float, float, str], ...] = ()
    title: str = ""


def check_line(x: float, y: float, length: float = CHECK_LENGTH) -> Layer:
    """
    Line of known length with a stop at either end.

    Parameters
    ----------
    x, y : float
        X and y of its left end. [mm]
    length : float, optional
        [mm]

    Returns
    -------
    layer : Layer
        Named ``check_line``; not to be cut.

    Examples
    --------
    >>> check_line(10, 5).lines[0]
    ((10, 5), (60.0, 5))
    """
    ends = ((x, y - 1.5), (x, y + 1.5)), ((x + length, y - 1.5), (x + length, y + 1.5))
    return Layer(name="check_line", lines=(((x, y), (x + length, y)), *ends), color="#5f5f5f")


def write_together(folder: str | Path, contents: Mapping[str, Sheet | str]) -> tuple[Path, ...]:
    """
    Write drawings and texts into a folder, all of them or none.

    Parameters
    ----------
    folder : path
        Made where it is not there; no file in it is written over.
    contents : mapping of str to Sheet or str
        By the file's name; a drawing's ends in ``.svg``, ``.dxf`` or ``.pdf``.

    Returns
    -------
    files : tuple of Path
        Each whole: it is written aside and then put in place.

    Raises
    ------
    DrawingError
        Where a file is there already or cannot be written; nothing new is left behind.
    """
    wanted = {Path(folder) / name: content for name, content in contents.items()}
    there = next((path for path in wanted if path.exists()), None)
    if there is not None:
        raise DrawingError("this file is there already", value=str(there), allowed="an empty folder, or a new one")
    done: list[Path] = []
    try:
        Path(folder).mkdir(parents=True, exist_ok=True)
        for path, content in wanted.items():
            _put(content, path)
            done.append(path)
    except OSError as fault:
        for path in done:
            path.unlink(missing_ok=True)
        raise DrawingError("the folder cannot be written", value=str(folder), allowed=str(fault)) from fault
    return tuple(done)


def _put(content: Sheet | str, path: Path) -> None:
    """Write aside, then put in place."""
    aside = path.with_name(f".part-{os.getpid()}-{path.name}")
    try:
        if isinstance(content, str):
            aside.write_text(content, encoding="utf-8", newline="")
        else:
            WRITERS[path.suffix.lower()](content, aside)
        aside.replace(path)
    finally:
        aside.unlink(missing_ok=True)


def rings_of(polygons: MultiPolygon | None) -> list[NDArray[np.float64]]:
    """
    Give the closed rings of polygons, outer ones and holes alike.

    Parameters
    ----------
    polygons : shapely.MultiPolygon or None
        [mm]

    Returns
    -------
    rings : list of array
        Corners of each ring without the repeated last one, shape (n, 2). [mm]
    """
    import numpy as np

    parts = [] if polygons is None else list(polygons.geoms)
    return [np.asarray(ring.coords)[:-1, :2] for part in parts for ring in (part.exterior, *part.interiors)]


def _draw(sheet: Sheet) -> Figure:
    """Draw a sheet with matplotlib: one unit of the axes is one millimetre on paper."""
    import numpy as np
    from matplotlib.collections import LineCollection
    from matplotlib.figure import Figure
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path as Outline

    figure = Figure(figsize=(sheet.width / MM_PER_INCH, sheet.height / MM_PER_INCH))
    figure.patch.set_visible(False)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set(xlim=(0, sheet.width), ylim=(0, sheet.height))
    for layer in sheet.layers:
        closed = [np.vstack([ring, ring[:1]]) for ring in rings_of(layer.polygons)]
        if closed:
            outline = Outline.make_compound_path(*(Outline(ring, closed=True) for ring in closed))
            face = layer.color if layer.filled else "none"
            width = 0.0 if layer.filled else 0.3  # what is filled ends at its outline, not at a pen's edge
            patch = PathPatch(outline, facecolor=face, edgecolor=layer.color, linewidth=width, gid=layer.name)
            patch.set(clip_on=False, snap=False)
            axes.add_patch(patch)
        if layer.lines:
            lines = LineCollection(
                [np.asarray(line) for line in layer.lines], colors=layer.color, linewidths=0.5, gid=layer.name
            )
            lines.set(clip_on=False, snap=False)
            axes.add_collection(lines)
    for x, y, height, text in sheet.texts:
        points = height * 72 / MM_PER_INCH
        axes.text(x, y, text, fontsize=points, color="#5f5f5f", parse_math=False, gid="notes")
    return figure


def _write_svg(sheet: Sheet, path: Path) -> None:
    from matplotlib import rc_context

    settings: Any = {"svg.fonttype": "none", "svg.hashsalt": "inlaylab", "path.simplify": False}
    with rc_context(settings):
        _draw(sheet).savefig(path, format="svg", metadata={"Date": None, "Title": sheet.title})
    text = path.read_text(encoding="utf-8")  # matplotlib states the size in points; a workshop reads millimetres
    for name, size in (("width", sheet.width), ("height", sheet.height)):
        text = re.sub(rf'(<svg[^>]*? {name}=)"[\d.]+pt"', rf'\g<1>"{round(size, 4):g}mm"', text, count=1)
    path.write_text(text, encoding="utf-8")


def _write_pdf(sheet: Sheet, path: Path) -> None:
    from matplotlib import rc_context

    with rc_context({"pdf.fonttype": 42, "path.simplify": False}):
        _draw(sheet).savefig(path, format="pdf", metadata={"CreationDate": None, "Title": sheet.title})


def _write_dxf(sheet: Sheet, path: Path) -> None:
    import ezdxf
    from ezdxf import colors, units

    document = ezdxf.new("R2010", units=units.MM)
    document.header["$MEASUREMENT"] = 1
    space = document.modelspace()
    for layer in sheet.layers:
        if layer.name not in document.layers:
            document.layers.add(layer.name, true_color=colors.rgb2int(_rgb(layer.color)))
        for ring in rings_of(layer.polygons):
            space.add_lwpolyline(ring.tolist(), close=True, dxfattribs={"layer": layer.name})
        for line in layer.lines:
            space.add_lwpolyline(line, dxfattribs={"layer": layer.name})
    if sheet.texts:
        document.layers.add("notes", true_color=colors.rgb2int((95, 95, 95)))
    for x, y, height, text in sheet.texts:
        space.add_text(text, height=height, dxfattribs={"layer": "notes", "insert": (x, y)})
    document.saveas(path)


def _rgb(color: str) -> tuple[int, int, int]:
    return int(color[1:3], 16), int(color[3:5], 16), int(color[5:7], 16)


COLORS = "Colors mean nothing to a machine."
"""Stands on every sheet."""
WRITERS: dict[str, Callable[[Sheet, Path], None]] = {".svg": _write_svg, ".dxf": _write_dxf, ".pdf": _write_pdf}
"""Every kind of drawing, by the ending of its file."""
