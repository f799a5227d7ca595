"""Open a picture file: its header is judged before anything is decoded."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.errors import PictureError

if TYPE_CHECKING:
    from numpy.typing import NDArray

MOST_PIXELS = 52_000_000
"""A phone's "50 megapixels" are up to 50.4 million. [pixels]"""
MOST_BYTES = 400_000_000
FEWEST_PIXELS = 200_000
FORMATS = {"PNG": "PNG", "JPEG": "JPEG", "MPO": "JPEG", "TIFF": "TIFF"}


@dataclass(frozen=True, kw_only=True)
class Picture:
    """
    A decoded picture.

    Parameters
    ----------
    colors : array of shape (rows, columns, 3)
        Red, green, blue code values, 0 to 255.
    luma : array of shape (rows, columns)
        Brightness in code values: as a JPEG file stores it, at full resolution, or the weighted sum of the colours.
    """

    colors: NDArray[np.uint8]
    luma: NDArray[np.uint8]


def open_picture(path: str | Path) -> Picture:
    """
    Decode a picture, turned as its camera says.

    Parameters
    ----------
    path : path
        A PNG, JPEG or TIFF file.

    Returns
    -------
    picture : Picture
        Its colours and its brightness.

    Raises
    ------
    PictureError
        Where it is not a picture, is damaged, or has too few or too many pixels.
    """
    path = Path(path)
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise PictureError(
                "the file is too large for a picture",
                value=f"{size / 1e6:.0f} MB",
                remedy="save it with at most 400 MB",
            )
        data = path.read_bytes()
    except OSError as fault:
        raise PictureError(
            "the picture cannot be read", value=path.name, remedy="choose a PNG, JPEG or TIFF file"
        ) from fault
    return decode(data, name=path.name)


def decode(data: bytes, *, name: str = "picture") -> Picture:
    """
    Decode the bytes of a picture file.

    Parameters
    ----------
    data : bytes
        What the file holds.
    name : str, optional
        Name of the file, for messages.

    Returns
    -------
    picture : Picture
        Its colours and its brightness.

    Raises
    ------
    PictureError
        As in `open_picture`.
    """
    import cv2

    kind = _check_header(data, name)
    damaged = PictureError("the picture is damaged", value=name, remedy="save or send it again, whole")
    if kind == "JPEG" and data.rfind(b"\xff\xd9") < data.rfind(b"\xff\xda"):
        raise damaged
    try:
        colors = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)
        luma = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_GRAYSCALE) if kind == "JPEG" else None
    except cv2.error as fault:
        raise damaged from fault
    if colors is None:
        raise damaged
    if luma is None or luma.shape != colors.shape[:2]:
        luma = cv2.cvtColor(colors, cv2.COLOR_BGR2GRAY)
    cv2.cvtColor(colors, cv2.COLOR_BGR2RGB, dst=colors)
    return Picture(colors=np.asarray(colors, np.uint8), luma=np.asarray(luma, np.uint8))


def _check_header(data: bytes, name: str) -> str:
    """Format of the file, once its size in pixels is known to be bearable."""
    import io

    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=("PNG", "JPEG", "TIFF")) as found:
                kind, (columns, rows) = FORMATS[str(found.format)], found.size
                if columns * rows <= MOST_PIXELS and kind == "PNG":
                    found.verify()
    except Image.DecompressionBombError as fault:
        raise PictureError(
            "the picture has too many pixels", value=name, remedy="up to 50 megapixels can be read; scan at 600 dpi"
        ) from fault
    except Exception as fault:  # Pillow raises many kinds for a file that is no picture
        raise PictureError(
            "this is not a picture that can be read", value=name, remedy="choose a whole PNG, JPEG or TIFF file"
        ) from fault
    if columns * rows > MOST_PIXELS or max(columns, rows) > 32_000:
        raise PictureError(
            "the picture has too many pixels",
            value=f"{columns} by {rows}",
            remedy="up to 50 megapixels can be read; scan at 600 dpi",
        )
    if columns * rows < FEWEST_PIXELS:
        raise PictureError(
            "the picture has too few pixels",
            value=f"{columns} by {rows}",
            remedy="scan at 600 dpi, or take a photo that the coupon fills",
        )
    return kind
