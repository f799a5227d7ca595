"""Words on the pictures of an answer: worst_line, bend, glue_line, settings and made_of."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from inlaylab.wording.answers.by_hand import bend_line
from inlaylab.wording.answers.start_depth import CAUSES, SMALLEST_PART
from inlaylab.wording.chances import percent
from inlaylab.wording.lengths import between, count, fine, length

if TYPE_CHECKING:
    from inlaylab.fitting.advice.made_of import MadeOf
    from inlaylab.fitting.advice.settings import Setting
    from inlaylab.fitting.advice.start_depth import Advice
    from inlaylab.services.by_hand.turned_by_hand import Bend, Chance

START_DEPTH, WORST = "start depth", "worst glue line, per side"
EXPECTED_WORST = "expected worst glue line, per side"
ADDS = "adds to the expected worst glue line, per side"
STROKE_WIDTH, GLUE_LINE = "stroke width", "glue line, per side"
IN_MOST_CUTS, WORST_TO_EXPECT, GOOD_ENOUGH = "90% of cuts", "worst line to expect", "good enough"
GO_BY, GO_BY_AT_BEND = "start depth to go by", "start depth to go by, at the bend"
OPENS_FROM = "bend: 1 cut in 20 opens from here"
OF_THIS_CUT, POCKET_DEPTH = "worst line of this cut", "pocket depth"
RANGE, HALF, EXPECTED = "90% range", "50% range", "expected"
READ, CLOSED, SUSPECT, ASKED = "read", "closed (below this)", "suspect", "limit asked for"
ALL_TOGETHER, NOTHING = "all together", "nothing"
NO_GAIN = "Changing path angle, outline offset or relief depth gains less than you can see"


def limit(chance: float) -> str:
    """Name the limit of an answer in a legend."""
    return f"limit: {percent(chance)} good"


def bend_at(mm: float, unit: str) -> str:
    """Name the bend in a legend."""
    return f"bend: {length(mm, unit)}"


def now_at(mm: float, unit: str) -> str:
    """Name the start depth as it is set, in a legend."""
    return f"start depth now: {length(mm, unit)}"


def bend_alt(result: Bend, unit: str) -> str:
    """Say what the picture of one cut's worst line shows."""
    return f"Worst glue line of one cut against start depth. {bend_line(result, unit)}"


def worst_line_alt(result: Advice | Chance, unit: str) -> str:
    """Say what the picture of the worst line against start depth shows."""
    worst, first, last = result.worst_glue_line, result.curve[0], result.curve[-1]
    said = [
        f"Worst glue line against start depth: about {fine(first.worst_glue_line, unit)} at "
        f"{length(first.start_depth, unit)} and {fine(last.worst_glue_line, unit)} at "
        f"{length(last.start_depth, unit)}.",
        f"The start depth to go by is {length(result.start_depth, unit)}: {fine(worst.expected, unit)} there, and in "
        f"90% of cuts {between(worst.q05, worst.q95, unit, 'fine')}.",
    ]
    if not result.matters:
        said.append("Start depth does not matter for these strokes.")
    if result.limit is None:
        said.append(f"No start depth has the chance of {percent(result.question.chance)} that was asked for.")
    else:
        said.append(f"The limit is {length(result.limit, unit)}.")
    return " ".join(said)


def part_size(adds: float, unit: str) -> str:
    """Say what one cause adds to a worst line [mm]."""
    return fine(adds, unit) if abs(adds) >= SMALLEST_PART else NOTHING


def made_of_alt(result: MadeOf, unit: str) -> str:
    """Say what the picture of a worst line's parts shows."""
    told = ", ".join(f"{CAUSES[part.cause]} {part_size(part.adds, unit)}" for part in result.parts)
    return f"What the expected worst glue line of {fine(result.worst_glue_line, unit)} is made of: {told}."


def settings_ways(advice: Advice, unit: str) -> list[tuple[str, str, Setting]]:
    """
    Give the ways of setting that are worth showing.

    Parameters
    ----------
    advice : fitting.advice.start_depth.Advice
        The answer.
    unit : str
        The reader's unit.

    Returns
    -------
    ways : list of (str, str, Setting)
        ``now`` or ``turned``, what each is called, and the setting.
    """
    ways = advice.settings
    shown = [("now", f"start depth alone: {length(ways.now.start_depth, unit)}", ways.now)]
    if ways.kept is not None and ways.kept.worst_glue_line > ways.now.worst_glue_line:
        kept = f"your last floor gap: start depth {length(ways.kept.start_depth, unit)}"
        shown.insert(0, ("now", kept, ways.kept))
    if ways.turned != ways.now:
        shown.append(("turned", f"tightest: {_settings(ways.turned, unit)}", ways.turned))
    return shown


def setting_size(setting: Setting, unit: str) -> str:
    """Say the worst line of one way of setting, and how often it is good."""
    return f"{fine(setting.worst_glue_line, unit)}, {percent(setting.chance)} good"


def settings_alt(advice: Advice, unit: str) -> str:
    """Say what the picture of the settings shows."""
    told = [
        f"{words}, worst glue line {setting_size(setting, unit)}" for _, words, setting in settings_ways(advice, unit)
    ]
    if advice.settings.turned == advice.settings.now:
        told.append(NO_GAIN[0].lower() + NO_GAIN[1:])
    return f"Settings: {'; '.join(told)}."


def _settings(each: Setting, unit: str) -> str:
    named = [f"path angle {each.path_angle_deg:.1f}°", f"start depth {length(each.start_depth, unit)}"]
    if each.outline_offset:
        named.append(f"outline offset {length(each.outline_offset, unit)}")
    return ", ".join([*named, f"relief depth {length(each.relief_depth, unit)}"])


def glue_line_alt(
    ends: Sequence[tuple[float, float]],
    unit: str,
    *,
    readings: int,
    closed: int,
    within: float | None,
    suspects: Iterable[str] = (),
) -> str:
    """
    Say what the picture of glue lines against stroke width shows.

    Parameters
    ----------
    ends : sequence of (float, float)
        Stroke widths and the lines expected there. [mm]
    unit : str
        The reader's unit.
    readings, closed : int
        How many were read, and how many of them were closed.
    within : float or None
        The limit asked for. [mm]
    suspects : iterable of str
        Names of the suspect readings.

    Returns
    -------
    words : str
    """
    told = " and ".join(f"{length(line, unit)} at {length(width, unit)} wide" for width, line in ends)
    said = f"Glue line against stroke width. Expected: {told}. {count(readings, 'reading')}, {closed} of them closed."
    if within is not None:
        said += f" Limit asked for: {length(within, unit)}."
    named = ", ".join(suspects)
    return f"{said} Suspect: {named}." if named else said
