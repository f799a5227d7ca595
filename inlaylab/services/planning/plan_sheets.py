"""The files that a plan is carried to the machine with: outlines at true size and one page to print."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from inlaylab.artwork.polygons import Artwork
    from inlaylab.artwork.sheets.drawings import Sheet
    from inlaylab.services.planning.plan_settings import Settings


def write_sheets(
    artwork: Artwork,
    settings: Settings,
    *,
    stand_off: float,
    lines: list[str],
    levels: tuple[str, str, str, str, str],
    folder: str | None = None,
    border: float = 10.0,
    mirror: str = "y",
) -> tuple[Path, ...]:
    """
    Write pocket, mirrored plug and the page for the shop into a folder of their own.

    Parameters
    ----------
    artwork : artwork.polygons.Artwork
        At its size. [mm]
    settings : services.planning.plan_settings.Settings
        Depths, angle, offset, rotation.
    stand_off : float
        How high the plug is expected to sit. [mm]
    lines, levels : list and tuple of str
        What is written on the page, and the names of its section's levels.
    folder : str, optional
        Named after the drawing if left out.
    border : float
        Wood kept around the artwork. [mm]
    mirror : {"y", "x"}
        Along which axis the plug's mirror line runs.

    Returns
    -------
    files : tuple of Path
        All of them, or none.

    Raises
    ------
    DrawingError
        Where a file is there already or cannot be written; nothing new is left behind.
    """
    from inlaylab.artwork.sheets.plan import plug_sheet, pocket_sheet, write_plan

    title = Path(artwork.source).stem or "artwork"
    sheets = {
        "pocket": pocket_sheet(artwork, border=border, title=f"{title}: pocket"),
        "plug": plug_sheet(
            artwork,
            border=border,
            outline_offset=settings.outline_offset,
            rotation=settings.rotation,
            mirror=mirror,
            title=f"{title}: plug",
        ),
        "depths": shop_sheet(
            artwork, settings, stand_off=stand_off, lines=lines, levels=levels, mirror=mirror, title=title
        ),
    }
    return write_plan(Path(folder or f"{title}_plan"), sheets)


def shop_sheet(
    artwork: Artwork,
    settings: Settings,
    *,
    stand_off: float,
    lines: list[str],
    levels: tuple[str, str, str, str, str],
    mirror: str,
    title: str,
) -> Sheet:
    """
    Draw the page for the shop.

    Parameters
    ----------
    artwork, settings, stand_off, lines, levels, mirror
        As in `write_sheets`.
    title : str
        Of the page.

    Returns
    -------
    sheet : artwork.sheets.drawings.Sheet
    """
    from inlaylab.artwork.sheets.plan import plug_outline
    from inlaylab.artwork.sheets.shop_page import Section, shop_page

    section = Section(
        pocket_depth=settings.pocket_depth,
        start_depth=settings.start_depth,
        relief_depth=settings.relief_depth,
        stand_off=stand_off,
        sanded_off=settings.sanded_off,
        path_half_tangent=math.tan(math.radians(settings.path_angle / 2)),
        labels=levels,
    )
    plug = plug_outline(artwork, outline_offset=settings.outline_offset, rotation=settings.rotation, mirror=mirror)
    return shop_page(lines, title=f"{title}: depths", plug=plug, mirror=mirror, section=section)
