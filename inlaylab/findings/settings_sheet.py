"""The settings as a half page to print and lay beside the machine: both units, blanks, mirror line, cautions."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from inlaylab import units
from inlaylab.findings.markup import Part, escaped, pairs

if TYPE_CHECKING:
    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.advice.start_depth import Advice

BORDER, BACKER, FLOOR = 10.0, 4.0, 5.0
"""Wood kept around the artwork, left of the insert behind the plug, and of the host under the pocket (common practice,
no source). [mm]"""

TOPICS = ("bit", "work_holding", "dust", "noise", "woods")
"""Cautions that stand on the sheet."""


def settings_sheet(advice: Advice, shop: Shop, *, unit: str, size: tuple[float, float] | None = None) -> Part:
    """
    Give the settings of an answer as a sheet for the machine.

    Parameters
    ----------
    advice : fitting.advice.start_depth.Advice
        The answer.
    shop : bench.shop.Shop
        Describes bit and woods.
    unit : str
        The reader's unit; the other stands beside it.
    size : (float, float), optional
        Width and height of the artwork. [mm]

    Returns
    -------
    sheet : Part
        A table of each setting in both units, the blanks and the cautions.
    """
    asked = advice.question
    bit, woods = shop.bit(asked.bit), shop.pair(asked.pair)
    angle = asked.path_angle_deg or bit.nominal_angle_deg
    depth = advice.start_depth
    lengths = {
        "host: pocket depth": asked.pocket_depth,
        "insert: start depth": depth,
        "insert: ground around the plug, below its face": depth + asked.relief_depth,
        "insert: outline grown by, per side": asked.outline_offset,
        "floor gap that this leaves": asked.pocket_depth - depth,
    }
    if asked.pass_spacing:
        lengths["passes over flat ground, apart"] = asked.pass_spacing
    lengths["to sand off the face at the end"] = shop.habits.sanded_off
    other = "in" if unit == "mm" else "mm"
    rows = "".join(
        f'<tr><th scope="row">{escaped(name)}</th><td>{_set(value, unit)}</td><td>{_set(value, other)}</td></tr>'
        for name, value in lengths.items()
    )
    plain = {
        "bit": f"{bit.bit}, sold as {bit.nominal_angle_deg:g}°; compute both paths for {angle:g}°",
        "woods": f"plug of {woods.insert}, into a pocket in {woods.host}",
        "mirror line": "mirror the plug left to right, about its upright middle line, and turn it over sideways",
        "blanks": _blanks(size, start_depth=depth, pocket_depth=asked.pocket_depth, relief_depth=asked.relief_depth,
                          angle=angle, unit=unit),
    }  # fmt: skip
    head = (
        f'<thead><tr><th scope="col">setting</th><th scope="col">{unit}</th><th scope="col">{other}</th></tr></thead>'
    )
    caution = "".join(f"<li>{escaped(line)}</li>" for line in cautions(woods.host, woods.insert))
    markup = (
        f'<div class="sheet"><table class="pairs"><caption>Settings for the machine: {escaped(asked.bit)}, '
        f"{escaped(asked.pair)}</caption>{head}<tbody>{rows}</tbody></table>"
        f"{pairs(plain, 'Bit, woods and boards').markup}<ul>{caution}</ul></div>"
    )
    words = [*(f"{name}: {_set(v, unit)} = {_set(v, other)}" for name, v in lengths.items())]
    return Part(markup, "\n".join([*words, *(f"{name}: {value}" for name, value in plain.items())]))


def cautions(*woods: str) -> tuple[str, ...]:
    """
    Give the cautions of a sheet: what goes before everything first, then what to do; limits are left to the notebooks.

    Parameters
    ----------
    *woods : str
        Names of the woods in use.

    Returns
    -------
    lines : tuple of str
        One sentence each.
    """
    from inlaylab.handbook.cautions import DEFER, cautions_about

    found = cautions_about(*TOPICS, woods=woods)
    return DEFER, *(each.subject for each in found if not each.value)


def _set(length: float, unit: str) -> str:
    """Write a length as finely as a machine is set."""
    return units.format_length(length, unit, style="fine")


def _blanks(
    size: tuple[float, float] | None,
    *,
    start_depth: float,
    pocket_depth: float,
    relief_depth: float,
    angle: float,
    unit: str,
) -> str:
    """Say how large the boards must be at least, before surfacing."""
    from inlaylab.models.around.workload import blanks

    host, insert = blanks(
        artwork_length=size[0] if size else 0.0,
        artwork_width=size[1] if size else 0.0,
        start_depth=start_depth,
        pocket_depth=pocket_depth,
        relief_depth=relief_depth,
        path_slope=math.tan(math.radians(angle) / 2),
        border=BORDER,
        backer=BACKER,
        floor=FLOOR,
    )

    def both(length: float) -> str:
        rough = {"mm": (1, "in"), "in": (2, "mm"), "thou": (0, "mm")}[unit]
        second = units.format_length(length, rough[1], digits={"in": 2, "mm": 0}[rough[1]])
        return f"{units.format_length(length, unit, digits=rough[0])} ({second})"

    if size is None:
        return (
            f"host: the artwork and {both(host.length / 2)} more on each side, {both(host.thickness)} thick or more; "
            f"insert: {both(insert.length / 2)} more on each side, {both(insert.thickness)} thick or more"
        )
    return "; ".join(
        f"{name}: {both(board.length)} by {both(board.width)}, {both(board.thickness)} thick or more"
        for name, board in (("host", host), ("insert", insert))
    )
