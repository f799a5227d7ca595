"""Bitmaps in: the outline of what is dark, by marching squares between the pixels."""

from __future__ import annotations

import io
import warnings
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from inlaylab.errors import DrawingError

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

FORMATS = ("PNG", "JPEG", "BMP", "GIF", "TIFF", "WEBP", "PPM")
MOST_PIXELS = 16_000_000
_MOST_EDGES = 2_000_000


def read_bitmap(
    content: bytes, *, width: float, tolerance: float, threshold: float = 0.5, smoothing: float = 1.0
) -> tuple[BaseGeometry, list[str]]:
    """
    Trace what is dark in a picture.

    Parameters
    ----------
    content : bytes
        The file.
    width : float
        Width of the whole picture. [mm]
    tolerance : float
        How far the outline may be straightened, at least. [mm]
    threshold : float
        Darkness from which on a place is filled: 0 is white, 1 black.
    smoothing : float
        Standard deviation of the blur before tracing. [pixels]

    Returns
    -------
    shape : shapely geometry
        Dark areas, y up. [mm]
    mended : list of str
        Threshold, smoothing and straightening used.
    """
    import shapely
    from contourpy import contour_generator
    from scipy.ndimage import gaussian_filter

    for value, low, high, name in ((threshold, 0.01, 0.99, "threshold"), (smoothing, 0.0, 20.0, "smoothing")):
        if not low <= value <= high:
            raise DrawingError(f"the {name} is out of range", value=value, allowed=f"{low:g} to {high:g}")
    dark = _darkness(content)
    if smoothing > 0:
        dark = gaussian_filter(dark, smoothing, mode="nearest")
    dark = np.pad(dark, 1)
    above = dark > threshold
    edges = int((above[1:] != above[:-1]).sum() + (above[:, 1:] != above[:, :-1]).sum())
    if edges > _MOST_EDGES:
        raise DrawingError("the picture is too noisy to be traced", allowed="more smoothing, or a cleaner picture")
    if not edges:
        raise DrawingError("the picture has no edge between dark and light", allowed="another threshold")
    pixel = width / (dark.shape[1] - 2)
    rows, columns = dark.shape
    x, y = (np.arange(columns) - 0.5) * pixel, (rows - 1.5 - np.arange(rows)) * pixel
    generator = contour_generator(x, y[::-1], dark[::-1], name="serial", fill_type="OuterOffset")
    points, offsets = generator.filled(threshold, np.inf)[:2]
    polygons = []
    traced: Any = zip(points, offsets, strict=True)  # the library's type is the union of all its fill types
    for corners, starts in traced:
        rings = [corners[a:b] for a, b in pairwise(starts)]
        polygons.append(shapely.Polygon(rings[0], rings[1:]))
    straight = max(tolerance, 0.15 * pixel)
    shape = shapely.make_valid(shapely.multipolygons(polygons)).simplify(straight)
    told = f"traced at {threshold:.0%} darkness after a blur of {smoothing:g} pixels of {pixel:.3g} mm"
    return shape, [told, f"the traced outline was straightened by up to {straight:.2g} mm"]


def _darkness(content: bytes) -> np.ndarray:
    """Darkness of every pixel, 0 to 1; what is transparent is white."""
    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(content), formats=FORMATS) as picture:
                if picture.width * picture.height > MOST_PIXELS:
                    raise DrawingError(
                        "the picture has too many pixels",
                        value=f"{picture.width} x {picture.height}",
                        allowed=f"up to {MOST_PIXELS / 1e6:.0f} million",
                    )
                if min(picture.size) < 3:
                    raise DrawingError("the picture has hardly a pixel", value=f"{picture.width} x {picture.height}")
                colours = picture.convert("RGBA")
    except UnidentifiedImageError as fault:
        raise DrawingError("this is not a picture", allowed=", ".join(FORMATS)) from fault
    except (OSError, SyntaxError, ValueError, EOFError, Image.DecompressionBombError) as fault:
        if isinstance(fault, DrawingError):
            raise
        raise DrawingError("the picture cannot be read", value=str(fault)) from fault
    ground = Image.new("RGBA", colours.size, "white")
    grey = Image.alpha_composite(ground, colours).convert("L")
    return 1.0 - np.asarray(grey, dtype=np.float32) / 255.0
