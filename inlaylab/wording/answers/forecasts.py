"""How often the kit was right in this shop, in a maker's words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.wording import chances, lengths

if TYPE_CHECKING:
    from inlaylab.fitting.review.forecast_score import CutScore, ForecastScore

HEADING = "How often was this right here?"


def forecast_lines(score: ForecastScore, unit: str) -> list[str]:
    """
    Say how forecasts turned out: the bands, the chances, the typical miss, and two simple rules beside it.

    Parameters
    ----------
    score : ForecastScore
        Of kept or replayed forecasts.
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
        The most telling first.
    """
    read = [cut for cut in score.cuts if any(station.compared for station in cut.stations)]
    if not read:
        waiting = len(score.cuts)
        if not waiting:
            return ["No cut was forecast before it was read yet. Forecasts are kept from now on, as you save cuts."]
        return [f"{lengths.count(waiting, 'cut')} forecast, and none of them read yet."]
    how = "worked out afterwards, each from the cuts before it" if read[0].replayed else "made before they were read"
    compared = f"{lengths.count(score.lines, 'glue line')} on {lengths.count(len(read), 'cut')}"
    lines = [
        f"{compared} compared with forecasts {how}.",
        f"{_share(score.inside_90)} of them lay inside the 90% range and {_share(score.inside_50)} inside the middle "
        f"half; about {_share(score.right_90)} and {_share(score.right_50)} should. (Lines too thin to see count as "
        "inside when the forecast allowed for that.)",
        f"Typical miss: {lengths.fine(score.mean_miss, unit)}. Guessing that the last cut comes again misses by "
        f"{lengths.fine(score.last_cut, unit)}; trusting a fixed floor gap, by {lengths.fine(score.fixed_gap, unit)}.",
    ]
    judged = score.judged
    if judged:
        stated = sum(cut.forecast.chance or 0.0 for cut in judged)
        came = sum(bool(cut.good) for cut in judged)
        lines.append(
            f"Of {lengths.count(len(judged), 'cut')}, {came} came out with every glue line good enough; the stated "
            f"chances add up to {stated:.1f}."
        )
    return lines


def _share(share: float | None) -> str:
    return "none" if share is None else f"{share:.0%}"


def cut_line(cut: CutScore, unit: str) -> str:
    """
    Say of one cut what was expected and what came.

    Parameters
    ----------
    cut : CutScore
        The cut.
    unit : str
        The reader's unit.

    Returns
    -------
    line : str
    """
    compared = [station for station in cut.stations if station.compared]
    good = {True: "it was", False: "it was not", None: "not read yet"}[cut.good]
    stated = cut.forecast.chance
    chance = "no chance stated" if stated is None else f"chance of good lines {chances.percent(stated)}"
    if not compared:
        return f"{cut.cut}: {chance}; {good}."
    inside = sum(station.inside("q05", "q95") for station in compared)
    miss = sum(station.miss(station.expected.q50 or 0.0) for station in compared) / len(compared)
    return (
        f"{cut.cut}: {inside} of {lengths.count(len(compared), 'line')} inside the 90% range, typical miss "
        f"{lengths.fine(miss, unit)}; {chance}, {good}."
    )
