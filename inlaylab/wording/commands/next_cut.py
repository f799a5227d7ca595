"""What the command next-cut says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.wording.chances import percent
from inlaylab.wording.lengths import change, length

if TYPE_CHECKING:
    from inlaylab.fitting.next.next_cut import NextCut
    from inlaylab.fitting.next.options import Candidate

NEXT_CUT = "say which test cut is worth most now, or whether a loupe, a groove or nothing at all does as well"
NEXT_CUT_DETAILS = (
    "Fit the log first. The options are those of advise; --coupon names the coupon to cut. Everything is compared with "
    "simply cutting at the present advice."
)
HEADS = ("compared", "start depth", "moves it by", "saves", "then near the best")
NO_COUPON = "not in the log yet; `inlaylab coupon` draws one"


def next_lines(found: NextCut, unit: str) -> list[str]:
    """
    Say what to measure next, and what it was compared with.

    Parameters
    ----------
    found : fitting.next.next_cut.NextCut
        What to measure next.
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
    """
    from inlaylab.wording.answers.next_cut import why

    lines = [why(found, unit), f"Start depth to go by today: {length(found.advised, unit)}."]
    if found.measure == "cut":
        lines.append(
            f"Start depth {length(found.start_depth, unit)}, pocket depth {length(found.pocket_depth, unit)}, relief "
            f"depth {length(found.relief_depth, unit)}, coupon: {found.coupon or NO_COUPON}."
        )
    if found.stations:
        lines.append(f"Stations that tell most, most useful first: {', '.join(found.stations)}.")
    return [*lines, "", _row(*HEADS), *(_compared(each, unit) for each in found.candidates)]


def _compared(each: Candidate, unit: str) -> str:
    from inlaylab.fitting.next.options import MEASURES

    name = MEASURES[each.measure] + (f" on {each.coupon}" if each.coupon else "")
    name += ", more readings" if each.also else ""
    start = "" if each.start_depth is None else length(each.start_depth, unit)
    saves = change(max(0.0, each.worth), unit, "fine")
    return _row(name[:45], start, change(each.expected_gain, unit), saves, percent(each.near))


def _row(name: str, start: str, moves: str, saves: str, near: str) -> str:
    return f"{name:<46}{start:>12}{moves:>13}{saves:>11}{near:>20}"
