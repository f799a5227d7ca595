"""Readings of the log from what a picture says: the way that command and panel share."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inlaylab.bench.readings import Reading

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inlaylab.bench.layouts import Layout
    from inlaylab.bench.shop import Shop
    from inlaylab.pictures.frame import Frame
    from inlaylab.pictures.records import PictureReading

LONGEST_SIDE = 1600
"""Longest side of a picture that is kept beside the log. [pixels]"""
ENDINGS = (".png", ".jpg", ".jpeg", ".tif", ".tiff")
SHOWN = 8.0  # pixels a mm of the straightened picture
UNPROVEN = 0.015  # belief about a picture's bias before any line was read both ways: our choice [mm]
LOUPE = 0.02  # accuracy of one comparison with a loupe: common practice, no source [mm]
KNOWN_WELL = 0.008  # from which the bias is known well enough: our choice [mm]


@dataclass(frozen=True, kw_only=True)
class Agreement:
    """
    How well pictures and loupe agree in a shop.

    Parameters
    ----------
    pairs : int
        Lines that were read both ways.
    bias, bias_sd : float
        How much wider pictures read, on average, and how well that is known. [mm]
    more : int
        Further loupe readings that are worth it.
    """

    pairs: int
    bias: float
    bias_sd: float
    more: int


def agreement_of(shop: Shop) -> Agreement:
    """
    Compare pictures with loupe at stations read both ways.

    Parameters
    ----------
    shop : Shop
        Every record of the log.

    Returns
    -------
    agreement : Agreement
        The bias is drawn towards zero as far as `UNPROVEN` and `LOUPE` ask.
    """
    by_place: dict[tuple[str, str | None], dict[str, float]] = {}
    for reading in shop.readings:
        if reading.kind == "glue_line" and reading.value is not None:
            way = "picture" if reading.method == "picture" else "loupe"
            by_place.setdefault((reading.cut, reading.station), {})[way] = reading.value
    apart = [both["picture"] - both["loupe"] for both in by_place.values() if len(both) == 2]
    precision = UNPROVEN**-2 + len(apart) * LOUPE**-2
    needed = next(n for n in range(100) if (UNPROVEN**-2 + n * LOUPE**-2) ** -0.5 <= KNOWN_WELL)
    return Agreement(
        pairs=len(apart),
        bias=sum(apart) * LOUPE**-2 / precision,
        bias_sd=precision**-0.5,
        more=max(0, needed - len(apart)),
    )


def pictures_in(folder: Path) -> list[str]:
    """Names of the picture files of a folder, newest first."""
    found = [path for path in folder.iterdir() if path.suffix.lower() in ENDINGS and path.is_file()]
    return [path.name for path in sorted(found, key=lambda path: -path.stat().st_mtime)]


def straightened(colors: NDArray[np.uint8], frame: Frame, layout: Layout) -> NDArray[np.uint8]:
    """
    Give the coupon's face as its drawing lies.

    Parameters
    ----------
    colors : array of shape (rows, columns, 3)
        The picture. [code values]
    frame : Frame
        Where the drawing lies in it.
    layout : Layout
        The drawing.

    Returns
    -------
    straight : array of shape (rows, columns, 3)
        Its first row is the drawing's top.
    """
    import numpy as np

    from inlaylab.pictures.frame import sample

    x = (np.arange(round(layout.length * SHOWN)) + 0.5) / SHOWN
    y = layout.width - (np.arange(round(layout.width * SHOWN)) + 0.5) / SHOWN
    grid = np.stack(np.meshgrid(x, y), axis=-1)
    return np.asarray(sample(colors, frame, grid), np.uint8)


def readings_of(reading: PictureReading, cut: str, *, stations: frozenset[str] | None = None) -> tuple[Reading, ...]:
    """
    Give what a picture says as readings of a cut.

    Parameters
    ----------
    reading : PictureReading
        What was read.
    cut : str
        Name of the cut.
    stations : frozenset of str, optional
        Only these; all where left out.

    Returns
    -------
    readings : tuple of Reading
        A glue line has its width and sd even where it looks closed: the fit decides.
    """
    found: list[Reading] = []
    for one in reading.stations:
        if stations is not None and one.station not in stations:
            continue
        made: dict[str, Any] = {"cut": cut, "station": one.station, "method": "picture"}
        if one.glue_line is not None and one.sd is not None:
            value, sd = round(one.glue_line, 4), round(one.sd, 4)
            found.append(Reading(kind="glue_line", value=value, sd=sd, unit="mm", **made))
        if one.fill is not None:
            found.append(Reading(kind="fill", state=one.fill, **made))
        if one.wedge_stop is not None:
            found.append(Reading(kind="wedge_stop", value=round(one.wedge_stop, 4), unit="mm", **made))
    return tuple(found)


def reduced(colors: NDArray[np.uint8]) -> bytes:
    """
    Give a picture as a small JPEG without the camera's data.

    Parameters
    ----------
    colors : array of shape (rows, columns, 3)
        Red, green, blue code values.

    Returns
    -------
    data : bytes
        A JPEG file of at most `LONGEST_SIDE` pixels, freshly encoded, so nothing but the pixels is in it.
    """
    import io

    from PIL import Image

    picture = Image.fromarray(colors)
    picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    stream = io.BytesIO()
    picture.save(stream, "JPEG", quality=88)
    return stream.getvalue()
