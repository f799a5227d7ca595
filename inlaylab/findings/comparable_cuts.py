"""The band of glue lines at an advice, with the readings of cuts that can be compared with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.figures.glue_line import GlueBand, GlueReading
from inlaylab.wording.findings.page import comparable

if TYPE_CHECKING:
    from collections.abc import Iterable

    from inlaylab.bench.cuts import Cut
    from inlaylab.bench.readings import Reading
    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.advice.start_depth import Advice
    from inlaylab.fitting.fit import Fit
    from inlaylab.fitting.predict.question import Question
    from inlaylab.fitting.review.suspects import Suspect

#: Cuts whose floor gap differs by less than this can be compared: our choice, less than makers
#: usually change it by from one cut to the next (common practice, no source). [mm]
NEAR = 0.1


def band_with_readings(
    fit: Fit, shop: Shop, advice: Advice, *, suspects: Iterable[Suspect] = ()
) -> tuple[GlueBand, str]:
    """
    Give the band at the start depth to go by and which readings stand on it.

    Parameters
    ----------
    fit : fitting.stored_fit.Fit
        Converged fit of the shop.
    shop : bench.shop.Shop
        The log's records.
    advice : fitting.advice.start_depth.Advice
        The answer that is shown.
    suspects : iterable of Suspect
        Readings to be marked.

    Returns
    -------
    band : figures.glue_line.GlueBand
    near : str
        The cuts in words, for a title.
    """
    from inlaylab.fitting.predict.glue_band import glue_band

    question = advice.question
    depth = advice.start_depth
    band = glue_band(fit, shop, question, depth)
    cuts = _comparable(shop, question, question.pocket_depth - depth)
    doubted = {(s.cut, s.kind, s.station) for s in suspects}
    readings = tuple(_as_point(shop, cut, r, doubted) for cut in cuts for r in shop.readings_of(cut) if _is_line(r))
    near = comparable([cut.cut for cut in cuts])
    return GlueBand(**vars(band), readings=readings, within=question.within), near


def _comparable(shop: Shop, question: Question, gap: float) -> list[Cut]:
    """Cuts with this bit whose floor gap is close; this pair's alone where it has any."""
    close = [
        cut
        for cut in shop.cuts
        if cut.bit == question.bit and cut.coupon and abs(cut.pocket_depth - cut.start_depth - gap) <= NEAR
    ]
    return [cut for cut in close if cut.pair == question.pair] or close


def _is_line(reading: Reading) -> bool:
    return reading.kind == "glue_line"


def _as_point(shop: Shop, cut: Cut, reading: Reading, doubted: set[tuple[str, str, str | None]]) -> GlueReading:
    closed = reading.state == "closed"
    return GlueReading(
        stroke_width=shop.coupon(cut.coupon).station(reading.station).stroke_width,
        value=(reading.limit if closed else reading.value) or 0.0,
        closed=closed,
        suspect=(cut.cut, "glue_line", reading.station) in doubted,
        name=f"{cut.cut} {reading.station}",
    )
