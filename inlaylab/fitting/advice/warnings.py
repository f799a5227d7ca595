"""Warnings where a question goes beyond what the log's cuts have seen."""

from typing import TYPE_CHECKING

from inlaylab.bench.shop import Shop
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.cut_arrays import pieces
from inlaylab.units import in_both

if TYPE_CHECKING:
    from inlaylab.fitting.predict.question import Question


def warnings_of(fit: Fit, shop: Shop, question: "Question") -> tuple[str, ...]:
    """
    Say where the prior speaks rather than the log.

    Parameters
    ----------
    fit, shop, question
        As in `advice.advise`.

    Returns
    -------
    warnings : tuple of str
        One sentence each; empty where the log has seen it all.
    """
    found = []
    with_bit = [cut for cut in shop.cuts if cut.bit == question.bit]
    pair = shop.pair(question.pair)
    woods = {s for cut in shop.cuts for s in (shop.pair(cut.pair).host, shop.pair(cut.pair).insert)}
    if not with_bit:
        loupe = "" if shop.bit(question.bit).tip_flat is None else ", and a loupe's reading of its flat"
        found.append(
            f"No cut with bit {question.bit} is logged: its angle and flat are taken from the shop's other "
            f"bits{loupe}. A loupe on the tip flat, or one test cut, would say more."
        )
    if not any(cut.pair == question.pair for cut in shop.cuts):
        found.append(
            f"No cut of pair {question.pair} is logged: its wall allowance is taken from the shop's other pairs."
        )
    for species in dict.fromkeys((pair.insert, pair.host)):
        if species not in woods:
            found.append(f"No cut has had {species}: its crest loss is taken from the other species.")
    seen = [half for cut in shop.cuts for half, _ in pieces(cut, shop)]
    asked = [half for half, _ in question.half_widths]
    if seen and min(asked) < min(seen) - 1e-6:
        found.append(
            f"The artwork's thinnest stroke, {in_both(2 * min(asked))}, is thinner than any that was cut: "
            f"{in_both(2 * min(seen))}."
        )
    deepest = max((cut.pocket_depth for cut in shop.cuts), default=None)
    if deepest is not None and question.pocket_depth > deepest + 0.5:
        found.append(
            f"A pocket {in_both(question.pocket_depth)} deep is deeper than any that was cut: {in_both(deepest)}."
        )
    reach = _reach(shop, question)
    if reach is not None:
        found.append(reach)
    if fit.cuts < 5:
        found.append(
            f"The log has {fit.cuts} {'cut' if fit.cuts == 1 else 'cuts'}: much of this answer is still what most "
            "shops find, not what yours does."
        )
    return tuple(found)


def _reach(shop: Shop, question: "Question") -> str | None:
    """Whether the plug's whole depth is more than the bit's cone is high."""
    from inlaylab.models.reach import cutting_height

    bit = shop.bit(question.bit)
    if not bit.cutting_diameter:
        return None
    high = float(
        cutting_height(cutting_diameter=bit.cutting_diameter, angle=bit.nominal_angle_deg, tip_flat=bit.tip_flat or 0.0)
    )
    need = max(question.pocket_depth, question.span[1] + question.relief_depth)
    if need <= high:
        return None
    return (
        f"The plug may be cut {in_both(need)} deep, but the bit's cone is only {in_both(high)} high: check its reach."
    )
