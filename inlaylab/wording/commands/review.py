"""What the commands taught, drift, beliefs and forecasts say."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.fitting.model.beliefs import PRIORS
from inlaylab.wording.chances import percent
from inlaylab.wording.commands.fit import ends
from inlaylab.wording.lengths import change, count, fine, length, tiny
from inlaylab.wording.names import named

if TYPE_CHECKING:
    from inlaylab.fitting.review.beliefs import Belief, Beliefs
    from inlaylab.fitting.review.influence import Taught
    from inlaylab.fitting.review.wear import Drift

TAUGHT = "say what each past cut taught: how it moved the advice, what held its plug up, how well it fits"
TAUGHT_DETAILS = (
    "Fit the log first. The options are those of advise. The weight of a cut is the share of what is known that hangs "
    "on it alone."
)
DRIFT = "say how the bits wear, what the evidence is, and with a question when to tune again"
DRIFT_DETAILS = "Fit the log first. If you log how long the paths were, the answer is told by distance, too."
DRIFT_OPTIONS = {"--start-depth": "as set today; the advice if left out"}
BELIEFS = "put the kit's starting beliefs beside what the log made of them"
BELIEFS_DETAILS = "Fit the log first."
FORECASTS = "say what was forecast of each cut before it was read, against what was read"
FORECASTS_DETAILS = (
    "Forecasts are kept as cuts are saved, from the fit that was there then. --replay does without them: it fits the "
    "log as it was after each cut and forecasts the next one; Ctrl-C stops it."
)
FORECASTS_OPTIONS = {
    "--replay": "forecast every cut again from the cuts before it",
    "--last": "only the last N cuts that were read",
    "--seed": "seed of the fits of a replay (1 if left out)",
    "--figure": "also draw it, to this file",
}
HEADS = ("cut", "advice without it", "moved by", "weight", "held up by", "how unusual", "worst reading")
NEAR_ONE = "How unusual: near 1 is as it should be; well above, a reading of that cut does not fit."
UNSURE = " (unsure)"
BEFORE_AND_WITH = "90% range before the log, and with it:"
NO_QUESTION, WHOLE_QUESTION = "--start-depth without a question", "--bit, --pair, --strokes or --artwork, --within"


def taught_lines(found: Taught, unit: str) -> list[str]:
    """
    Lay out what each cut taught, the most telling first.

    Parameters
    ----------
    found : fitting.review.influence.Taught
        What the cuts taught.
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
    """
    lines = [
        f"Start depth with all cuts: {length(found.advised, unit)}. The cuts that moved it most come first:",
        _row(*HEADS),
    ]
    for cut in found.by_weight:
        unusual = "" if cut.residual is None else f"{cut.residual:.1f}"
        without, moved, weight = length(cut.advised_without, unit), change(cut.moved, unit), percent(cut.leverage)
        kind, _, station = cut.worst_reading.partition(" ")
        worst = f"{named(kind)}{f' at {station}' if station else ''}{'' if cut.trusted else UNSURE}"
        lines.append(_row(cut.cut[:13], without, moved, weight, cut.held_up_by, unusual, worst))
    return [*lines, NEAR_ONE]


def _row(cut: str, without: str, moved: str, weight: str, held: str, unusual: str, worst: str) -> str:
    return f"{cut:<14}{without:>18}{moved:>12}{weight:>10}{held:>12}{unusual:>13}  {worst}"


def drift_lines(found: Drift, unit: str) -> list[str]:
    """
    Say how the bits wear.

    Parameters
    ----------
    found : fitting.review.wear.Drift
        The wear of a shop's bits.
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
        The first is for all bits, each other for one.
    """
    who = "mostly from the log" if found.log_speaks else "mostly the starting belief"
    low, middle, high = (tiny(found.wear[key], unit) for key in ("q05", "q50", "q95"))
    lines = [f"Flat gained with each cut: {middle} ({low} to {high}); {who}."]
    for bit in found.bits:
        new, now = (fine(flat["q50"], unit) for flat in (bit.flat_new, bit.flat_now))
        lines.append(
            f"  bit {bit.bit.removeprefix('bit ')}: {count(bit.cuts, 'cut')}; tip flat {new} when new, {now} now; "
            f"angle {bit.angle['q50']:.1f}° ({bit.angle['q05']:.1f}° to {bit.angle['q95']:.1f}°). {bit.words}"
        )
    return lines


def belief_lines(found: Beliefs, unit: str) -> list[str]:
    """
    Put the starting beliefs beside what the log made of them.

    Parameters
    ----------
    found : fitting.review.beliefs.Beliefs
        Both.
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
    """
    return [BEFORE_AND_WITH, *(f"  {_belief(row, unit)}" for row in found.rows)]


def _belief(row: Belief, unit: str) -> str:
    own = PRIORS[row.quantity].measure if row.quantity in PRIORS else row.unit
    return f"{row.meaning}: {ends(row.prior, own, unit)}; {ends(row.posterior, own, unit)} ({row.words})"


def not_a_count(shown: str) -> str:
    """Say that a text is not a number of cuts."""
    return f"{shown} is not a number of cuts"


def how_to_replay(log: object) -> str:
    """Say how forecasts can be worked out afterwards."""
    return f"Work them out afterwards with `inlaylab forecasts {log} --replay`."


def drawn(path: object) -> str:
    """Say where a picture was put."""
    return f"Drawn to {path}."
