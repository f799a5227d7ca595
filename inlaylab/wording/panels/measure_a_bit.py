"""What notebook 1 says of a bit, its grooves and its wear."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.wording.lengths import fine, length

if TYPE_CHECKING:
    from inlaylab.models.grooves import BitMeasure
    from inlaylab.models.wear import Wear

ADD = "Add this groove"
DELETE = "Delete the newest groove"
KEEP_LOUPE = "Keep this loupe reading"
ACCURACY = "how accurate the readings are"
HOW_TO_CUT = (
    "Cut straight grooves at three or more depths in one setup, at least one of them deep, and measure each across its "
    "top. Grooves of one day share one zero."
)
HOW_TO_TELL_WEAR = (
    "How the tip flat of one bit has grown with the metres that it has cut. Put ; between the values, as in "
    "0; 120; 260."
)
ANSWER = "What the bit really is"
CHOOSE_A_BIT = "Choose a bit."
CHOOSE_FIRST = "choose the bit first"
NO_GROOVE = "this bit has no groove in the log"
NEEDS_LOUPE = "choose a bit and type a loupe reading first"
SPARE = "How much floor gap is to spare?"
METRES, FLATS = "metres cut at each measure", "tip flat at each measure"
DEPTH, WIDTH, LOUPE, DATE = "depth as programmed", "width across the top", "tip flat by loupe", "date of the setup"
TABLE = "Grooves of this bit"

WIDTH_ACCURACY = "width accuracy ±"
ZERO_ACCURACY = "zeroing accuracy ±"
LOUPE_ACCURACY = "loupe accuracy ±"
FLAT_ACCURACY = "flat accuracy ±"
SPARE_GAP = "spare floor gap"
OFF_LINE = "off the line"
A_GROOVE = "A groove"

METRES_CUT = "metres cut"
METRES_RANGE = "0 to 1 000 000 m"


def no_groove_yet(bit: str | None) -> str:
    """
    Say what to do where a bit was not measured yet.

    Examples
    --------
    >>> no_groove_yet(None)
    'Choose a bit first, or add a new one: the last line of the list.'
    """
    if bit is None:
        return "Choose a bit first, or add a new one: the last line of the list."
    return (
        f"No groove of {bit} is in the log yet. Cut at least two straight grooves at different depths (three or more "
        "are better) and type each above: depth as programmed, width across the top."
    )


def groove_added(depth: float, unit: str) -> str:
    """Say that a groove was put into the log."""
    return f"Added the groove {length(depth, unit)} deep."


def groove_deleted(depth: float, unit: str) -> str:
    """Say that a groove was taken out of the log."""
    return f"Deleted the groove {length(depth, unit)} deep. Undo brings it back."


def loupe_kept(bit: str, tip_flat: float, unit: str) -> str:
    """Say that the log holds another tip flat."""
    return f"The log now has {length(tip_flat, unit)} as the tip flat of {bit}."


def no_answer(refusal: object) -> str:
    """Say why the figures that were typed give no answer."""
    return f"No answer yet: {refusal}"


def one_for_each(metres: int, flats: int) -> str:
    """Say that distances and flats do not go together."""
    return f"You typed {metres} for the metres cut and {flats} for the tip flat: type one for each."


def bit_lines(
    measure: BitMeasure,
    unit: str,
    *,
    sink: tuple[float, float],
    loupe: bool,
    further: tuple[float, float],
) -> list[str]:
    """
    Say what the grooves tell about a bit, each figure with its give or take.

    Parameters
    ----------
    measure : models.grooves.BitMeasure
        What they tell.
    unit : str
        The reader's unit.
    sink : (float, float)
        How far the plug sinks until the walls close, and its give or take. [mm]
    loupe : bool
        Whether the flat was read by loupe.
    further : (float, float)
        Depth of the one more groove that tells most [mm], and the angle's give or take after it [degrees].

    Returns
    -------
    lines : list of str
    """
    lines = [
        f"True angle {measure.true_angle:.2f}° ± {measure.true_angle_uncertainty:.2f}°; tip flat "
        f"{fine(measure.tip_flat, unit)} ± {fine(measure.tip_flat_uncertainty, unit)}. (± is give or take: the truth "
        "is within it about two times in three.)",
        f"So the walls close when the plug sinks {length(sink[0], unit)} ± {length(sink[1], unit)}: the floor gap must "
        "be larger than that.",
    ]
    zeros = "; ".join(
        f"{day or 'no date'}: {length(zero, unit)} ± {length(spread, unit)}"
        for day, (zero, spread) in measure.zero_errors.items()
    )
    lines.append(f"Zero error of each setup (above zero: it cut deeper than programmed): {zeros}.")
    if not loupe:
        lines.append("Without a loupe reading the flat and the zero cannot be told apart: the zero is trusted instead.")
    if measure.tip_flat < 0:
        lines.append("A negative tip flat means that a zero or a width is off by more than you stated.")
    lines.append(
        f"One more groove {length(further[0], unit)} deep would bring the angle's give or take from "
        f"± {measure.true_angle_uncertainty:.2f}° to ± {further[1]:.2f}°."
    )
    return lines


def wear_lines(found: Wear, unit: str) -> list[str]:
    """Say how a bit wears and when to tune again."""
    rate, spread = found.line.slope * 100, found.line.uncertainties[-1] * 100
    lines = [f"Each 100 m of path widens the flat by {fine(rate, unit)} ± {fine(spread, unit)}."]
    if not found.certain:
        lines.append("That is not more than twice its give or take: it may be no wear at all.")
    else:
        due, unsure = f"{found.due_at:.0f} m", f"{found.due_at_uncertainty:.0f} m"
        lines.append(f"It uses up the spare floor gap at {due} ± {unsure} of path: tune again before that.")
    return lines
