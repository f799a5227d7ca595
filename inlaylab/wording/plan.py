"""The sentences of the panel of notebook 5: numbers in, words out."""

from __future__ import annotations

from typing import Any

from inlaylab.services.plan import THICKER, AtOnce, Settings, Worked
from inlaylab.units import format_length
from inlaylab.wording import advice as answer
from inlaylab.wording.chances import percent
from inlaylab.wording.contacts import HELD_BY

#: Where work meets danger, the kit says so and defers.
CAUTION = (
    "Estimates for planning, not a machine's program: follow your machine's manual, local codes and licensed practice; "
    "clamp both boards clear of the path, and try depths on waste wood first."
)


def drawing_line(artwork: Any, scale: float, unit: str) -> str:
    """
    Say what was opened, how large it is and what was mended.

    Parameters
    ----------
    artwork : artwork.polygons.Artwork
        The drawing.
    scale : float
        By which it will be cut.
    unit : str
        The reader's unit.

    Returns
    -------
    line : str
    """
    wide, high = (format_length(value * scale, unit) for value in (artwork.width, artwork.height))
    sized = "" if scale == 1 else f" at {scale:.0%}"
    mended = "".join(f" Mended: {note}." for note in artwork.mended)
    return f"{artwork.source}: {wide} wide and {high} high{sized}.{mended}"


def quick_lines(quick: AtOnce, settings: Settings, unit: str) -> list[str]:
    """
    Say what the closed form found.

    Parameters
    ----------
    quick : AtOnce
        Its answer.
    settings : Settings
        What was asked.
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
        The first is the answer in short.
    """

    def told(length: float) -> str:
        return format_length(length, unit)

    stand_off = float(quick.seat.stand_off)
    held = str(quick.seat.held_up_by)
    way = "sinks" if stand_off <= 0 else "stands proud"
    lines = [
        f"The plug {way} by {told(abs(stand_off))}; the widest glue line is {told(quick.worst_glue_line)} per side."
    ]
    lines.append(
        f"Held up by {held}: {HELD_BY[held]}. Strokes are {told(quick.thinnest)} to {told(quick.widest)} wide."
    )
    lines.append(
        f"{quick.filled:.0%} of the artwork's area is expected to fill after sanding {told(settings.sanded_off)}."
    )
    if quick.smallest_scale is None:
        lines.append("No scale brings 98 % of it to fill: thicken its strokes, or sand less.")
    else:
        thicker = ""
        if quick.thicker_scale is not None:
            thicker = f" With every stroke {told(THICKER)} thicker, from {quick.thicker_scale:.0%}."
        lines.append(f"98 % fills from a scale of {quick.smallest_scale:.0%} of the drawing on.{thicker}")
    return lines


def worked_lines(worked: Worked, unit: str) -> list[str]:
    """
    Say what the virtual cut, the thin strokes and the grain show.

    Parameters
    ----------
    worked : Worked
        All that was worked out.
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
    """
    cut, thin, grain = worked.cut, worked.thin, worked.grain
    lines = [f"Virtual cut (dry, as cut): held up by {cut.held_up_by}, stand-off {_signed(cut.stand_off, unit)}."]
    if cut.fill_rate is None:
        lines.append("Sanding leaves nothing of this artwork.")
    else:
        worst = format_length(cut.worst_glue_line or 0.0, unit)
        lines.append(f"{cut.fill_rate:.1%} of the finished face fills; the widest glue line is {worst} per side.")
    if cut.strokes_lost_area > 0.002 * cut.artwork_area:
        lines.append(f"Sanding takes away strokes with {cut.strokes_lost_area / cut.artwork_area:.1%} of the area.")
    if thin.length > 0:
        now, best = (grain.at(turn) for turn in (worked.settings.rotation, grain.best))
        lines.append(
            f"Thin strokes are {format_length(thin.length, unit)} long, {thin.share:.1%} of the area; {now:.0%} of "
            f"that length lies across the grain. Turned by {grain.best:g}° on the insert it is {best:.0%}."
        )
    return lines


def cost_lines(worked: Worked, *, pass_spacing: float, feed: float, border: float, film: float, unit: str) -> list[str]:
    """
    Say what wood, time and glue the artwork takes, each with its formula.

    Parameters
    ----------
    worked : Worked
        All that was worked out.
    pass_spacing, border, film : float
        Spacing of the V-bit's own passes, ground cleared around the artwork, thickness of the glue film. [mm]
    feed : float
        Speed of the tool through the wood. [mm/min]
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
    """
    from inlaylab.models.around.glue import joint_volume
    from inlaylab.models.around.workload import blanks, cutting_time, path_length

    m, settings = worked.measures, worked.settings
    host, insert = blanks(
        artwork_length=m.width,
        artwork_width=m.height,
        start_depth=settings.start_depth,
        pocket_depth=settings.pocket_depth,
        relief_depth=settings.relief_depth,
        path_slope=worked.path_slope,
        border=border,
        backer=4.0,
        floor=5.0,
    )
    paths = {
        "pocket": path_length(
            outline_length=m.pocket_rim_length,
            flat_area=m.pocket_flat_area,
            pass_spacing=pass_spacing,
            axis_length=m.pocket_axis_length,
        ),
        "plug": path_length(
            outline_length=m.ground_rim_length,
            flat_area=m.ground_flat_area,
            pass_spacing=pass_spacing,
            axis_length=m.ground_axis_length,
        ),
    }
    times = {name: cutting_time(path_length=length, feed=feed) for name, length in paths.items()}
    gap = m.floor_void / m.nose_area if m.nose_area > 0 else 0.0
    glue = joint_volume(wall_area=m.wall_area, film_thickness=film, floor_area=m.nose_area, floor_gap=gap)

    def size(blank: Any) -> str:
        return " x ".join(format_length(side, unit) for side in (blank.length, blank.width, blank.thickness))

    return [
        f"Host blank {size(host)}, insert blank {size(insert)} (with border, 5 mm under the pocket, 4 mm of backer).",
        f"Path: pocket {paths['pocket'] / 1000:.2f} m, plug {paths['plug'] / 1000:.2f} m (rims + middles of thin "
        f"strokes + flat area / spacing); {times['pocket']:.1f} and {times['plug']:.1f} minutes, one pass each.",
        f"Wood cut away: pocket {m.pocket_volume / 1000:.1f} cm3, around the plug {m.ground_volume / 1000:.1f} cm3.",
        f"Walls {m.wall_area / 100:.1f} cm2 (area nearer to the outline than min(S, P) tan(a/2), over sin(a/2)); glue "
        f"up to {glue / 1000:.2f} ml (walls x film + room under the plug).",
    ]


def spread_lines(spread: Any, advice: Any, pictures: Any, unit: str) -> list[str]:
    """
    Say what the fit expects of the artwork.

    Parameters
    ----------
    spread : fitting.predict.artwork.Planned
        Draws at the settings as they are.
    advice : fitting.advice.start_depth.Advice
        The start depth to use.
    pictures : sequence of artwork.cutting.virtual_cut.VirtualCut
        A handful of draws as virtual cuts; may be empty.
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
        The first is the advice.
    """

    def told(length: float) -> str:
        return format_length(length, unit)

    lines = [answer.headline(advice, unit), *answer.settings_lines(advice, unit), *answer.chance_lines(advice, unit)]
    lines += answer.depth_lines(advice, unit)
    low, middle, high = spread.worst_glue_line
    lines.append(
        f"At the depths as turned: the widest glue line is expected at {told(spread.expected_worst)} "
        f"({told(low)} to {told(high)}, 90 %); chance that all are within: {percent(spread.within_chance)}."
    )
    low, middle, high = spread.stand_off
    lines.append(f"Stand-off {_signed(middle, unit)} ({_signed(low, unit)} to {_signed(high, unit)}, 90 %).")
    along, across = (spread.finished_widths[(way >= 0.9).argmax()] for way in (spread.along, spread.across))
    lines.append(f"Strokes fill with 90 % from {told(along)} finished width along the grain, {told(across)} across it.")
    rates = [cut.fill_rate for cut in pictures if cut.fill_rate is not None]
    if rates:
        lines.append(
            f"A handful of draws as virtual cuts (dry): {min(rates):.1%} to {max(rates):.1%} of the face fills."
        )
    return lines


def depth_lines(settings: Settings, unit: str, *, mirror: str) -> list[str]:
    """
    List the depths and settings to carry to the machine.

    Parameters
    ----------
    settings : Settings
        As turned.
    unit : str
        The reader's unit; millimetres stand beside it.
    mirror : str
        Along which axis the mirror line of the plug runs.

    Returns
    -------
    lines : list of str
    """

    def both(length: float) -> str:
        other = "" if unit == "mm" else f"   ({format_length(length, 'mm')})"
        return f"{format_length(length, unit)}{other}"

    return [
        f"Pocket in the host: depth {both(settings.pocket_depth)}",
        f"Plug in the insert: start depth {both(settings.start_depth)} below its face",
        f"Plug: ground {both(settings.relief_depth)} below the start depth, "
        f"{both(settings.start_depth + settings.relief_depth)} in all",
        f"Path angle {settings.path_angle:g} degrees, the same for both",
        f"Plug mirrored about {mirror}, turned by {settings.rotation:g} degrees",
        f"Plug's outline grown by {both(settings.outline_offset)} per side",
        f"Scale {settings.scale:.1%} of the drawing",
        f"To be sanded off after levelling: {both(settings.sanded_off)}",
        f"Floor gap as programmed: {both(settings.pocket_depth - settings.start_depth)}",
        "",
        "Check the 50 mm line on every sheet with a ruler before cutting.",
        "Estimates for planning, not a machine's program.",
        "Follow your machine's manual, local codes and licensed practice.",
    ]


def _signed(length: float, unit: str) -> str:
    way = "above" if length > 0 else "below"
    return f"{format_length(abs(length), unit)} {way}"
