"""Profiles: brightness across each side of a stroke and each dot, averaged along it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.pictures.frame import Frame, brightness, sample

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from inlaylab.bench.layouts import Ring
    from inlaylab.pictures.opening import Picture

    Floats = NDArray[np.float64]

STEP = 0.04  # across [mm]
ALONG = 0.04  # along [mm]
REACH = 1.05  # into either wood, at most [mm]
ENDS = 0.9  # left out at both ends of a stroke [mm]
TRIM = 0.15  # of the darkest and of the lightest values left out of each mean
LEAST_LENGTH = 2.0  # of a side that can be averaged [mm]


@dataclass(frozen=True, kw_only=True)
class Bar:
    """
    A stroke with two long sides.

    Parameters
    ----------
    name : str
        Name of its station; blank for a stroke that is not read.
    start : array of shape (2,)
        One end of its low side. [mm]
    along : array of shape (2,)
        Unit vector along the stroke.
    across : array of shape (2,)
        Unit vector from the low to the high side.
    length, width : float
        As drawn. [mm]
    land_low, land_high : float
        Free host beside either side. [mm]
    """

    name: str
    start: Floats
    along: Floats
    across: Floats
    length: float
    width: float
    land_low: float
    land_high: float


@dataclass(frozen=True, kw_only=True)
class Profile:
    """
    Brightness across a side, a thin stroke or a dot.

    Parameters
    ----------
    name : str
        Name of the station; blank where it is none.
    kind : {"low", "high", "both", "dot"}
        Which side, both sides of a thin stroke, or the rim of a dot.
    x : array
        Distance from the drawn edge, growing from the host into the stroke. [mm]
    luma : array
        Trimmed means of brightness along the side. [code values]
    color_host, color_insert : array of shape (3,)
        Trimmed mean colours of the two woods there. [code values]
    width : float
        Drawn width of the stroke; of a dot its diameter. [mm]
    middle : array of shape (2,)
        Where it is on the drawing. [mm]
    grain : str
        How the side lies to the drawing's x: along or across, or dot.
    share : float
        Share of the side's length that went into it.
    """

    name: str
    kind: str
    x: Floats
    luma: Floats
    color_host: Floats
    color_insert: Floats
    width: float
    middle: Floats
    grain: str
    share: float


def bar_of(name: str, ring: Ring, rings: list[Ring]) -> Bar | None:
    """
    Take a rectangle apart into its two long sides.

    Parameters
    ----------
    name : str
        Name of its station.
    ring : tuple of (x, y)
        Its corners. [mm]
    rings : list of rings
        Everything drawn, itself included, to find the free host beside it.

    Returns
    -------
    bar : Bar or None
        None where it is no rectangle.
    """
    from shapely import LineString, Polygon

    corners = np.array(ring)
    if len(corners) != 4 or not np.allclose(corners[0] + corners[2], corners[1] + corners[3], atol=0.01):
        return None
    one, two = corners[1] - corners[0], corners[2] - corners[1]
    long, short = (one, two) if np.hypot(*one) >= np.hypot(*two) else (two, one)
    if abs(long @ short) > 0.01 * np.hypot(*long) * np.hypot(*short):
        return None
    length, width = float(np.hypot(*long)), float(np.hypot(*short))
    along, across = long / length, short / width
    if across @ [1, 1] < 0:
        across = -across
    if along @ [1, 1] < 0:
        along = -along
    start = min(corners, key=lambda corner: corner @ across + corner @ along * 1e-3)
    own = Polygon(ring)
    lands = []
    for offset in (0.0, width):
        side = LineString([start + across * offset + along * ENDS, start + across * offset + along * (length - ENDS)])
        others = [Polygon(other) for other in rings if other is not ring]
        beside = 1 if offset else -1
        look = side.buffer(
            beside * 3.0 * (1 if along[0] * across[1] - along[1] * across[0] > 0 else -1), single_sided=True
        )
        lands.append(min((side.distance(other) for other in others if other.intersects(look)), default=3.0))
    del own
    return Bar(
        name=name,
        start=start,
        along=along,
        across=across,
        length=length,
        width=width,
        land_low=lands[0],
        land_high=lands[1],
    )


def bar_profiles(
    picture: Picture, frame: Frame, bar: Bar, *, thin: float, filled: NDArray[np.bool_] | None = None
) -> list[Profile]:
    """
    Profiles of a stroke: one a side, or one across where the stroke is thin.

    Parameters
    ----------
    picture : Picture
        Its colours and its brightness.
    frame : Frame
        Where the drawing lies in it.
    bar : Bar
        The stroke.
    thin : float
        Drawn width below which both sides are read from one profile. [mm]
    filled : array of bool, optional
        Of equal parts of the stroke's length, those that hold insert; all where left out.

    Returns
    -------
    profiles : list of Profile
        None where too little of the stroke is filled.
    """
    far = np.arange(ENDS, bar.length - ENDS, ALONG)
    if filled is not None:
        part = np.clip((far / bar.length * len(filled)).astype(int), 0, len(filled) - 1)
        far = far[filled[part]]
    if len(far) * ALONG < LEAST_LENGTH:
        return []
    share = len(far) * ALONG / (bar.length - 2 * ENDS)
    windows = {}
    low, high = (min(REACH, 0.45 * land) for land in (bar.land_low, bar.land_high))
    if bar.width < thin:
        windows["both"] = (-low, bar.width + high)
    else:
        deep = min(REACH, bar.width / 2)
        windows["low"], windows["high"] = (-low, deep), (-high, deep)
    grain = "along" if abs(bar.along[0]) > 0.7 else "across"
    profiles = []
    for kind, (begin, end) in windows.items():
        x = np.arange(round(begin / STEP), round(end / STEP) + 1) * STEP
        rim, inward = (bar.start + bar.across * bar.width, -bar.across) if kind == "high" else (bar.start, bar.across)
        where = rim + far[:, None, None] * bar.along + x[None, :, None] * inward
        values = sample(picture.colors, frame, where)
        luma = trimmed(brightness(picture.luma, frame, where))
        host = x < -0.3 if (x < -0.3).sum() > 2 else x <= x[0] + 2 * STEP
        insert = (x > 0.4) & (x < (bar.width - 0.4 if kind == "both" else 9.0))
        if insert.sum() < 3:
            insert = np.abs(x - bar.width / 2) <= 1.5 * STEP
        profiles.append(
            Profile(
                name=bar.name,
                kind=kind,
                x=np.asarray(x, float),
                luma=luma,
                color_host=trimmed(values[:, host]).mean(axis=0),
                color_insert=trimmed(values[:, insert]).mean(axis=0),
                width=bar.width,
                middle=rim + bar.along * float(far.mean()),
                grain=grain,
                share=share,
            )
        )
    return profiles


def host_color(picture: Picture, frame: Frame, bar: Bar) -> Floats:
    """
    Colour of the host beside a stroke.

    Parameters
    ----------
    picture, frame, bar
        As in `bar_profiles`.

    Returns
    -------
    color : array of shape (3,)
        Median code values.
    """
    far = np.arange(ENDS, bar.length - ENDS, 5 * ALONG)
    off = -np.linspace(0.15, 0.45, 4) * min(1.0, bar.land_low)
    values = sample(picture.colors, frame, bar.start + far[:, None, None] * bar.along + off[None, :, None] * bar.across)
    return np.asarray(np.median(values.reshape(-1, 3), axis=0), float)


def dot_profile(picture: Picture, frame: Frame, diameter: float, middle: Floats) -> Profile:
    """
    Profile of a dot's rim, from the host inwards, averaged all round.

    Parameters
    ----------
    picture, frame
        As in `bar_profiles`.
    diameter : float
        As drawn. [mm]
    middle : array of shape (2,)
        Where its middle was found on the drawing. [mm]

    Returns
    -------
    profile : Profile
        Its x is the drawn radius less the distance from the middle. [mm]
    """
    radius = diameter / 2
    x = np.arange(-round(0.8 / STEP), round((radius - 0.1) / STEP) + 1) * STEP
    turns = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    rays = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    where = middle + (radius - x)[None, :, None] * rays[:, None]
    values = sample(picture.colors, frame, where)
    return Profile(
        name="",
        kind="dot",
        x=np.asarray(x, float),
        luma=trimmed(brightness(picture.luma, frame, where)),
        width=diameter,
        middle=middle,
        color_host=trimmed(values[:, x < -0.3]).mean(axis=0),
        color_insert=trimmed(values[:, x > 0.5]).mean(axis=0),
        grain="dot",
        share=1.0,
    )


def trimmed(values: NDArray[np.floating]) -> Floats:
    """Mean over the first axis, without the `TRIM` darkest and lightest shares."""
    count = values.shape[0]
    cut = int(TRIM * count)
    ordered = np.sort(values, axis=0)
    return np.asarray(ordered[cut : count - cut].mean(axis=0), float)
