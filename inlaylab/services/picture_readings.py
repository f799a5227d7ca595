"""Readings of the log from what a picture says: the way that command and panel share."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inlaylab.bench.readings import Reading

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inlaylab.bench.layouts import Layout
    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.fit import Fit
    from inlaylab.pictures.frame import Frame
    from inlaylab.pictures.records import PictureReading

LONGEST_SIDE = 1600
"""Longest side of a picture that is kept beside the log. [pixels]"""
ENDINGS = (".png", ".jpg", ".jpeg", ".tif", ".tiff")
SHOWN = 8.0  # pixels a mm of the straightened picture
KNOWN_WELL = 0.008
"""Give or take of a picture's bias at which more double readings stop being worth it: less than half of what one look
through a loupe tells (0.02 mm), so they would hardly move an answer. Our choice. [mm]"""


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
    factor : float
        How many times further than stated they scatter.
    more : int
        Further loupe readings that are worth it.
    learnt : bool
        Whether the fit says so; else the widths read both ways were compared directly.
    """

    pairs: int
    bias: float
    bias_sd: float
    factor: float
    more: int
    learnt: bool = False


def agreement_of(shop: Shop, *, fit: Fit | None = None) -> Agreement:
    """
    Compare pictures with loupe at stations read both ways.

    Parameters
    ----------
    shop : Shop
        Every record of the log.
    fit : Fit, optional
        The fit of exactly these records.

    Returns
    -------
    agreement : Agreement
        From the fit where there is one: it also hears lines that the eye saw closed, and cuts read in one way only.
        Else the mean difference of widths read both ways, drawn towards zero as far as the starting beliefs ask.
    """
    import numpy as np

    from inlaylab.fitting.model.beliefs import PRIORS
    from inlaylab.fitting.model.laws import PICTURE_SD

    ways: dict[tuple[str, str | None], dict[bool, Reading]] = {}
    for reading in shop.readings:
        if reading.kind == "glue_line":
            ways.setdefault((reading.cut, reading.station), {})[reading.method == "picture"] = reading
    pairs = [(both[True], both[False]) for both in ways.values() if len(both) == 2]
    stated = [both[True].sd or PICTURE_SD for both in ways.values() if True in both] or [PICTURE_SD]
    if fit is not None:
        drawn = {name: fit.values[name] for name in ("picture_bias", "picture_factor", "loupe_sd")}
        factor, loupe = (float(np.median(drawn[name])) for name in ("picture_factor", "loupe_sd"))
        bias, bias_sd = float(drawn["picture_bias"].mean()), float(drawn["picture_bias"].std())
    else:
        factor, loupe = PRIORS["picture_factor"].centre, PRIORS["loupe_sd"].centre
        apart = [
            (p.value - e.value, p.sd or PICTURE_SD) for p, e in pairs if p.value is not None and e.value is not None
        ]
        counts = [1 / (loupe**2 + (factor * sd) ** 2) for _, sd in apart]
        precision = PRIORS["picture_bias"].spread ** -2 + sum(counts)
        bias = sum(count * off for count, (off, _) in zip(counts, apart, strict=True)) / precision
        bias_sd = precision**-0.5
    one_more = 1 / (loupe**2 + (factor * float(np.median(stated))) ** 2)
    more = math.ceil(max(KNOWN_WELL**-2 - bias_sd**-2, 0.0) / one_more)
    return Agreement(pairs=len(pairs), bias=bias, bias_sd=bias_sd, factor=factor, more=more, learnt=fit is not None)


@dataclass(frozen=True, kw_only=True)
class Side:
    """
    One side of a stroke on the drawing, and the glue line seen there.

    Parameters
    ----------
    station : str
        Name of the stroke's station.
    start, end : tuple of float
        Its ends on the drawing, x and y. [mm]
    width : float or None
        The glue line's; None where it was not read. [mm]
    """

    station: str
    start: tuple[float, float]
    end: tuple[float, float]
    width: float | None


def sides_of(reading: PictureReading, layout: Layout) -> tuple[Side, ...]:
    """
    Give both long sides of each bar with what was read there.

    Parameters
    ----------
    reading : PictureReading
        What was read.
    layout : Layout
        The drawing.

    Returns
    -------
    sides : tuple of Side
        The low side of a bar, then its high side, in the layout's order; none for a wedge.
    """
    from inlaylab.pictures.profiles import bar_of

    answers, found = {one.station: one for one in reading.stations}, []
    for place in layout.places:
        bar, one = bar_of(place.station, place.polygon, [place.polygon]), answers[place.station]
        if place.kind != "bar" or bar is None:
            continue
        for width, start in ((one.low, bar.start), (one.high, bar.start + bar.across * bar.width)):
            end = start + bar.along * bar.length
            ends = ((float(x), float(y)) for x, y in (start, end))
            found.append(Side(station=place.station, start=next(ends), end=next(ends), width=width))
    return tuple(found)


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
