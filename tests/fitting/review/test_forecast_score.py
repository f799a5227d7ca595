"""Scores of forecasts, worked out by hand."""

import pytest

from inlaylab.bench.bits import Bit
from inlaylab.bench.coupons import Coupon, Station
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.bench.forecasts import LEVELS, Expected, Forecast
from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.fitting.review.forecast_score import score


def bar(name, width, coupon="c1"):
    return Station(coupon=coupon, station=name, kind="bar", stroke_width=width, land_width=4, grain="along")


def cut(name, date, *, start=3.0, bit="b1"):
    return Cut(
        cut=name, date=date, bit=bit, pair="p1", coupon="c1", start_depth=start, pocket_depth=3.2, relief_depth=1.6
    )


def line(name, station, value=None, **more):
    closed = {} if value is not None else {"state": "closed", "limit": 0.05}
    return Reading(cut=name, kind="glue_line", station=station, value=value, unit="mm", **closed, **more)


def expected(name, made="2026-03-01", *, chance=0.8, b1=(0.0, 0.02, 0.04, 0.06, 0.1), b2=(0.1, 0.14, 0.16, 0.18, 0.2)):
    stations = [
        Expected(station=station, **dict(zip(LEVELS, levels, strict=True)))
        for station, levels in (("B1", b1), ("B2", b2))
    ]
    return Forecast(cut=name, made=made, within=0.15, chance=chance, known=2, stations=stations)


@pytest.fixture
def shop():
    """Three cuts, logged in another order than they were made."""
    return Shop(
        bits=[Bit(bit="b1", nominal_angle_deg=60), Bit(bit="b2", nominal_angle_deg=60)],
        pairs=[Pair(pair="p1", host="ash", insert="beech")],
        coupons=[Coupon(coupon="c1", stations=[bar("B1", 1.5), bar("B2", 6.0)])],
        cuts=[cut("k2", "2026-03-02"), cut("k1", "2026-03-01"), cut("k3", "2026-03-03", start=2.0)],
        readings=[
            line("k1", "B1", 0.03),
            line("k1", "B2", 0.19),
            line("k2", "B1"),
            line("k2", "B2", 0.12),
            line("k2", "B2", 0.10, method="picture"),
        ],
    )


def test_the_shares_inside_and_the_miss(shop):
    found = score(shop, [expected("k2"), expected("k1", chance=0.3)])
    assert [each.cut for each in found.cuts] == ["k1", "k2"], "in the order in which they were made"
    k1, k2 = found.cuts
    assert [station.read for station in k1.stations] == [0.03, 0.19]
    assert [station.read for station in k2.stations] == [0.0, pytest.approx(0.11)], "closed; the mean of two readings"
    assert (k1.good, k2.good) == (False, True)
    assert found.lines == 4
    assert found.inside_50 == 2 / 4, "k1 B1 lies in 0.02 to 0.06, k2 B1 is closed and the band begins below 0.05"
    assert found.inside_90 == 4 / 4
    assert found.mean_miss == pytest.approx((0.01 + 0.03 + 0.0 + 0.05) / 4)
    assert found.brier == pytest.approx(((0.3 - 0) ** 2 + (0.8 - 1) ** 2) / 2)
    k1_b1, k1_b2 = k1.stations
    assert k1_b1.seen_from == 0.0, "read below what a loupe shows, so nothing is seen closed there"
    assert (k1_b2.seen_from, k2.stations[0].seen_from) == (0.05, 0.05)
    assert found.right_90 == pytest.approx((0.9 * 3 + 0.95) / 4), "of the closed line all below q95 is inside"
    assert found.right_50 == pytest.approx((0.5 * 3 + 0.75) / 4)


def test_the_rules_beside_it(shop):
    found = score(shop, [expected("k2")])
    assert found.last_cut == pytest.approx((0.0 + 0.08) / 2), "k1 said 0.03, not above the limit, and 0.19"
    gap_missing = (0.3 - 0.2) * 3**-0.5
    assert found.fixed_gap == pytest.approx(((gap_missing - 0.05) + (0.11 - gap_missing)) / 2)
    first = score(shop, [expected("k1")])
    assert first.last_cut == pytest.approx((0.03 + 0.19) / 2), "no cut before: closed lines are guessed"


def test_a_cut_that_is_not_read_is_told_but_not_counted(shop):
    found = score(shop, [expected("k2"), expected("k3")])
    assert [each.good for each in found.cuts] == [True, None]
    assert found.lines == 2
    record = found.to_json()
    assert record["cuts"][1]["stations"][0]["read"] is None
    assert record["cuts"][0]["stations"][0]["closed_below"] == 0.05
    assert record["rules"]["last_cut"]["mean_miss"] == found.last_cut
    nothing = score(shop, [])
    assert (nothing.inside_90, nothing.mean_miss, nothing.to_json()["cuts"]) == (None, None, [])


def test_only_the_last_cuts_that_were_read(shop):
    found = score(shop, [expected("k1"), expected("k2"), expected("k3")], last=1)
    assert [each.cut for each in found.cuts] == ["k2", "k3"]


def test_a_replayed_forecast_has_no_day(shop):
    [told] = score(shop, [expected("k2")], replayed=True).to_json()["cuts"]
    assert (told["made"], told["replayed"]) == (None, True)
