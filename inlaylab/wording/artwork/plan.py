"""The sentences of the panel of notebook 5: numbers in, words out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.services.planning.plan import Worked
from inlaylab.wording.answers import start_depth as answer
from inlaylab.wording.chances import percent
from inlaylab.wording.lengths import area, between, fine, length, path, volume

if TYPE_CHECKING:
    from inlaylab.artwork.polygons import Artwork
    from inlaylab.fitting.advice.start_depth import Advice
    from inlaylab.fitting.predict.artwork import Planned
    from inlaylab.models.around.workload import Blank

BACKER, FLOOR = 4.0, 5.0  # [mm] of wood behind the plug and under the pocket: our choice, stiff enough to clamp

#: Said beside every plan; the cautions of the handbook stand below it.
CAUTION = (
    "These are estimates for planning, not a machine's program. Try the depths on scrap first, with both boards "
    "clamped clear of the cut."
)


def drawing_line(artwork: Artwork, scale: float, unit: str) -> str:
    """
    Say what was opened, how large it is and what was put right.

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
    wide, high = (length(value * scale, unit) for value in (artwork.width, artwork.height))
    sized = "" if scale == 1 else f" at {scale:.0%}"
    put_right = "".join(f" Fixed: {note}." for note in artwork.mended)
    return f"{artwork.source}: {wide} wide and {high} high{sized}.{put_right}"


def worked_lines(worked: Worked, unit: str) -> list[str]:
    """
    Say where thin strokes lie and how they run with the grain.

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
    thin, grain = worked.thin, worked.grain
    if not thin.length > 0:
        return [f"No stroke is thinner than {length(thin.limit, unit)} on the finished face."]
    now, best = (grain.at(turn) for turn in (worked.settings.rotation, grain.best))
    return [
        f"Strokes thinner than {length(thin.limit, unit)} are {length(thin.length, unit)} long in all, "
        f"{thin.share:.1%} of the area; {now:.0%} of that length lies across the grain. Turned by {grain.best:g}° on "
        f"the insert it is {best:.0%}."
    ]


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
        backer=BACKER,
        floor=FLOOR,
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
    times = {name: cutting_time(path_length=run, feed=feed) for name, run in paths.items()}
    gap = m.floor_void / m.nose_area if m.nose_area > 0 else 0.0
    glue = joint_volume(wall_area=m.wall_area, film_thickness=film, floor_area=m.nose_area, floor_gap=gap)

    def size(blank: Blank) -> str:
        return " x ".join(length(side, unit) for side in (blank.length, blank.width, blank.thickness))

    return [
        f"Host blank {size(host)}, insert blank {size(insert)}: with your border, {length(FLOOR, unit)} left under the "
        f"pocket and {length(BACKER, unit)} of backer.",
        f"Path of the bit: pocket {path(float(paths['pocket']), unit)}, plug {path(float(paths['plug']), unit)}; "
        f"{times['pocket']:.1f} and {times['plug']:.1f} min of cutting in one pass each. Counted: the outlines, the "
        "middles of thin strokes, and flat ground over the pass spacing.",
        f"Wood cut away: pocket {volume(m.pocket_volume, unit)}, around the plug {volume(m.ground_volume, unit)}.",
        f"Walls to glue: {area(m.wall_area, unit)}. Glue: up to {volume(float(glue), unit)}, for a film of "
        f"{fine(film, unit)} on the walls and the room under the plug.",
    ]


def spread_lines(spread: Planned, advice: Advice, unit: str) -> list[str]:
    """
    Say what the fit expects of the artwork.

    Parameters
    ----------
    spread : fitting.predict.artwork.Planned
        Draws at the settings as they are.
    advice : fitting.advice.start_depth.Advice
        The start depth to use.
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
        The first is the advice.
    """
    lines = [answer.headline(advice, unit), *answer.settings_lines(advice, unit), *answer.chance_lines(advice, unit)]
    lines += answer.depth_lines(advice, unit)
    low, middle, high = spread.worst_glue_line
    lines.append(
        f"At the depths as set, expect the widest glue line at {length(spread.expected_worst, unit)} "
        f"(in 90% of cuts {between(low, high, unit)}); the chance that all are narrow enough is "
        f"{percent(spread.within_chance)}."
    )
    low, middle, high = spread.stand_off
    lines.append(
        f"The plug sits {_proud(middle, unit)}; in 90% of cuts between {_proud(low, unit)} and {_proud(high, unit)}."
    )
    along, across = (spread.limit(0.9, across=way) for way in (False, True))
    lines.append(
        f"A stroke fills in 90% of cuts if it is {length(along, unit)} wide or more when finished and runs along the "
        f"grain, {length(across, unit)} across it."
    )
    return lines


def _proud(stand_off: float, unit: str) -> str:
    """Say a stand-off as a maker does."""
    way = "proud" if stand_off > 0 else "deeper than drawn"
    return f"{length(abs(stand_off), unit)} {way}"
