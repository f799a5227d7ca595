"""What stands on the page that is carried to the machine."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

from inlaylab.handbook.cautions import DEFER
from inlaylab.wording.lengths import both

if TYPE_CHECKING:
    from inlaylab.bench.cuts import Pair
    from inlaylab.services.plan_settings import Settings


def page_lines(
    settings: Settings, unit: str, *, mirror: str, bit: str | None = None, pair: Pair | None = None
) -> list[str]:
    """
    List bit, woods and depths to carry to the machine.

    Parameters
    ----------
    settings : services.plan_settings.Settings
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
    settings : services.plan_settings.Settings
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
