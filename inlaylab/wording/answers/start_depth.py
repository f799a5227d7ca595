"""An answer in words, the same on every screen and page."""

from __future__ import annotations

from inlaylab.fitting.advice.settings import Setting, Turn
from inlaylab.fitting.advice.start_depth import Advice
from inlaylab.wording.chances import chance_that, percent
from inlaylab.wording.contacts import HELD_BY
from inlaylab.wording.lengths import both, fine, hollow

FEW_CUTS = 2
"""With so few cuts in the log the answer is called a guess."""
SMALLEST_PART = 0.0005
"""Parts of a glue line below this are not told. [mm]"""
LEAST_HOLLOW = 0.005
"""Under a nose that comes nearer to the floor no hollow is told. [mm]"""
CAUSES = {
    "wall allowance": "glue film in the walls",
    "path angle": "path angle against the bit's true angle",
    "relief depth": "backer or narrow lands (relief depth)",
    "crests": "crests of thin strokes",
    "start depth": "start depth",
    "clamping": "plug not pressed all the way home",
    "local openings": "chips, grain and glue along the line",
}
"""What a worst glue line is made of, in a maker's words: see `fitting.advice.made_of.CAUSES`."""


def answer_lines(advice: Advice, unit: str) -> list[str]:
    """
    Tell an answer line by line; the first is the answer itself.

    Parameters
    ----------
    advice : Advice
        The answer.
    unit : str
        The maker's unit.

    Returns
    -------
    lines : list of str
    """
    return [*first_lines(advice, unit), *more_lines(advice, unit)]


def first_lines(advice: Advice, unit: str) -> list[str]:
    """Say what a maker needs at the machine: the settings, what to expect of them, and what to be careful of."""
    lines = [headline(advice, unit)]
    if _little_known(advice):
        lines.append(
            f"Make this cut next: a test cut with {advice.question.bit} on {advice.question.pair} at a start depth of "
            f"{both(advice.start_depth, unit)}; read every glue line and log it."
        )
    lines += [*settings_lines(advice, unit), *chance_lines(advice, unit)]
    return lines + [f"Caution: {warning}" for warning in advice.warnings]


def more_lines(advice: Advice, unit: str) -> list[str]:
    """Say why, what depth gives and costs, and what the worst line is made of."""
    return [f"Why: {why(advice)}", *depth_lines(advice, unit), made_of_line(advice, unit)]


def headline(advice: Advice, unit: str) -> str:
    """Say what to set, in one line."""
    if _little_known(advice):
        return f"Too little is known yet. Best guess: start depth {both(advice.start_depth, unit)}"
    turned, now = advice.settings.turned, advice.settings.now
    if turned == now:
        return f"Start depth {both(advice.start_depth, unit)}"
    named = [f"start depth {both(turned.start_depth, unit)}"]
    if turned.path_angle_deg != now.path_angle_deg:
        named.insert(0, f"path angle {turned.path_angle_deg:.1f}°")
    if turned.outline_offset != now.outline_offset:
        named.append(f"outline offset {both(turned.outline_offset, unit)}")
    if turned.relief_depth != now.relief_depth:
        named.append(f"relief depth {both(turned.relief_depth, unit)}")
    return f"Tightest: {', '.join(named)}"


def suggestion(start_depth: float, unit: str) -> str:
    """Say beside a form which start depth to go by for the cut that is being typed."""
    return (
        f"By what your log shows, {both(start_depth, unit)} is the deepest that costs no glue line you could see "
        "(notebook 4 says why)."
    )


def settings_lines(advice: Advice, unit: str) -> list[str]:
    """Say what each setting that is worth turning gains, most useful first, and the start depth alone."""
    settings = advice.settings
    lines = [f"{_turn(turn, unit)}." for turn in settings.turns]
    if settings.turned != settings.now:
        lines.append(
            f"All together the worst glue line is expected at {fine(settings.turned.worst_glue_line, unit)} per side; "
            f"{_good(settings.turned, advice, unit)}. If your path program has no such setting, change the start "
            f"depth alone: {both(advice.start_depth, unit)}."
        )
    else:
        lines.append("Changing path angle, outline offset or relief depth would gain less than you can see.")
    return lines


def chance_lines(advice: Advice, unit: str) -> list[str]:
    """Say what to expect at the start depth alone, how sure it is, and where the limit is."""
    asked, worst = advice.question, advice.worst_glue_line
    good = chance_that(advice.chance, f"every glue line is within {both(asked.within, unit)}")
    lines = [
        f"At a start depth of {both(advice.start_depth, unit)}: worst glue line about {fine(worst.expected, unit)} per "
        f"side (90% range {fine(worst.q05, unit)} to {fine(worst.q95, unit)}); {good}."
    ]
    if advice.reached:
        deeper = advice.limit is not None and advice.limit > advice.start_depth + 0.005
        if deeper and advice.limit is not None and advice.limit < asked.span[1] - 1e-6:
            lines.append(
                f"Limit: deeper than {both(advice.limit, unit)} that chance is less than the {percent(asked.chance)} "
                "you asked for."
            )
    else:
        lines.append(
            f"No start depth meets your target of {percent(asked.chance)}: the best is {percent(advice.chance)}. "
            f"What would help: {_cure(advice)}, or accept a wider glue line."
        )
    if _little_known(advice) or advice.high - advice.low > 0.02:
        lines.append(
            f"Still uncertain: with everything known the start depth would likely be between {both(advice.low, unit)} "
            f"and {both(advice.high, unit)}."
        )
    return lines


def _over(deep: float, holds: str, unit: str) -> str:
    return f"over a hollow of {both(deep, unit)} ({holds})" if deep >= LEAST_HOLLOW else "with no hollow under it"


def depth_lines(advice: Advice, unit: str) -> list[str]:
    """Say what start depth gives and costs, and which gaps carry over to other depths."""
    trade, low = advice.trade, advice.question.span[0]
    deep = _over(trade.hollow, hollow(trade.hollow_ml_per_m, unit) + " of the widest stroke", unit)
    shallow = _over(trade.hollow_shallowest, hollow(trade.hollow_ml_per_m_shallowest, unit), unit)
    under = (
        f"at {both(advice.start_depth, unit)} about {both(trade.plug_left, unit)} of plug is left under the sanding, "
        f"{deep}; at {both(low, unit)} it is {both(trade.plug_left_shallowest, unit)}, {shallow}"
    )
    if not advice.matters:
        lines = [
            f"Start depth does not matter for these strokes: from {both(low, unit)} to "
            f"{both(advice.start_depth, unit)} the glue lines are the same, because no nose comes near the floor.",
            f"Deeper only leaves more plug and less hollow: {under}.",
        ]
    else:
        lines = [
            f"Every start depth from {both(low, unit)} to this one gives the same glue lines; deeper only leaves more "
            f"plug and less hollow: {under}.",
            f"Floor gap needed: {both(advice.floor_gap_needed, unit)}; it holds for any pocket depth.",
        ]
    if advice.relief_depth_needed is None:
        lines.append("At any relief depth a narrow land holds the plug up in more than 1 cut in 20: widen the lands.")
    elif advice.relief_depth_needed > advice.question.relief_depth:
        lines.append(
            f"Relief depth needed: {both(advice.relief_depth_needed, unit)}; at "
            f"{both(advice.question.relief_depth, unit)} the backer stops the plug in more than 1 cut in 20."
        )
    return lines


def made_of_line(advice: Advice, unit: str) -> str:
    """Say what the expected worst glue line is made of, the largest part first."""
    parts = [
        f"{fine(part.adds, unit)} {CAUSES[part.cause]}"
        for part in advice.made_of.largest_first
        if part.adds >= SMALLEST_PART
    ]
    whole = fine(advice.made_of.worst_glue_line, unit)
    return f"What the {whole} is made of: {', '.join(parts)}." if parts else f"The expected worst line is {whole}."


def why(advice: Advice) -> str:
    """Say why this start depth: what stops the plug, and what would happen deeper."""
    contact = advice.held_up_by
    held = f"{HELD_BY[contact].capitalize()} in {percent(advice.held_up_chance)} of simulated cuts"
    if not advice.matters:
        return f"{held}, and start depth does not change that."
    return (
        f"This is the deepest start depth that widens no glue line by as much as you could see, in 19 of 20 cuts. "
        f"{held}; deeper, the plug's nose would stand on the pocket's floor more often and lift it off its walls."
    )


def _turn(turn: Turn, unit: str) -> str:
    def value(number: float) -> str:
        return f"{number:.1f}°" if turn.what == "path angle" else both(number, unit)

    from_where = "your last floor gap's" if turn.what == "start depth" else "today's"
    more = f", {percent(turn.chance_gain)} more often good" if turn.chance_gain >= 0.01 else ""
    return (
        f"{turn.what.capitalize()} {value(turn.better)} instead of {from_where} {value(turn.today)}: worst glue line "
        f"{fine(turn.gain, unit)} narrower{more}"
    )


def _good(setting: Setting, advice: Advice, unit: str) -> str:
    return chance_that(setting.chance, f"every line is within {both(advice.question.within, unit)}")


def _cure(advice: Advice) -> str:
    """Say what would help most against the largest part of the worst line."""
    return {
        "wall allowance": "a thinner glue film or more clamping pressure",
        "path angle": "a path computed for the bit's true angle",
        "relief depth": "a deeper relief or wider lands",
        "crests": "thicker thin strokes, a sharper bit, or a light sanding of their crests before the glue",
        "start depth": "a shallower start depth",
        "clamping": "clamping harder, with a stiff caul",
        "local openings": "a sharper bit and a cleaner cut",
    }[advice.made_of.largest_first[0].cause]


def _little_known(advice: Advice) -> bool:
    """Say whether the log is too short to speak of more than a guess."""
    return advice.cuts <= FEW_CUTS or advice.cuts_with_bit == 0
