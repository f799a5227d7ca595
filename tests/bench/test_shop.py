"""The bundle of records that goes from the log to fits and figures."""

import pytest

from inlaylab.bench.bits import Bit
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.errors import RecordError


@pytest.fixture
def shop():
    cut = {"bit": "b1", "pair": "p1", "start_depth": 3.4, "pocket_depth": 4.2, "relief_depth": 1.6}
    gaps = [Reading(cut=name, kind="backer_gap", value=1.2, unit="mm") for name in ("k1", "k2", "k1")]
    return Shop(
        bits=[Bit(bit="b1", nominal_angle_deg=60)],
        pairs=[Pair(pair="p1", host="maple", insert="walnut")],
        cuts=[Cut(cut=name, **cut) for name in ("k1", "k2")],
        readings=gaps,
    )


def test_records_are_found_by_name(shop):
    assert shop.bit("b1").bit == "b1"
    assert shop.pair("p1").pair == "p1"
    assert shop.cut("k2").cut == "k2"
    assert len(shop.readings_of("k1")) == len(shop.readings_of(shop.cut("k1"))) == 2


@pytest.mark.parametrize(
    ("kind", "there"), [("bit", "b1"), ("pair", "p1"), ("cut", "k1, k2"), ("coupon", "no coupon yet")]
)
def test_what_is_not_there_is_refused_with_what_is(shop, kind, there):
    with pytest.raises(RecordError, match=f'there is no such {kind}: "x" at the log; allowed: .*{there}'):
        getattr(shop, kind)("x")


def test_other_cuts_can_take_the_place_of_its_own(shop):
    one = shop.with_cuts(shop.cuts[:1], shop.readings_of("k1"))
    assert (len(one.cuts), len(one.readings), one.bits) == (1, 2, shop.bits)
    assert one.fingerprint() != shop.fingerprint()


def test_the_fingerprint_is_a_sha256_that_stays_the_same(shop):
    assert len(shop.fingerprint()) == 64
    assert shop.fingerprint() == shop.with_cuts(shop.cuts, shop.readings).fingerprint()
