"""What notebook 5 answers above its picture, and what stands on the page that is carried to the machine."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

from inlaylab.handbook.cautions import DEFER
from inlaylab.wording.chances import percent
from inlaylab.wording.contacts import HELD_BY
from inlaylab.wording.lengths import between, both, length

if TYPE_CHECKING:
    from inlaylab.artwork.cutting.virtual_cut import VirtualCut
    from inlaylab.bench.cuts import Pair
    from inlaylab.services.planning.plan import AtOnce
    from inlaylab.services.planning.plan_settings import Settings


def closed_form_lines(quick: AtOnce, unit: str, *, fitted: bool) -> list[str]:
    """
    Say what the sliders' settings will show.

    Parameters
    ----------
    quick : services.planning.plan.AtOnce
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
    from inlaylab.services.planning.plan import THICKER

    known = "with what your log knows of this bit and pair" if fitted else "with the bit as sold: nothing is fitted yet"
    lines = [
        f"Widest glue line {length(quick.worst_glue_line, unit)} per side; {percent(quick.filled)} of the artwork "
        "fills.",
        f"Each stroke counts as a long bar of its width, {known}; sharp corners and odd shapes need the virtual cut.",
        f"{_seat(float(quick.seat.stand_off), str(quick.seat.held_up_by), unit)} "
        f"Strokes are {between(quick.thinnest, quick.widest, unit)} wide.",
    ]
    if quick.smallest_scale is None:
        lines.append("At no size does 98% of it fill: make its strokes thicker, or sand less.")
        return lines
    thicker = ""
    if quick.thicker_scale is not None:
        thicker = f"; with every stroke {length(THICKER, unit)} thicker, at {percent(quick.thicker_scale)} or larger"
    return [*lines, f"98% of it fills at {percent(quick.smallest_scale)} of the drawing's size or larger{thicker}."]


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
    return f"The plug {way} by {length(abs(stand_off), unit)}. Held up by the {held}: {HELD_BY[held]}."


def page_lines(
    settings: Settings, unit: str, *, mirror: str, bit: str | None = None, pair: Pair | None = None
) -> list[str]:
    """
    List bit, woods and depths to carry to the machine.

    Parameters
    ----------
    settings : services.planning.plan_settings.Settings
        As turned.
    unit : str
        The reader's unit; millimetres or inches stand beside it.
    mirror : {"y", "x"}
        Along which axis the mirror line of the plug runs.
    bit : str, optional
        Name of the bit.
    pair : bench.cuts.Pair, optional
        The woods.

    Returns
    -------
    lines : list of str
    """
    woods = f"Host {pair.host}, insert {pair.insert}" if pair is not None else "Woods: ________________"
    return [
        f"Bit {bit or '________'}, path angle {settings.path_angle:g} degrees for both boards",
        woods,
        f"Pocket in the host: {both(settings.pocket_depth, unit)} deep",
        f"Plug in the insert: start depth {both(settings.start_depth, unit)} below its face",
        f"Plug, ground around it: {both(settings.start_depth + settings.relief_depth, unit)} deep in all "
        f"(relief depth {both(settings.relief_depth, unit)})",
        f"Floor gap as programmed: {both(settings.pocket_depth - settings.start_depth, unit)}",
        f"Plug mirrored, mirror line along {mirror}, turned by {settings.rotation:g} degrees on its blank",
        f"Plug's outline grown by {both(settings.outline_offset, unit)} per side",
        f"Drawn at {settings.scale:.1%} of the drawing's size",
        f"Sand off {both(settings.sanded_off, unit)} after levelling",
        "",
        "Before cutting: lay a ruler on both lines below. If one is off, the print is scaled.",
        "Estimates for planning, not a machine's program; try the depths on scrap first.",
        *wrap(DEFER, 100),
    ]


def level_names(settings: Settings, stand_off: float, unit: str) -> tuple[str, str, str, str, str]:
    """
    Name the levels of the section, from the backer down to the pocket's floor.

    Parameters
    ----------
    settings : services.planning.plan_settings.Settings
        As turned.
    stand_off : float
        How high the plug is expected to sit. [mm]
    unit : str
        The reader's unit.

    Returns
    -------
    names : tuple of str
    """
    nose = settings.start_depth - stand_off
    return (
        f"backer: {both(settings.relief_depth + stand_off, unit)} up",
        "host's face: 0",
        f"finished face: {both(settings.sanded_off, unit)} down",
        f"plug's nose: {both(nose, unit)} down",
        f"pocket's floor: {both(settings.pocket_depth, unit)} down",
    )
