"""
Results in, pictures out: no calculation.

Which picture do I need? `section`: what touches what; `worst_line`: why this start depth;
`bend`: the worst line of one cut; `glue_line`: what each
stroke width will show; `settings`: what turning the settings gains; `made_of`: what a worst line is made of; `known`:
what the log knows; `beside_others`: where a shop lies among others; `residuals`: which readings do not belong;
`forecasts`: how often the kit was right here;
`fill_share`: which strokes fill; `taught`: what each cut moved; `drift`: how bits wear in the log; `coupon`: where a
station lies; `coupon_drawing`: the coupon to scale; `grooves` and `wear`: what a bit is and becomes; `season`: what
moisture moves; `levelling`: what is left proud; `sanding`: what more may come off; `tram`: what a leaning
spindle does; `glue`: where the glue goes; `where_to_measure`: where a groove and a flat are read;
`planned_artwork`: which strokes are thin; `virtual_cut`: what fills
and what stays open; `cut_section`: how plug and pocket mate along a line;
`coupon_read`: what a scan or photo of a coupon shows.
Each lives in a file of its own name and takes a result, the reader's unit and, if wanted, axes to draw on.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from inlaylab.figures.style import Picture


def figure(name: str) -> Callable[..., Picture]:
    """Give the function that draws a picture, loading it only now."""
    from importlib import import_module

    draw: Callable[..., Picture] = getattr(import_module(f"inlaylab.figures.{name}"), name)
    return draw
