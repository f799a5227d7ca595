"""From records to arrays: geometry, order, use of the bits, and what an outcome says."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest
import simulated_shop

from inlaylab.bench.readings import Reading
from inlaylab.fitting.model.cut_arrays import PLAIN_PIECE, pieces, used_before
from inlaylab.fitting.model.observations import observe, station_geometry


@pytest.fixture
def shop():
    return simulated_shop.small_design()


def test_a_wedge_is_strokes_of_every_width_up_to_its_wide_end(shop):
    halves = [half for half, _ in pieces(shop.cuts[0], shop)][4:]
    npt.assert_allclose(halves, np.arange(0.2, 1.01, 0.1))


def test_a_cut_without_a_coupon_is_an_ordinary_piece(shop):
    found = pieces(replace(shop.cuts[0], coupon=None), shop)
    assert found == [(stroke / 2, land / 2) for stroke, land in PLAIN_PIECE]


def test_a_bit_is_used_by_earlier_cuts_and_by_no_other_bit():
    shop = simulated_shop.small_design(bits=2)
    npt.assert_array_equal(used_before(shop, shop.cuts), [0, 0, 1, 1, 2, 2])


def test_metres_count_where_they_are_logged(shop):
    cuts = [replace(cut, path_length_m=metres) for cut, metres in zip(shop.cuts, (2, 2, 2, 6, 2, 2), strict=True)]
    shop = shop.with_cuts(cuts)
    npt.assert_allclose(used_before(shop, shop.cuts), [0, 1, 2, 3, 6, 7])


def test_a_cut_without_a_date_comes_last(shop):
    planned = replace(shop.cuts[0], cut="new", date=None)
    npt.assert_allclose(used_before(shop, (planned,)), [6])


@pytest.mark.parametrize(("width", "land", "stroke_depth", "land_depth"), [(2.0, 6.0, 1.0, 1.5), (12.0, 2.0, 4.0, 1.0)])
def test_geometry_of_a_station_by_hand(shop, width, land, stroke_depth, land_depth):
    # 90 degrees: half a width is a depth
    bit = replace(shop.bits[0], nominal_angle_deg=90)
    station = replace(shop.coupons[0].stations[0], stroke_width=width, land_width=land)
    found = station_geometry(shop.cuts[0], station, replace(shop, bits=(bit,)))
    npt.assert_allclose(found["depths"], stroke_depth + land_depth)
    npt.assert_allclose(found["finished"], width - 0.6)


def test_an_outline_offset_narrows_the_lands(shop):
    shop = replace(shop, bits=(replace(shop.bits[0], nominal_angle_deg=90),))
    thin = replace(shop.coupons[0].stations[0], land_width=1.0)
    grown = replace(shop.cuts[0], outline_offset=0.1)
    plain, narrower = (station_geometry(cut, thin, shop)["depths"] for cut in (shop.cuts[0], grown))
    npt.assert_allclose(plain - narrower, 0.1)


def test_rows_trace_back_to_their_readings(small_shop):
    seen = observe(small_shop)
    for kind in ("glue_line", "fill", "wedge_stop", "backer_gap", "floor_gap", "pocket_depth", "plug_depth"):
        rows = seen.rows[kind]
        assert rows["row"].size
        for row, cut in zip(rows["row"], rows["cut"], strict=True):
            reading = small_shop.readings[row]
            assert (reading.kind, reading.cut) == (kind, small_shop.cuts[cut].cut)
    assert sum(rows["row"].size for rows in seen.rows.values()) == len(small_shop.readings)


@pytest.mark.parametrize(
    ("outcome", "low", "high"),
    [("tight", -np.inf, 0.05), ("hairline", 0.05, 0.15), ("open", 0.15, np.inf), ("proud", 0.05, np.inf)],
)
def test_an_outcome_alone_is_an_interval(shop, outcome, low, high):
    rows = observe(shop.with_cuts([replace(shop.cuts[0], outcome=outcome)])).rows["outcome"]
    assert (rows["low"].item(), rows["high"].item()) == (low, high)


def test_a_broken_plug_says_nothing_about_its_glue_line(shop):
    assert not observe(shop.with_cuts([replace(shop.cuts[0], outcome="broken")])).rows["outcome"]["row"].size


def test_an_outcome_beside_measured_lines_is_not_counted_twice(small_shop):
    cuts = [replace(cut, outcome="tight") for cut in small_shop.cuts]
    assert not observe(replace(small_shop, cuts=tuple(cuts))).rows["outcome"]["row"].size


def test_a_station_read_twice_and_out_of_order_is_a_cue(shop):
    def line(station):
        return Reading(cut="k1", kind="glue_line", station=station, value=0.1, unit="mm")

    in_order = observe(shop.with_cuts(shop.cuts, [line(s) for s in ("B1", "B2", "B3", "B4")]))
    mixed = observe(shop.with_cuts(shop.cuts, [line(s) for s in ("B1", "B4", "B3", "B4")]))
    assert not in_order.rows["glue_line"]["cue"].any()
    npt.assert_array_equal(mixed.rows["glue_line"]["cue"], [0, 1, 0, 0])
    there = station_geometry(shop.cuts[0], shop.coupons[0].stations[1], shop)["depths"]
    npt.assert_allclose(mixed.rows["glue_line"]["other_depths"][1], there)


def test_padding_never_looks_like_a_stroke(shop):
    cuts = observe(shop.with_cuts([shop.cuts[0], replace(shop.cuts[1], coupon=None)])).cuts
    npt.assert_array_equal(cuts.real.sum(axis=1), [13, 2])
