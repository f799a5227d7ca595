"""What the panel of notebook 5 lets a maker turn, and what it works out from that: no widget here."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from inlaylab.errors import InputError


@dataclass(frozen=True, kw_only=True)
class Turn:
    """
    One thing that can be turned.

    Parameters
    ----------
    label : str
        As the maker reads it.
    low, high, step : float
        Ends and finest turn of its slider.
    unit : str
        "mm" for lengths (shown in the maker's unit), else a sign.
    """

    label: str
    low: float
    high: float
    step: float
    unit: str = "mm"


TURNS: dict[str, Turn] = {
    "start_depth": Turn(label="start depth", low=0.2, high=12.0, step=0.01),
    "pocket_depth": Turn(label="pocket depth", low=0.5, high=12.0, step=0.01),
    "relief_depth": Turn(label="relief depth", low=0.2, high=6.0, step=0.01),
    "sanded_off": Turn(label="sanded off", low=0.0, high=2.0, step=0.01),
    "path_angle": Turn(label="path angle", low=10.0, high=150.0, step=0.1, unit="°"),
    "true_angle": Turn(label="true angle", low=10.0, high=150.0, step=0.1, unit="°"),
    "tip_flat": Turn(label="tip flat", low=0.0, high=0.6, step=0.01),
    "outline_offset": Turn(label="outline offset", low=0.0, high=0.4, step=0.01),
    "scale": Turn(label="scale", low=10.0, high=400.0, step=1.0, unit="%"),
    "rotation": Turn(label="turn on the insert", low=-90.0, high=90.0, step=1.0, unit="°"),
}
"""What can be turned, in the order of the panel."""


@dataclass(frozen=True, kw_only=True)
class Settings:
    """
    How an artwork is to be cut.

    Parameters
    ----------
    start_depth, pocket_depth, relief_depth, sanded_off, tip_flat, outline_offset : float
        [mm]
    path_angle, true_angle : float
        [degrees]
    scale : float
        1 leaves the artwork as it is drawn.
    rotation : float
        Rotation of the plug on its blank, counter-clockwise as seen on the host. [degrees]
    wall_allowance, crest_loss : float
        What the fit expects; zero without one. [mm]
    """

    start_depth: float = 3.3
    pocket_depth: float = 4.0
    relief_depth: float = 2.0
    sanded_off: float = 0.3
    path_angle: float = 60.0
    true_angle: float = 60.0
    tip_flat: float = 0.0
    outline_offset: float = 0.0
    scale: float = 1.0
    rotation: float = 0.0
    wall_allowance: float = 0.0
    crest_loss: float = 0.0


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
    """

    artwork: Any
    axis: Any
    strokes: tuple[Any, ...]
    shares: Any

    @classmethod
    def of(cls, artwork: Any) -> Drawing:
        """Work out what an artwork needs once."""
        from inlaylab.artwork.axis.medial_axis import medial_axis
        from inlaylab.artwork.axis.strokes import strokes
        from inlaylab.artwork.axis.thin_strokes import WidthShares

        axis = medial_axis(artwork)
        return cls(artwork=artwork, axis=axis, strokes=strokes(artwork, axis=axis), shares=WidthShares.of(axis))

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
    worst_stroke : float
        Full width of the stroke that has it. [mm]
    filled : float
        Share of the area expected to fill.
    smallest_scale : float or None
        At which 98 % of the area is expected to fill; 1 is the drawing's own size.
    thicker_scale : float or None
        The same with every stroke 0.1 mm thicker.
    """

    seat: Any
    thinnest: float
    widest: float
    worst_glue_line: float
    worst_stroke: float
    filled: float
    smallest_scale: float | None
    thicker_scale: float | None


THICKER = 0.1
"""How much thicker strokes are tried to bring an artwork to fill. Our choice: too little to see in a drawing. [mm]"""


def at_once(drawing: Drawing, settings: Settings, chance: Callable[[Any], Any]) -> AtOnce:
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
        worst_stroke=float(2 * stroke[lines.argmax()]),
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
    cut: Any
    thin: Any
    grain: Any
    measures: Any

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
    progress, stop : callable, optional
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


def drawn_from(drawing: Drawing, settings: Settings, handful: tuple[dict[str, Any], ...]) -> tuple[Any, ...]:
    """
    Send a handful of a fit's draws through the virtual cut.

    Parameters
    ----------
    drawing : Drawing
        At its drawn size.
    settings : Settings
        Depths, path angle, offset, scale.
    handful : tuple of dict
        True angle, tip flat and zero errors of each draw. [degrees, mm]

    Returns
    -------
    cuts : tuple of artwork.cutting.virtual_cut.VirtualCut
        At a coarse pixel: their areas stay right to a thousandth.
    """
    from inlaylab.artwork.cutting.virtual_cut import virtual_cut

    sized = drawing.scaled(settings.scale)
    pixel = min(0.5, 2 * picture_pixel(drawing, settings.scale))
    return tuple(
        virtual_cut(
            sized.artwork,
            axis=sized.axis,
            bit_angle=settings.path_angle,
            start_depth=settings.start_depth,
            pocket_depth=settings.pocket_depth,
            relief_depth=settings.relief_depth,
            sanded_off=settings.sanded_off,
            outline_offset=settings.outline_offset,
            pixel=pixel,
            **draw,
        )
        for draw in handful
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
