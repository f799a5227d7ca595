"""What a maker may leave out of a page, and a shop without it."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from inlaylab.bench.bits import Groove
from inlaylab.bench.shop import Shop
from inlaylab.wording.findings.page import LEAVE_OUT as LEAVE_OUT


def without(shop: Shop, left: frozenset[str]) -> Shop:
    """
    Take out of a shop what its maker leaves out of a page.

    Parameters
    ----------
    shop : Shop
        The log's records.
    left : set of str
        Words of `LEAVE_OUT`.

    Returns
    -------
    shop : Shop
        The same records without it.

    Notes
    -----
    Grooves of one setup share their date. Where a bit had two setups in one month they are told apart by a running
    number in the place of the day.
    """
    bits, grooves, cuts, habits = shop.bits, shop.grooves, shop.cuts, shop.habits
    if "notes" in left:
        shop = replace(
            shop,
            bits=tuple(replace(each, notes="", extra={}) for each in bits),
            cuts=tuple(replace(each, notes="", extra={}) for each in cuts),
            grooves=tuple(replace(each, extra={}) for each in grooves),
            pairs=tuple(replace(each, extra={}) for each in shop.pairs),
            readings=tuple(replace(each, extra={}) for each in shop.readings),
            coupons=tuple(
                replace(each, stations=tuple(replace(station, extra={}) for station in each.stations))
                for each in shop.coupons
            ),
            habits=replace(habits, extra={}),
        )
        cuts, grooves, habits = shop.cuts, shop.grooves, shop.habits
    if "photos" in left:
        cuts = tuple(replace(each, photo="", picture="") for each in cuts)
    if "names" in left:
        habits = replace(habits, maker="")
    if "days" in left:
        cuts = tuple(replace(each, date=each.date[:7] if each.date else None) for each in cuts)
        grooves = _months(grooves)
        shop = replace(shop, forecasts=tuple(replace(each, made=each.made[:7]) for each in shop.forecasts))
    return replace(shop, cuts=cuts, grooves=grooves, habits=habits)


def _months(grooves: tuple[Groove, ...]) -> tuple[Groove, ...]:
    """Grooves with the month of their setup; setups of one bit and month are numbered."""
    setups = dict.fromkeys((each.bit, each.date) for each in sorted(grooves, key=lambda g: g.date or "") if each.date)
    many = Counter((bit, day[:7]) for bit, day in setups if day)
    dates, numbers = {}, Counter[tuple[str, str]]()
    for bit, day in setups:
        month = (day or "")[:7]
        numbers[bit, month] += 1
        dates[bit, day] = month if many[bit, month] == 1 else f"{month}-{numbers[bit, month]:02d}"
    return tuple(replace(each, date=dates[each.bit, each.date]) if each.date else each for each in grooves)
