"""Which stroke lies where in an artwork, so that a picture of it can follow the settings at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.services.planning.plan_settings import Settings

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from inlaylab.artwork.axis.medial_axis import Axis
    from inlaylab.artwork.polygons import Artwork
    from inlaylab.services.planning.filling import Chance

PIXELS = 700
"""Pixels along the longer side of the map."""


@dataclass(frozen=True, kw_only=True)
class StrokeMap:
    """
    A picture of an artwork in which each pixel knows its stroke and the land beside it.

    Parameters
    ----------
    patches : numpy.ndarray
        Shape (rows, columns): number of the patch each pixel lies in; row 0 is the lowest.
    extent : tuple of float
        Left, right, bottom and top of the picture. [mm]
    stroke_half_widths, land_half_widths : numpy.ndarray
        Shape (patches,): of the stroke that a patch belongs to, and of the land beyond its outline. [mm]

    Notes
    -----
    A patch is the wood between a piece of the medial axis and one of its feet: all patches make up the artwork.
    """

    patches: NDArray[np.int32]
    extent: tuple[float, float, float, float]
    stroke_half_widths: NDArray[np.float64]
    land_half_widths: NDArray[np.float64]

    @classmethod
    def of(cls, artwork: Artwork, axis: Axis) -> StrokeMap:
        """Take it from an artwork and its medial axis; nothing in it depends on any setting."""
        from inlaylab.artwork.axis.widths import stroke_half_widths

        strokes = axis.where(axis.inside)
        left, bottom, right, top = artwork.polygons.bounds
        pixel = max(right - left, top - bottom) / PIXELS
        columns, rows = (max(1, int(np.ceil(span / pixel))) for span in (right - left, top - bottom))
        corners = np.stack(  # of each patch: the piece forth, its foot back
            [np.concatenate([strokes.ends, strokes.feet[:, side, ::-1]], axis=1) for side in (0, 1)], axis=1
        ).reshape(-1, 4, 2)
        return cls(
            patches=_painted((corners - [left, bottom]) / pixel, rows, columns),
            extent=(left, left + columns * pixel, bottom, bottom + rows * pixel),
            stroke_half_widths=np.repeat(stroke_half_widths(strokes).mean(axis=1), 2),
            land_half_widths=_lands(artwork, axis, strokes.feet.mean(axis=2).reshape(-1, 2)),
        )

    def scaled(self, scale: float) -> StrokeMap:
        """Make the same map larger or smaller."""
        left, right, bottom, top = (scale * value for value in self.extent)
        return replace(
            self,
            extent=(left, right, bottom, top),
            stroke_half_widths=self.stroke_half_widths * scale,
            land_half_widths=self.land_half_widths * scale,
        )

    def glue_lines(self, settings: Settings, seat_level: float) -> NDArray[np.float64]:
        """
        Tell the glue line of each patch, by the closed form.

        Parameters
        ----------
        settings : services.planning.plan_settings.Settings
            Depths and bit; the map is at its size already.
        seat_level : float
            Where the plug rests: stand-off plus both zero errors. [mm]

        Returns
        -------
        lines : numpy.ndarray
            Shape (patches,), per side; not a number where sanding takes the stroke away. [mm]
        """
        from inlaylab.models.walls import glue_line, path_depth

        angle = settings.path_angle
        land = np.maximum(self.land_half_widths - settings.outline_offset, 0.0)
        lines = glue_line(
            stroke_depth=path_depth(
                half_width=self.stroke_half_widths, depth_cap=settings.pocket_depth, path_angle=angle
            ),
            land_depth=path_depth(half_width=land, depth_cap=settings.relief_depth, path_angle=angle),
            path_angle=angle,
            true_angle=settings.true_angle,
            tip_flat=settings.tip_flat,
            seat_level=seat_level,
            outline_offset=settings.outline_offset,
        )
        return np.where(self._finished(settings) > 0, lines, np.nan)

    def fill_chances(self, settings: Settings, chance: Chance) -> NDArray[np.float64]:
        """
        Tell the chance that each patch fills.

        Parameters
        ----------
        settings : services.planning.plan_settings.Settings
            Path angle and sanding; the map is at its size already.
        chance : callable
            Chance that a stroke of a finished full width fills. [mm]

        Returns
        -------
        chances : numpy.ndarray
            Shape (patches,), 0 to 1; not a number where sanding takes the stroke away.
        """
        finished = self._finished(settings)
        return np.where(finished > 0, chance(np.maximum(finished, 0.0)), np.nan)

    def _finished(self, settings: Settings) -> NDArray[np.float64]:
        from inlaylab.models.sanding import finished_width

        width = finished_width(
            half_width=self.stroke_half_widths, sanded_off=settings.sanded_off, path_angle=settings.path_angle
        )
        return np.asarray(width, dtype=float)


def _painted(corners: NDArray[np.float64], rows: int, columns: int) -> NDArray[np.int32]:
    """Paint every patch with its number; pixels that no patch covers take their nearest neighbour's."""
    from PIL import Image, ImageDraw
    from scipy.ndimage import distance_transform_edt

    picture = Image.new("I", (columns, rows), 0)
    brush = ImageDraw.Draw(picture)
    spans = np.ptp(corners, axis=1).max(axis=1)
    for number in np.argsort(-spans):  # small patches last, or their large neighbours' rims hide them
        brush.polygon([tuple(corner) for corner in corners[number].tolist()], fill=int(number) + 1)
    patches = np.array(picture, dtype=np.int32) - 1
    nearest = distance_transform_edt(patches < 0, return_distances=False, return_indices=True)
    return np.ascontiguousarray(patches[tuple(nearest)])


def _lands(artwork: Artwork, axis: Axis, feet: NDArray[np.float64]) -> NDArray[np.float64]:
    """Half-width of the land beyond the outline at each foot."""
    from scipy.spatial import cKDTree

    from inlaylab.artwork.axis.widths import widths_along_outline

    along = widths_along_outline(artwork, axis=axis)
    _, nearest = cKDTree(along[:, 2:]).query(feet)
    return along[nearest, 1] / 2
