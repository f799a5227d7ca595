"""
Thin strokes: which ones may not fill, how small an artwork may be made, what thickening would change.

Strokes scale with the artwork; bit, wood and sanding do not.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.artwork.axis.medial_axis import Axis, medial_axis
from inlaylab.artwork.axis.widths import areas, is_steep, stroke_half_widths
from inlaylab.errors import InputError

if TYPE_CHECKING:
    from shapely import MultiPolygon
    from shapely.geometry.base import BaseGeometry

    from inlaylab.artwork.polygons import Artwork

_SCALES = 0.02, 50.0


@dataclass(frozen=True, kw_only=True)
class ThinStrokes:
    """
    Strokes narrower, on the finished face, than the thin-stroke limit.

    Parameters
    ----------
    limit : float
        Finished full width below which a stroke counts as thin. [mm]
    axis : Axis
        Middles of the thin strokes, without their branches into corners. [mm]
    polygons : shapely.MultiPolygon
        The thin strokes themselves, to be marked on the drawing. [mm]
    share : float
        Their share of the artwork's area.
    """

    limit: float
    axis: Axis
    polygons: MultiPolygon
    share: float

    @property
    def length(self) -> float:
        """Length of all thin strokes together [mm]."""
        return float(self.axis.lengths.sum())


def thin_strokes(
    artwork: Artwork | BaseGeometry,
    *,
    limit: float,
    path_angle: float,
    sanded_off: float = 0.0,
    axis: Axis | None = None,
) -> ThinStrokes:
    """
    Find the strokes that fall under a thin-stroke limit.

    Parameters
    ----------
    artwork : Artwork or shapely polygon
        The drawing. [mm]
    limit : float
        Thin-stroke limit: a finished full width. [mm]
    path_angle : float
        Included angle of the path. [degrees]
    sanded_off : float
        What comes off the face: it narrows a stroke by 2 s tan(a0/2). [mm]
    axis : Axis, optional
        The artwork's medial axis, if it is at hand.

    Returns
    -------
    thin : ThinStrokes
        Corners of wide strokes are no thin strokes.

    Examples
    --------
    >>> from shapely import box
    >>> two = box(0, 0, 40, 0.5).union(box(0, 5, 40, 11))
    >>> thin = thin_strokes(two, limit=0.6, path_angle=60)
    >>> print(len(thin.polygons.geoms), f"{thin.share:.3f}")
    1 0.077
    """
    import shapely

    axis = medial_axis(artwork) if axis is None else axis
    half = drawn_half_width(limit, path_angle, sanded_off)
    strokes = axis.where(axis.inside)
    widths = stroke_half_widths(strokes)
    thin = np.flatnonzero(widths.min(axis=1) < half)
    below = widths[thin].max(axis=1) < half
    part = strokes.where(thin[~below]).between(0.0, half)
    whole = strokes.where(thin[below])
    both = Axis(**{n: np.concatenate([getattr(whole, n), getattr(part, n)]) for n in Axis.__dataclass_fields__})
    corners = np.stack([both.feet[:, 0, 0], both.ends[:, 0], both.feet[:, 1, 0],
                        both.feet[:, 1, 1], both.ends[:, 1], both.feet[:, 0, 1]], axis=1)  # fmt: skip
    patches = shapely.buffer(shapely.polygons(corners), 1e-6, quad_segs=1) if len(corners) else []
    shape = shapely.union_all(patches)
    area = float(areas(strokes).sum())
    polygons = shapely.MultiPolygon([p for p in shapely.get_parts(shape) if p.geom_type == "Polygon"])
    share = float(areas(both).sum()) / area if area else 0.0
    return ThinStrokes(limit=limit, axis=both.where(~is_steep(both)), polygons=polygons, share=share)


def drawn_half_width(finished_width: float, path_angle: float, sanded_off: float) -> float:
    """
    Half-width that a stroke must be drawn with to keep a finished width.

    Parameters
    ----------
    finished_width, sanded_off : float
        Full width on the finished face; what comes off it. [mm]
    path_angle : float
        Included angle of the path. [degrees]

    Returns
    -------
    half_width : float
        [mm]

    Examples
    --------
    >>> print(drawn_half_width(0.6, 90, 0.3).__round__(6))
    0.6
    """
    return finished_width / 2 + sanded_off * float(np.tan(np.radians(path_angle / 2)))


@dataclass(frozen=True, kw_only=True)
class WidthShares:
    """
    How much of an artwork has which stroke width: all that filling depends on, ready to be asked again and again.

    Parameters
    ----------
    areas : numpy.ndarray
        Shape (parts,): area of each part of the strokes. [mm2]
    widths : numpy.ndarray
        Shape (parts, steps): full stroke width along each part. [mm]
    """

    areas: np.ndarray
    widths: np.ndarray

    @classmethod
    def of(cls, axis: Axis) -> WidthShares:
        """Take them from a medial axis."""
        strokes = axis.where(axis.inside)
        ends = 2 * stroke_half_widths(strokes)
        share = np.array([0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95])  # along each piece: tapers are taken in parts
        return cls(areas=areas(strokes), widths=ends[:, :1] + share * np.diff(ends, axis=1))

    def filled(
        self,
        chance: Callable[[np.ndarray], np.ndarray],
        *,
        path_angle: float,
        sanded_off: float = 0.0,
        scale: float = 1.0,
        thicker: float = 0.0,
    ) -> float:
        """
        Share of the artwork's area that is expected to fill.

        Parameters
        ----------
        chance : callable
            Chance that a stroke of a finished full width fills; with no width left there is no stroke. [mm]
        path_angle, sanded_off : float
            As in `thin_strokes`. [degrees], [mm]
        scale : float
            By which the artwork is scaled.
        thicker : float
            By which every stroke's full width is grown after scaling. [mm]

        Returns
        -------
        share : float
            Area of each part times its chance, over the whole area; areas are those drawn.
        """
        finished = scale * self.widths + thicker - 2 * drawn_half_width(0.0, path_angle, sanded_off)
        filled = np.where(finished > 0, chance(finished), 0.0).mean(axis=1)
        return float((filled * self.areas).sum() / self.areas.sum())

    def smallest_scale(
        self, chance: Callable[[np.ndarray], np.ndarray], *, share: float = 0.98, **cut: float
    ) -> float | None:
        """
        Smallest scale at which a share of the artwork's area is expected to fill.

        Parameters
        ----------
        chance, **cut
            As in `filled`, without the scale.
        share : float
            Share asked for.

        Returns
        -------
        scale : float or None
            1 leaves the artwork as it is; None where no scale between 0.02 and 50 will do.

        Examples
        --------
        >>> from shapely import box
        >>> bar = WidthShares.of(medial_axis(box(0, 0, 40, 2)))
        >>> print(f"{bar.smallest_scale(step_chance(0.6), path_angle=60):.2f}")
        0.30
        """
        if not 0 < share < 1:
            raise InputError("the share to be filled", value=share, allowed="between 0 and 1")
        low, high = _SCALES
        if self.filled(chance, scale=high, **cut) < share:
            return None
        if self.filled(chance, scale=low, **cut) >= share:
            return low
        while high / low > 1.0005:
            middle = float(np.sqrt(low * high))
            enough = self.filled(chance, scale=middle, **cut) >= share
            low, high = (low, middle) if enough else (middle, high)
        return high


def step_chance(limit: float) -> Callable[[np.ndarray], np.ndarray]:
    """
    Chance of filling for want of a fit: none below a limit, sure from it on.

    Parameters
    ----------
    limit : float
        Thin-stroke limit, a finished full width. [mm]

    Returns
    -------
    chance : callable
        For `WidthShares`.
    """
    return lambda width: (np.asarray(width) >= limit).astype(float)
