"""The settings as a half page to print and lay beside the machine: both units, blanks, mirror line, cautions."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from inlaylab import units
from inlaylab.findings.markup import Part, escaped, pairs
from inlaylab.wording.findings import sheet as words
from inlaylab.wording.findings.page import sold_as

if TYPE_CHECKING:
    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.advice.settings import Setting
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
    now, turned = advice.settings.now, advice.settings.turned
    ways = {"settings": now} if turned == now else {words.TIGHTEST: turned, words.ALONE: now}
    board = {
        "bit": sold_as(bit.bit, bit.nominal_angle_deg),
        "woods": words.woods(woods.insert, woods.host),
        "mirror line": words.MIRROR,
        "blanks": _blanks(size, next(iter(ways.values())), pocket_depth=asked.pocket_depth, unit=unit),
    }
    if len(ways) > 1:
        board["which"] = words.WHICH
    caution = "".join(f"<li>{escaped(line)}</li>" for line in cautions(woods.host, woods.insert))
    rows = _rows(ways, advice, shop, (unit, "in" if unit == "mm" else "mm"))
    markup = (
        f'<div class="sheet">{_table(rows, list(ways), words.title(asked.bit, asked.pair))}'
        f"{pairs(board, words.BOARDS).markup}<ul>{caution}</ul></div>"
    )
    told = [f"{name}: {', '.join(' = '.join(each) for each in cells)}" for name, cells in rows.items()]
    return Part(markup, "\n".join([*told, *(f"{name}: {value}" for name, value in board.items())]))


def _rows(
    ways: Mapping[str, Setting], advice: Advice, shop: Shop, both: tuple[str, str]
) -> dict[str, list[tuple[str, ...]]]:
    """Each setting by its name: for each way to set it, the text in both units; an angle has one."""
    asked = advice.question
    lengths = {
        words.POCKET_DEPTH: [asked.pocket_depth for _ in ways],
        words.START_DEPTH: [way.start_depth for way in ways.values()],
        words.GROUND: [w.start_depth + w.relief_depth for w in ways.values()],
        words.OFFSET: [way.outline_offset for way in ways.values()],
        words.FLOOR_GAP: [asked.pocket_depth - way.start_depth for way in ways.values()],
        words.SANDED_OFF: [shop.habits.sanded_off for _ in ways],
    }
    if asked.pass_spacing:
        lengths[words.SPACING] = [asked.pass_spacing for _ in ways]
    rows = {name: [tuple(_set(value, unit) for unit in both) for value in values] for name, values in lengths.items()}
    return {words.PATH_ANGLE: [(f"{way.path_angle_deg:.2f}°",) for way in ways.values()], **rows}


def _table(rows: Mapping[str, Sequence[Sequence[str]]], ways: Sequence[str], caption: str) -> str:
    head = "".join(f'<th scope="col">{escaped(way)}</th>' for way in ways)
    body = "".join(
        f'<tr><th scope="row">{escaped(name)}</th>'
        + "".join(f"<td>{' <br>'.join(escaped(text) for text in cell)}</td>" for cell in cells)
        + "</tr>"
        for name, cells in rows.items()
    )
    what = escaped(words.WHAT_TO_SET)
    return (
        f'<table class="pairs"><caption>{escaped(caption)}</caption><thead><tr><th scope="col">{what}</th>{head}'
        f"</tr></thead><tbody>{body}</tbody></table>"
    )


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


def _blanks(size: tuple[float, float] | None, way: Setting, *, pocket_depth: float, unit: str) -> str:
    """Say how large the boards must be at least, before surfacing."""
    from inlaylab.models.around.workload import blanks

    host, insert = blanks(
        artwork_length=size[0] if size else 0.0,
        artwork_width=size[1] if size else 0.0,
        start_depth=way.start_depth,
        pocket_depth=pocket_depth,
        relief_depth=way.relief_depth,
        path_slope=math.tan(math.radians(way.path_angle_deg) / 2),
        border=BORDER,
        backer=BACKER,
        floor=FLOOR,
    )

    boards = (("host", host), ("insert", insert))
    if size is None:
        return "; ".join(words.blank_around(name, board.length / 2, board.thickness, unit) for name, board in boards)
    return "; ".join(words.blank(name, (board.length, board.width, board.thickness), unit) for name, board in boards)
