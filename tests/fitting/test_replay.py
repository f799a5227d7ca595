from dataclasses import replace
from itertools import islice, pairwise

import pytest

from inlaylab.bench.bits import Groove
from inlaylab.errors import Stopped
from inlaylab.fitting.replay import fits_of_prefixes, in_order, prefix


def test_cuts_come_in_the_order_in_which_they_were_made(small_shop):
    a, b, c = small_shop.cuts[:3]
    shop = replace(
        small_shop, cuts=(replace(a, date="2026-03-05"), replace(b, date=None), replace(c, date="2026-03-01"))
    )
    assert [cut.cut for cut in in_order(shop)] == [c.cut, a.cut, b.cut], "b stays after a"


def test_a_prefix_knows_nothing_of_what_came_later(small_shop):
    dated = tuple(replace(cut, date=f"2026-03-{n:02d}") for n, cut in enumerate(small_shop.cuts, start=1))
    grooves = tuple(Groove(bit="bit1", date=day, depth=2, width=2.4) for day in ("2026-02-01", "2026-03-03", None))
    shop = replace(small_shop, cuts=dated, grooves=grooves)
    first = prefix(shop, 2)
    assert first.cuts == dated[:2]
    assert {reading.cut for reading in first.readings} == {cut.cut for cut in dated[:2]}
    assert [groove.date for groove in first.grooves] == ["2026-02-01", None]


def test_a_replay_can_be_stopped_before_it_fits(small_shop):
    with pytest.raises(Stopped):
        next(fits_of_prefixes(small_shop, stop=lambda: True))


@pytest.mark.long
def test_each_fit_is_the_one_before_brought_up_to_date(small_shop):
    steps = list(islice(fits_of_prefixes(small_shop), 3))
    assert [(count, fit.cuts, fit.converged) for count, fit in steps] == [(1, 1, True), (2, 2, True), (3, 3, True)]
    # of so few cuts each tells much: an update that does not settle becomes a full fit, and says so
    told = [(fit.updates == before.updates + 1) or fit.why_full for (_, before), (_, fit) in pairwise(steps)]
    assert all(told) and any(fit.updates for _, fit in steps)
