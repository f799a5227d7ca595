"""Why an answer has moved: what the newest cuts showed, beside what was expected of them before they were read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from inlaylab.bench.cuts import Cut
    from inlaylab.bench.readings import Reading
    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.fit import Fit

Surprise = Literal["higher", "lower", "wider", "tighter", "as expected", "not compared", "gone"]

_HALF = 0.674
"""Half the width of a 50 % range, in standard deviations of a normal law."""
_NINETY = 1.645
"""The same of a 90 % range."""


@dataclass(frozen=True, kw_only=True)
class Moved:
    """
    An answer, the one before it, and what the newest cut had to do with it.

    Parameters
    ----------
    start_depth, before : float
        The start depth to use now, and before. [mm]
    cut : str
        The cut that is new, was corrected or deleted; blank where it is another kind of record.
    surprise : str
        What it showed against what was expected: its plug sat ``higher`` or ``lower``, its glue lines were ``wider`` or
        ``tighter``, all was ``as expected``, nothing could be compared, or it is ``gone``.
    """

    start_depth: float
    before: float
    cut: str = ""
    surprise: Surprise = "not compared"


def what_moved(*, start_depth: float, before: float, fit: Fit, earlier: Shop, shop: Shop) -> Moved:
    """
    Compare an answer with the one before, and the newest cut with what was expected of it.

    Parameters
    ----------
    start_depth, before : float
        The two answers. [mm]
    fit : Fit
        The fit behind the earlier answer.
    earlier, shop : Shop
        The records then and now.

    Returns
    -------
    moved : Moved
    """
    cut = _changed_cut(earlier, shop)
    if cut is None:
        gone = [old.cut for old in earlier.cuts if old.cut not in {new.cut for new in shop.cuts}]
        if gone:
            return Moved(start_depth=start_depth, before=before, cut=gone[-1], surprise="gone")
        return Moved(start_depth=start_depth, before=before)
    surprise = _surprise(fit, shop, cut)
    return Moved(start_depth=start_depth, before=before, cut=cut.cut, surprise=surprise)


def _changed_cut(earlier: Shop, shop: Shop) -> Cut | None:
    """Give the newest cut that is not as it was, itself or its readings."""
    known = {cut.cut: (cut, earlier.readings_of(cut)) for cut in earlier.cuts}
    changed = [cut for cut in shop.cuts if known.get(cut.cut) != (cut, shop.readings_of(cut))]
    return changed[-1] if changed else None


def _surprise(fit: Fit, shop: Shop, cut: Cut) -> Surprise:
    from inlaylab.errors import InlaylabError
    from inlaylab.fitting.predict.cuts import predict

    readings = shop.readings_of(cut)
    try:
        expected = predict(fit, shop, shop.with_cuts([cut]))
    except (InlaylabError, KeyError):  # a bit or a wood of which that fit knew nothing
        return "not compared"
    off = [_off(reading, row, _NINETY, "q05", "q95") for row in expected.backer_gaps for reading in readings
           if reading.kind == "backer_gap" and reading.value is not None]  # fmt: skip
    if off and abs(off[0]) > _HALF:
        return "higher" if off[0] > 0 else "lower"
    rows = {row["station"]: row for row in expected.glue_lines}
    lines = [_off(reading, rows[reading.station], _HALF, "q25", "q75") for reading in readings
             if reading.kind == "glue_line" and reading.station in rows]  # fmt: skip
    if lines:
        middle = sum(lines) / len(lines)
        if abs(middle) > _HALF:
            return "wider" if middle > 0 else "tighter"
    return "as expected" if off or lines else "not compared"


def _off(reading: Reading, row: dict[str, float], ends: float, low: str, high: str) -> float:
    """How far a reading lies from what was expected, in standard deviations; a closed line counts as half its limit."""
    value = reading.value if reading.value is not None else 0.5 * (reading.limit or 0.0)
    spread = max(0.01, (row[high] - row[low]) / (2 * ends))
    return (value - row["q50"]) / spread
