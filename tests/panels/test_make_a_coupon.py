"""Notebook 2's panel, clicked and typed into without a screen."""

import pytest

from inlaylab.log.store import Log
from inlaylab.panels.make_a_coupon.state import CouponState
from inlaylab.panels.make_a_coupon.view import MakeACoupon


@pytest.fixture
def panel(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return MakeACoupon()


def test_it_opens_with_a_coupon_for_the_newest_cut(panel):
    last = panel.state.shop.cuts[-1]
    assert panel.fields["bit"].box.value == last.bit
    assert panel.state.plan is not None
    assert f"{len(panel.state.plan.coupon.stations)} stations" in panel.words.text
    assert "stations" in panel.picture.alt


def test_writing_makes_eight_files_and_never_writes_over_one(panel, tmp_path):
    panel.fields["folder"].box.value = "out"
    panel.write.click()
    assert len(list((tmp_path / "out").iterdir())) == 8
    panel.write.click()
    assert panel.line.error is not None
    assert "there already" in panel.line.text


def test_the_coupon_goes_into_the_log_once(panel):
    name = panel.state.plan.coupon.coupon
    panel.add.click()
    with Log.open(panel.state.path) as log:
        assert log.shop().coupon(name).stations == panel.state.plan.coupon.stations
    panel.add.click()
    assert "has a coupon of this name" in panel.line.text


def test_a_blank_that_is_too_small_says_which_would_do_and_both_buttons_say_so(panel):
    panel.fields["length"].box.value = "40 mm"
    assert "too small" in panel.words.text
    assert all("inlaylab-waiting" in each._dom_classes for each in (panel.write, panel.add))
    panel.add.click()
    assert "too small" in panel.line.text and not panel.state.shop.coupons[2:]
    panel.fields["length"].box.value = "6 in"
    assert "inlaylab-waiting" not in panel.write._dom_classes and not panel.line.text


def test_changing_the_unit_keeps_the_blank(panel):
    panel.fields["length"].box.value = "118 mm"
    panel.unit.value = "in"
    assert panel.state.form["length"].mm == pytest.approx(118.0)
    assert panel.fields["length"].box.value.endswith(" in")
    widths = [station.stroke_width / 0.127 for station in panel.state.plan.coupon.stations]
    assert widths == pytest.approx([round(width) for width in widths])


def test_a_bit_brings_its_angle(panel):
    other = next(bit for bit in panel.state.shop.bits if bit.bit != panel.fields["bit"].box.value)
    panel.fields["bit"].box.value = other.bit
    assert panel.fields["angle"].box.value == f"{other.nominal_angle_deg:g}"


def test_a_fit_that_is_unsure_of_thin_strokes_widens_their_span(panel, monkeypatch):
    from inlaylab.services.open_log import OpenLog

    class Known:
        def summary(self):
            pair = next(p for p in panel.state.shop.pairs if p.pair == panel.fields["pair"].box.value)
            return {"species": {pair.insert: {"half_filled_width": {"q05": 0.5, "q50": 0.8, "q95": 1.2}}}}

    monkeypatch.setattr(OpenLog, "fit", Known())
    panel.state._look_at_fit()
    panel.state._draw()
    assert panel.state.thin_from_fit
    thin = sorted({s.stroke_width for s in panel.state.plan.coupon.stations if s.kind == "bar"})[:3]
    assert thin[0] == pytest.approx(0.45, abs=0.06)
    assert thin[2] == pytest.approx(1.56, abs=0.06)
    assert "your log is still unsure" in panel.words.text


def test_a_groove_for_glue_alone_is_drawn_where_it_is_wanted(sample_log):
    panel = MakeACoupon(sample_log)
    assert panel.state.plan.layout.groove is None
    panel.fields["groove"].box.value = panel.fields["groove"].box.options[-1]
    assert panel.state.plan.layout.groove is not None
    assert "glue alone" in panel.picture.alt


def test_a_blank_begins_with_round_numbers_of_the_makers_unit(blank_log):
    state = CouponState(blank_log)
    state.unit = "in"
    assert [state.form[name].typed for name in ("length", "width", "border")] == ["5 in", "3 1/4 in", "3/8 in"]
    assert state.plan is not None and not state.draft.file.exists()
    state.form["length"].typed = "6 in"
    state.unit = "mm"
    assert state.form["width"].mm == pytest.approx(82.55), "what was typed is only told in another unit"
