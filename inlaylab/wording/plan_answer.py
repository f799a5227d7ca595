"""What notebook 5 answers above its picture: one glue line, one fill rate, and what they mean."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.wording.chances import percent
from inlaylab.wording.contacts import HELD_BY
from inlaylab.wording.lengths import between, length

if TYPE_CHECKING:
    from inlaylab.artwork.cutting.virtual_cut import VirtualCut
    from inlaylab.services.plan import AtOnce


def closed_form_lines(quick: AtOnce, unit: str, *, fitted: bool) -> list[str]:
    """
    Say what the sliders' settings will show.

    Parameters
    ----------
    quick : services.plan.AtOnce
        The closed form's answer.
    unit : str
        The reader's unit.
    fitted : bool
        Whether a fit knows this bit and pair.

    Returns
    -------
    lines : list of str
        The first is the answer, the second what it means.
    """
    from inlaylab.services.plan import THICKER

    known = "with what your log knows of this bit and pair" if fitted else "with the bit as sold: nothing is fitted yet"
    lines = [
        f"Widest glue line {length(quick.worst_glue_line, unit)} per side; {percent(quick.filled)} of the artwork "
        "fills.",
        f"Each stroke counts as a long bar of its width, {known}; sharp corners and odd shapes need the virtual cut.",
        f"{_seat(float(quick.seat.stand_off), str(quick.seat.held_up_by), unit)} "
        f"Strokes are {between(quick.thinnest, quick.widest, unit)} wide.",
    ]
    if quick.smallest_scale is None:
        lines.append("At no size does 98 % of it fill: make its strokes thicker, or sand less.")
        return lines
    thicker = ""
    if quick.thicker_scale is not None:
        thicker = f" With every stroke {length(THICKER, unit)} thicker, from {percent(quick.thicker_scale)}."
    return [*lines, f"98 % of it fills from {percent(quick.smallest_scale)} of the drawing's size on.{thicker}"]


def cut_lines(cut: VirtualCut, unit: str) -> list[str]:
    """
    Say what the virtual cut shows.

    Parameters
    ----------
    cut : artwork.cutting.virtual_cut.VirtualCut
        The cut.
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
        The first is the answer, the second what it means.
    """
    if cut.fill_rate is None:
        return ["Sanding leaves nothing of this artwork."]
    lines = [
        f"Widest glue line {length(cut.worst_glue_line or 0.0, unit)} per side; {cut.fill_rate:.1%} of the finished "
        "face fills.",
        "Every corner as this bit leaves it, but dry: no glue, no crushed fibers, nothing broken off.",
        _seat(cut.stand_off, cut.held_up_by, unit),
    ]
    if cut.strokes_lost_area > 0.002 * cut.artwork_area:
        lines.append(f"Sanding loses strokes that make up {cut.strokes_lost_area / cut.artwork_area:.1%} of the area.")
    return lines


def _seat(stand_off: float, held: str, unit: str) -> str:
    way = "sinks" if stand_off <= 0 else "stands proud"
    return f"The plug {way} by {length(abs(stand_off), unit)}, held up by {held}: {HELD_BY[held]}."
