"""Words on the pictures of what a log knows: known, beside_others, residuals, forecasts, fill_share, taught, drift."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from inlaylab.wording.lengths import between, change, count, fine, length
from inlaylab.wording.names import named

if TYPE_CHECKING:
    from inlaylab.fitting.predict.fills import FillCurve
    from inlaylab.fitting.review.beside_others import Beside
    from inlaylab.fitting.review.forecast_score import StationScore
    from inlaylab.fitting.review.influence import CutTaught, Taught
    from inlaylab.fitting.review.residuals import Residual
    from inlaylab.fitting.review.wear import Drift

ANGLE_ERROR, TIP_FLAT, WALL_ALLOWANCE = "true angle less the angle as sold [degrees]", "tip flat", "wall allowance"
OTHERS, OTHERS_MIDDLE = "9 of 10 shops", "middle of all shops"
OWN, OWN_MIDDLE = "this shop, 90% range", "this shop, middle"
UNUSUAL, USUAL = "how unusual (beyond 2: rare)", "usual: 19 of 20 readings"
CUT_BY_CUT = "cut, its stations side by side"
RANGE, MIDDLE_HALF, MIDDLE, AS_SOLD = "90% range", "middle half", "middle", "as sold"
SURE, GUESS = "sure of what held it up", "a guess"
READ_OUTSIDE, SEEN_CLOSED, READ_INSIDE = "read, outside", "seen closed", "read, inside"
FINISHED_WIDTH, FILLS = "finished stroke width", "chance that a stroke fills [%]"
MOVED_BY = "the advice moved deeper by"
BEFORE, NOW = "before its first cut here", "now"


def name_and_cuts(name: str, cuts: int) -> str:
    """Name a bit or a pair with the number of its cuts."""
    return f"{name} ({count(cuts, 'cut')})"


def known_line(name: str, what: str, low: float, high: float, unit: str, *, cuts: int) -> str:
    """Say between which lengths a quantity of one bit or pair lies [mm], and from how many cuts that is known."""
    return f"{name}: {what} {between(low, high, unit, 'fine')}, {count(cuts, 'cut')}"


def known_alt(lines: Iterable[str]) -> str:
    """Say what the picture of a log's bits and pairs shows."""
    return f"What the log knows. {'; '.join(lines)}."


def beside_others_alt(result: Beside, unit: str) -> str:
    """Say what the picture of a shop among others shows."""
    who = count(result.shops, "shop") if result.shops else "ordinary shops, by the kit's judgement"
    told = [
        f"{place.meaning}: {fine(place.own[1], unit)}, more than in {round(100 * place.share)} of 100 shops"
        for place in result.places
    ]
    return f"This shop beside {who}. {'; '.join(told)}."


def residual_name(one: Residual) -> str:
    """Name a reading that the fit doubts, beside its mark."""
    return f"{named(one.kind)} {one.station}".strip()


def residuals_alt(result: Iterable[Residual]) -> str:
    """Say what the picture of readings against expectations shows."""
    every = list(result)
    usual = sum(abs(one.off) <= 2 for one in every)
    doubted = ", ".join(f"{one.cut} {residual_name(one)}" for one in every if one.suspect)
    said = f"{count(len(every), 'reading')} against what the fit expected; {usual} lie where 19 of 20 should."
    return f"{said} Suspects: {doubted}." if doubted else f"{said} No suspects."


def forecasts_alt(stations: Iterable[StationScore], cuts: int) -> str:
    """Say what the picture of forecasts against readings shows."""
    every = list(stations)
    if not every:
        return "No cut that was forecast has been read yet."
    inside = sum(station.inside("q05", "q95") for station in every)
    return (
        f"Forecast ranges of {count(len(every), 'glue line')} on {count(cuts, 'cut')} with what was read: {inside} lie "
        f"inside the 90% range, {len(every) - inside} outside."
    )


def with_grain(grain: str) -> str:
    """Say how a stroke runs."""
    return f"{grain} the grain"


def seen(grain: str) -> str:
    """Name the strokes that were looked at, in a legend."""
    return f"seen {grain} (filled, partly, missing)"


def fill_share_alt(result: FillCurve, unit: str) -> str:
    """Say what the picture of strokes that fill shows."""
    told = []
    for grain, curve in (("along", result.along), ("across", result.across)):
        half = next((width for width, chance in zip(result.widths, curve[:, 1], strict=True) if chance >= 0.5), None)
        where = "no width drawn here" if half is None else length(float(half), unit)
        told.append(f"half of them fill from {where} {with_grain(grain)}")
    looked_at = count(len(result.seen), "stroke")
    return f"Filled strokes of {result.insert} against finished width: {'; '.join(told)}. Looked at: {looked_at}."


def held_up(cut: CutTaught) -> str:
    """Say what held the plug of one cut up, as far as the fit knows."""
    return f"held up by {cut.held_up_by}" + ("" if cut.trusted else ", a guess")


def taught_alt(result: Taught, unit: str, *, most: int) -> str:
    """Say what the picture of what each cut taught shows, of so many cuts at most."""
    told = "; ".join(
        f"{cut.cut} moved it by {change(cut.moved, unit, 'fine')} ({held_up(cut)})" for cut in result.by_weight[:most]
    )
    return f"What each cut taught about {result.question.bit} on {result.question.pair}. {told}."


def drift_alt(result: Drift, unit: str) -> str:
    """Say what the picture of tip flats then and now shows."""
    told = "; ".join(
        f"{bit.bit} from {fine(bit.flat_new['q50'], unit)} to {fine(bit.flat_now['q50'], unit)}" for bit in result.bits
    )
    return f"Tip flats before the first cut in the log and now: {told}."
