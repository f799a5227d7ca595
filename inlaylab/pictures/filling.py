"""Which strokes hold insert, where the wedge stops filling, and the colour of glue that stands alone."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.pictures.frame import Frame, sample
from inlaylab.pictures.lines import light
from inlaylab.pictures.profiles import Bar

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from inlaylab.bench.layouts import Place

    Floats = NDArray[np.float64]

STEP = 0.04  # along a stroke [mm]
LANES = 5  # across the middle of a stroke
FILLED, MISSING = 0.9, 0.1  # shares of a stroke's length
APART = 3.5  # distance of glue and insert, in the insert's scatter, from which they can be told apart
LEAST_WIDTH = 0.18  # finished width below which the middle of a stroke is blurred [mm]
LEAST_GLUE = 0.3  # length of glue alone from which its colour is taken [mm]
STRAY = 0.2  # run that may be a pore [mm]


@dataclass(frozen=True, kw_only=True)
class Woods:
    """
    Colours inside strokes.

    Parameters
    ----------
    insert : array of shape (3,)
        Middle colour of the insert. [code values]
    scatter : array of shape (3, 3)
        Its covariance.
    glue : array of shape (3,) or None
        Colour of glue that stands alone; None where none was seen.
    """

    insert: Floats
    scatter: Floats
    glue: Floats | None

    @property
    def apart(self) -> float:
        """Distance of glue and insert in standard deviations; 0 where no glue was seen."""
        if self.glue is None:
            return 0.0
        off = self.glue - self.insert
        return float(np.sqrt(off @ np.linalg.solve(self.scatter, off)))

    def insert_share(self, colors: Floats) -> Floats:
        """How far colours lie from glue (0) towards insert (1)."""
        if self.glue is None:
            return np.ones(colors.shape[:-1])
        off = self.insert - self.glue
        direction = np.linalg.solve(self.scatter, off)
        return np.asarray((colors - self.glue) @ direction / (off @ direction), float)

    def strangeness(self, colors: Floats) -> Floats:
        """Distance of colours from the insert's, in standard deviations."""
        off = colors - self.insert
        return np.sqrt(np.einsum("...i,ij,...j->...", off, np.linalg.inv(self.scatter), off))


@dataclass(frozen=True, kw_only=True)
class Filling:
    """
    Whether a stroke is filled.

    Parameters
    ----------
    state : {"filled", "partly", "missing"} or None
        None where it cannot be told.
    chance : float
        Chance that the state is right.
    parts : array of bool
        Of equal parts of the stroke's length, those that hold insert.
    why : str
        Why there is no answer; blank where there is one.
    """

    state: str | None
    chance: float
    parts: NDArray[np.bool_]
    why: str = ""


def _lanes(
    picture: NDArray[np.uint8], frame: Frame, start: Floats, along: Floats, across: Floats, far: Floats, half: Floats
) -> Floats:
    """Mean colour of the middle of a stroke at distances `far` along it, over plus and minus `half` [mm]."""
    off = np.linspace(-1, 1, LANES)[None, :, None] * half[:, None, None] * across
    where = start + far[:, None, None] * along + off
    return np.asarray(sample(picture, frame, where).mean(axis=1), float)


def bar_colors(picture: NDArray[np.uint8], frame: Frame, bar: Bar, shrink: float) -> Floats:
    """
    Colours along the middle of a bar.

    Parameters
    ----------
    picture : array of shape (rows, columns, 3)
        Red, green, blue code values.
    frame : Frame
        Where the drawing lies in it.
    bar : Bar
        The stroke.
    shrink : float
        How far the finished sides lie inside the drawn ones. [mm]

    Returns
    -------
    colors : array of shape (n, 3)
        Code values at equal steps between the finished ends.
    """
    far = np.arange(shrink + 0.3, bar.length - shrink - 0.3, STEP)
    half = np.full(len(far), min(0.25 * max(bar.width - 2 * shrink, 0.1), 0.4))
    return _lanes(picture, frame, bar.start + bar.across * bar.width / 2, bar.along, bar.across, far, half)


def wedge_colors(picture: NDArray[np.uint8], frame: Frame, place: Place, shrink: float) -> tuple[Floats, Floats]:
    """
    Finished widths and colours along the middle of a wedge.

    Parameters
    ----------
    picture, frame, shrink
        As in `bar_colors`.
    place : Place
        The wedge.

    Returns
    -------
    widths : array of shape (n,)
        Finished full width; only where it is at least `LEAST_WIDTH`. [mm]
    colors : array of shape (n, 3)
        Code values.
    """
    corners = np.array(place.polygon)
    sides = [float(np.hypot(*(corners[(n + 1) % 3] - corners[(n + 2) % 3]))) for n in range(3)]
    point = int(np.argmin(sides))  # the tip faces the shortest side
    tip, one, two = corners[point], corners[(point + 1) % 3], corners[(point + 2) % 3]
    base = (one + two) / 2
    length = float(np.hypot(*(base - tip)))
    along = (base - tip) / length
    across = np.array([-along[1], along[0]])
    far = np.arange(0.0, length - shrink - 0.3, STEP)
    # Sides move in square to themselves, so their distance level with the base shrinks by a little more.
    lean = np.sqrt(1 + (sides[point] / 2 / length) ** 2)
    widths = sides[point] * far / length - 2 * shrink * lean
    keep = widths >= LEAST_WIDTH
    colors = _lanes(picture, frame, tip, along, across, far[keep], np.minimum(0.25 * widths[keep], 0.4))
    return widths[keep], colors


def find_woods(
    wide: Floats,
    tip: Floats,
    bars: list[Floats],
    *,
    host: Floats,
    tip_widths: Floats,
    blur: float,
    likely: Floats | None = None,
) -> Woods:
    """
    Colour of the insert from wide strokes, of glue from the wedge's tip and from thin strokes that are not insert.

    Parameters
    ----------
    wide : array of shape (n, 3)
        Colours inside wide strokes.
    tip : array of shape (m, 3)
        Colours along the wedge's thin end.
    bars : list of arrays of shape (k, 3)
        Colours along each thin bar.
    host : array of shape (3,)
        Colour of the host, which blurs into the tip.
    tip_widths : array of shape (m,)
        Finished widths of the wedge where `tip` was taken. [mm]
    blur : float
        Standard deviation of the picture's blur, roughly. [mm]
    likely : array of shape (3,), optional
        Colour of a groove that holds glue alone.

    Returns
    -------
    woods : Woods
    """
    insert = np.median(wide, axis=0)
    off = wide - insert
    near = np.abs(off).max(axis=1) < 4 * np.median(np.abs(off).max(axis=1)) + 2
    scatter = np.cov(off[near].T) + 9.0 * np.eye(3)
    woods = Woods(insert=insert, scatter=scatter, glue=likely)
    if likely is None:
        woods = replace(woods, glue=_glue_of_tip(tip, tip_widths, woods, host, blur))
    thin = [*bars, tip[tip_widths >= 0.3]]
    if woods.glue is None:
        # Steps from glue to insert are blurred: the purest part is the half that lies farthest from the insert.
        strange = np.concatenate([colors[woods.strangeness(colors) > 2 * APART] for colors in thin])
        if len(strange) * STEP < 2 * LEAST_GLUE:
            return woods
        far = woods.strangeness(strange)
        return replace(woods, glue=np.median(strange[far >= np.quantile(far, 0.5)], axis=0))
    pure = np.concatenate([colors[woods.insert_share(colors) < 0.25] for colors in thin])
    return replace(woods, glue=np.median(pure, axis=0)) if len(pure) * STEP > 3 * LEAST_GLUE else woods


def _glue_of_tip(tip: Floats, widths: Floats, woods: Woods, host: Floats, blur: float) -> Floats | None:
    """Colour at the wedge's very end, the host's light that blurs into it taken off; None where that is insert."""
    from scipy.special import ndtr

    end = widths < max(0.26, LEAST_WIDTH + 0.06)
    if end.sum() < 3:
        return None
    own = 2 * ndtr(widths[end] / 2 / blur) - 1
    pure = (light.decode(tip[end]) - (1 - own[:, None]) * light.decode(host)) / own[:, None]
    color = light.encode(np.median(pure, axis=0))
    return np.asarray(color, float) if woods.strangeness(color) > APART else None


def filling_of(colors: Floats, woods: Woods) -> Filling:
    """
    Judge a bar by the colours along its middle.

    Parameters
    ----------
    colors : array of shape (n, 3)
        As `bar_colors` gives them.
    woods : Woods
        What insert and glue look like.

    Returns
    -------
    filling : Filling
    """
    if woods.glue is None:
        insert = woods.strangeness(colors) < 2 * APART
        apart = 0.0
    else:
        insert = woods.insert_share(colors) > 0.5
        apart = woods.apart
    if apart < APART:
        return Filling(state=None, chance=0.0, parts=insert, why="glue and insert look alike")
    insert = _without_strays(insert, round(STRAY / STEP))
    share = float(insert.mean())
    state = "filled" if share >= FILLED else "missing" if share <= MISSING else "partly"
    doubt = 0.02 + 0.1 / apart
    away = min(abs(share - FILLED), abs(share - MISSING))
    chance = 0.5 + 0.5 * (1 - np.exp(-away / doubt)) if 0 < share < 1 else 0.99
    chance = float(min(chance, 0.99))
    if chance < 0.6:
        return Filling(state=None, chance=chance, parts=insert, why="too near the limit between two answers")
    return Filling(state=state, chance=chance, parts=insert)


def _without_strays(insert: NDArray[np.bool_], length: int) -> NDArray[np.bool_]:
    """Drop short runs of glue, which are pores or chips: each gets the answer of most around it."""
    from scipy.ndimage import median_filter

    return np.asarray(median_filter(insert.astype(np.uint8), size=max(3, length) | 1, mode="nearest") > 0)


def wedge_stop_of(widths: Floats, colors: Floats, woods: Woods) -> tuple[float | None, str]:
    """
    Finished width below which the wedge is not filled.

    Parameters
    ----------
    widths, colors
        As `wedge_colors` gives them.
    woods : Woods
        What insert and glue look like.

    Returns
    -------
    stop : float or None
        Full width; None where it cannot be told. [mm]
    why : str
        Why not; blank where there is an answer.
    """
    if woods.glue is None:
        return None, "no glue alone was seen at the wedge's thin end"
    if woods.apart < APART:
        return None, "glue and insert look alike"
    share = woods.insert_share(colors)
    insert = _without_strays(share > 0.5, round(0.3 / STEP))
    if insert.all():
        return None, "the wedge is filled as far as it can be seen"
    gone = np.flatnonzero(~insert & (widths < 2.5))
    if not len(gone) or gone[-1] + 1 >= len(widths):
        return None, "no place was found where filling begins"
    last = int(gone[-1])
    low, high = share[last], share[last + 1]
    part = float(np.clip((0.5 - low) / (high - low), 0, 1)) if high > low else 0.5
    return float(widths[last] + part * (widths[last + 1] - widths[last])), ""
