"""What the panel of notebook 5 lets a maker turn, and what it works out from that: no widget here."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from inlaylab.errors import InputError
from inlaylab.services.planning.plan_settings import Settings
from inlaylab.services.planning.stroke_map import StrokeMap

if TYPE_CHECKING:
    from inlaylab.artwork.axis.grain import Grain
    from inlaylab.artwork.axis.medial_axis import Axis
    from inlaylab.artwork.axis.thin_strokes import ThinStrokes, WidthShares
    from inlaylab.artwork.cutting.measures import Measures
    from inlaylab.artwork.cutting.virtual_cut import VirtualCut
    from inlaylab.artwork.polygons import Artwork
    from inlaylab.bench.coupons import Stroke
    from inlaylab.models.seating import Seat
    from inlaylab.services.planning.filling import Chance


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """
    An artwork with what never changes about it: axis, strokes, widths.

    Parameters
    ----------
    artwork : artwork.polygons.Artwork
        As drawn. [mm]
    axis : artwork.axis.medial_axis.Axis
        Its medial axis.
    strokes : tuple of bench.coupons.Stroke
        Its strokes, summed up.
    shares : artwork.axis.thin_strokes.WidthShares
        How much of it has which width.
    where : services.planning.stroke_map.StrokeMap
        Which stroke lies where.
    """

    artwork: Artwork
    axis: Axis
    strokes: tuple[Stroke, ...]
    shares: WidthShares
    where: StrokeMap

    @classmethod
    def of(cls, artwork: Artwork) -> Drawing:
        """Work out what an artwork needs once."""
        from inlaylab.artwork.axis.medial_axis import medial_axis
        from inlaylab.artwork.axis.strokes import strokes
        from inlaylab.artwork.axis.thin_strokes import WidthShares

        axis = medial_axis(artwork)
        return cls(
            artwork=artwork,
            axis=axis,
            strokes=strokes(artwork, axis=axis),
            shares=WidthShares.of(axis),
            where=StrokeMap.of(artwork, axis),
        )

    def scaled(self, scale: float) -> Drawing:
        """Make the same drawing larger or smaller; nothing is worked out anew."""
        from shapely.affinity import scale as stretched

        from inlaylab.bench.coupons import Stroke

        if scale == 1.0:
            return self
        polygons = stretched(self.artwork.polygons, scale, scale, origin=(0, 0))
        axis = self.axis
        strokes = tuple(
            Stroke(stroke_width=s.stroke_width * scale, land_width=min(s.land_width * scale, 2000.0))
            for s in self.strokes
        )
        return Drawing(
            artwork=replace(self.artwork, polygons=polygons),
            axis=replace(axis, ends=axis.ends * scale, half_widths=axis.half_widths * scale, feet=axis.feet * scale),
            strokes=strokes,
            shares=replace(self.shares, areas=self.shares.areas * scale**2, widths=self.shares.widths * scale),
            where=self.where.scaled(scale),
        )


@dataclass(frozen=True, kw_only=True)
class AtOnce:
    """
    What the closed form says of an artwork, in a moment.

    Parameters
    ----------
    seat : models.seating.Seat
        Where the plug rests.
    thinnest, widest : float
        Full widths of the artwork's strokes. [mm]
    worst_glue_line : float
        Worst glue line of the strokes that sanding leaves. [mm]
    filled : float
        Share of the area expected to fill.
    smallest_scale : float or None
        At which 98 % of the area is expected to fill; 1 is the drawing's own size.
    thicker_scale : float or None
        The same with every stroke 0.1 mm thicker.
    """

    seat: Seat
    thinnest: float
    widest: float
    worst_glue_line: float
    filled: float
    smallest_scale: float | None
    thicker_scale: float | None


THICKER = 0.1
"""How much thicker strokes are tried to bring an artwork to fill. Our choice: too little to see in a drawing. [mm]"""


def at_once(drawing: Drawing, settings: Settings, chance: Chance) -> AtOnce:
    """
    Ask the closed form about an artwork.

    Parameters
    ----------
    drawing : Drawing
        At its drawn size.
    settings : Settings
        Depths, bit, scale.
    chance : callable
        Chance that a stroke of a finished full width fills. [mm]

    Returns
    -------
    answer : AtOnce
        Corners, tapers and odd shapes are for the virtual cut.
    """
    import numpy as np

    from inlaylab.models.sanding import finished_width
    from inlaylab.models.seating import seat

    stroke = np.array([s.stroke_width for s in drawing.strokes]) * settings.scale / 2
    land = np.array([s.land_width for s in drawing.strokes]) * settings.scale / 2
    rest = seat(
        start_depth=settings.start_depth,
        pocket_depth=settings.pocket_depth,
        relief_depth=settings.relief_depth,
        stroke_half_width=stroke,
        land_half_width=land,
        path_angle=settings.path_angle,
        true_angle=settings.true_angle,
        tip_flat=settings.tip_flat,
        wall_allowance=settings.wall_allowance,
        crest_loss=settings.crest_loss,
        land_crest_loss=settings.crest_loss,
        outline_offset=settings.outline_offset,
    )
    left = finished_width(half_width=stroke, sanded_off=settings.sanded_off, path_angle=settings.path_angle) > 0
    lines = np.where(left, np.ravel(rest.glue_line), 0.0)
    cut = {"path_angle": settings.path_angle, "sanded_off": settings.sanded_off}
    return AtOnce(
        seat=rest,
        thinnest=float(2 * stroke.min()),
        widest=float(2 * stroke.max()),
        worst_glue_line=float(lines.max()),
        filled=drawing.shares.filled(chance, scale=settings.scale, **cut),
        smallest_scale=drawing.shares.smallest_scale(chance, **cut),
        thicker_scale=drawing.shares.smallest_scale(chance, thicker=THICKER, **cut),
    )


@dataclass(frozen=True, kw_only=True)
class Worked:
    """
    Everything that takes its time: the virtual cut, thin strokes, grain, and what the cut costs.

    Parameters
    ----------
    settings : Settings
        That it was worked out for.
    drawing : Drawing
        At its size.
    cut : artwork.cutting.virtual_cut.VirtualCut
        Seat, face, glue lines.
    thin : artwork.axis.thin_strokes.ThinStrokes
        Strokes under the limit.
    grain : artwork.axis.grain.Grain
        Thin strokes across the grain, against rotation.
    measures : artwork.cutting.measures.Measures
        Lengths, areas and volumes.
    """

    settings: Settings
    drawing: Drawing
    cut: VirtualCut
    thin: ThinStrokes
    grain: Grain
    measures: Measures

    @property
    def path_slope(self) -> float:
        """Tangent of half the path angle."""
        return math.tan(math.radians(self.settings.path_angle / 2))


def work_out(
    drawing: Drawing,
    settings: Settings,
    *,
    limit: float,
    border: float,
    pixel: float,
    preview: Callable[[VirtualCut], None] | None = None,
    progress: Callable[[float, float | None, str], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Worked:
    """
    Work out all that takes its time.

    Parameters
    ----------
    drawing : Drawing
        At its drawn size.
    settings : Settings
        Depths, bit, scale.
    limit, border, pixel : float
        Thin-stroke limit; ground around the artwork; pixel of the picture. [mm]
    preview, progress, stop : callable, optional
        As for a virtual cut.

    Returns
    -------
    worked : Worked
        The virtual cut knows no wall allowance and no crest loss: it is the plug as cut, dry.
    """
    from inlaylab.artwork.axis.grain import across_the_grain
    from inlaylab.artwork.axis.thin_strokes import thin_strokes
    from inlaylab.artwork.cutting.measures import measure
    from inlaylab.artwork.cutting.virtual_cut import virtual_cut

    sized = drawing.scaled(settings.scale)
    cut = virtual_cut(
        sized.artwork,
        axis=sized.axis,
        bit_angle=settings.path_angle,
        true_angle=settings.true_angle,
        tip_flat=settings.tip_flat,
        start_depth=settings.start_depth,
        pocket_depth=settings.pocket_depth,
        relief_depth=settings.relief_depth,
        sanded_off=settings.sanded_off,
        outline_offset=settings.outline_offset,
        pixel=pixel,
        preview=preview,
        progress=progress,
        stop=stop,
    )
    thin = thin_strokes(
        sized.artwork, limit=limit, path_angle=settings.path_angle, sanded_off=settings.sanded_off, axis=sized.axis
    )
    measures = measure(
        sized.artwork,
        path_angle=settings.path_angle,
        start_depth=settings.start_depth,
        pocket_depth=settings.pocket_depth,
        relief_depth=settings.relief_depth,
        border=border,
        axis=sized.axis,
    )
    return Worked(
        settings=settings,
        drawing=sized,
        cut=cut,
        thin=thin,
        grain=across_the_grain(thin.axis),
        measures=measures,
    )


def picture_pixel(drawing: Drawing, scale: float) -> float:
    """
    Choose a pixel fine enough for a picture and coarse enough to wait for.

    Parameters
    ----------
    drawing : Drawing
        The artwork.
    scale : float
        Its scale.

    Returns
    -------
    pixel : float
        A thousandth of the larger side, between 0.02 and 0.5. [mm]
    """
    side = max(drawing.artwork.width, drawing.artwork.height) * scale
    if not side > 0:
        raise InputError("the artwork has no size")
    return min(0.5, max(0.02, side / 1000))
