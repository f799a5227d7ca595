"""An artwork summed up as a bounded set of strokes and lands, for the closed form and for advice."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from inlaylab.artwork.axis.widths import spread_out, widths_along_outline
from inlaylab.bench.coupons import Stroke

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from inlaylab.artwork.axis.medial_axis import Axis
    from inlaylab.artwork.polygons import Artwork


def strokes(
    artwork: Artwork | BaseGeometry, *, least_width: float = 0.4, most: int = 40, axis: Axis | None = None
) -> tuple[Stroke, ...]:
    """
    Sum up an artwork as a bounded set of strokes with the land beside each, for the closed form and for advice.

    Parameters
    ----------
    artwork : Artwork or shapely polygon
        The drawing. [mm]
    least_width : float
        Full width of the narrowest stroke and land that count; tapering ones count from there up. [mm]
    most : int
        Number of strokes at most.
    axis : Axis, optional
        The artwork's medial axis, if it is at hand.

    Returns
    -------
    strokes : tuple of Stroke
        The thinnest, the widest, those beside the narrowest and the widest land, and others so that every pair of
        widths along the outline is near one of them; thinnest first.

    Notes
    -----
    Widths beyond 120 mm are told as 120 mm: no bit's full depth is wider. Branches into corners wider than 60 degrees
    are left out: the tip's contact there is never higher than a stroke's (the model, section 4, trap b).

    Examples
    --------
    >>> from shapely import box
    >>> bars = box(0, 0, 40, 3).union(box(0, 5, 40, 11))
    >>> ends = strokes(bars)
    >>> print(round(ends[0].stroke_width, 2) < 3.1, round(ends[-1].stroke_width, 2), min(s.land_width for s in ends))
    True 6.0 2.0
    """
    pairs = widths_along_outline(artwork, axis=axis)[:, :2]
    wide = pairs.min(axis=1) >= least_width
    pairs = pairs[wide] if wide.any() else np.maximum(pairs[[pairs.min(axis=1).argmax()]], 0.01)
    _, first = np.unique(np.round(np.log(pairs) / 0.02), axis=0, return_index=True)
    pairs = pairs[first]
    chosen = pairs[spread_out(np.log(pairs), most)]
    chosen = np.round(chosen[np.lexsort([chosen[:, 1], chosen[:, 0]])], 4)
    return tuple(Stroke(stroke_width=float(stroke), land_width=float(land)) for stroke, land in chosen)
