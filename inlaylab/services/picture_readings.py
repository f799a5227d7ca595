"""Readings of the log from what a picture says: the way that command and panel share."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.bench.readings import Reading

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inlaylab.pictures.records import PictureReading

LONGEST_SIDE = 1600
"""Longest side of a picture that is kept beside the log. [pixels]"""


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
        made = {"cut": cut, "station": one.station, "method": "picture"}
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
