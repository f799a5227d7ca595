"""Notebook 1's panel, clicked and typed into without a screen."""

import numpy.testing as npt
import pytest

from inlaylab.bench.bits import Bit
from inlaylab.errors import InputError
from inlaylab.log.store import Log
from inlaylab.models.grooves import groove_width
from inlaylab.panels.measure_a_bit.state import BitState, read_metres
from inlaylab.panels.measure_a_bit.view import MeasureABit


@pytest.fixture
def log(tmp_path):
    path = tmp_path / "shop.inlay"
    with Log.make(path) as made:
        made.add(Bit(bit="sixty", nominal_angle_deg=60, cutting_diameter=12))
    return path


def type_groove(panel, depth, width):
    panel.fields["groove_depth"].box.value = depth
    panel.fields["groove_width"].box.value = width
    panel.add.click()


def test_grooves_typed_one_by_one_measure_the_bit_and_are_kept(log):
    panel = MeasureABit(log)
    assert "No groove of sixty is in the log yet" in panel.answer.text
    for depth in (1.0, 2.0, 4.0):
        type_groove(panel, f"{depth} mm", f"{groove_width(depth=depth, true_angle=61.5, tip_flat=0.12):.4f} mm")
    npt.assert_allclose(panel.state.measure.true_angle, 61.5, atol=0.01)
    npt.assert_allclose(panel.state.measure.tip_flat, 0.12, atol=0.002)
    assert "True angle 61.50°" in panel.answer.text
    assert "61.50°" in panel.picture.alt
    with Log.open(log) as opened:
        assert [groove.typed["depth"] for groove in opened.shop().grooves] == ["1.0 mm", "2.0 mm", "4.0 mm"]


def test_inch_makers_measure_the_same_bit(log):
    panel = MeasureABit(log)
    panel.unit.value = "in"
    for depth in (0.04, 0.08, 0.16):
        type_groove(panel, str(depth), f"{groove_width(depth=depth * 25.4, true_angle=61.5, tip_flat=0.12) / 25.4:.6f}")
    npt.assert_allclose(panel.state.measure.true_angle, 61.5, atol=0.01)
    assert " in " in panel.answer.text


def test_a_loupe_reading_is_kept_and_both_can_be_undone(log):
    panel = MeasureABit(log)
    panel.fields["loupe"].box.value = "4 thou"
    panel.keep.click()
    with Log.open(log) as opened:
        npt.assert_allclose(opened.shop().bit("sixty").tip_flat, 0.1016)
    panel.history.undo.click()
    with Log.open(log) as opened:
        assert opened.shop().bit("sixty").tip_flat is None


def test_a_loupe_reading_that_is_not_kept_yet_stays_typed_beside_a_groove(log):
    state = BitState(log)
    state.loupe.typed, state.groove["depth"].typed, state.groove["width"].typed = "0.1", "2", "2.4"
    state.add_groove()
    assert state.loupe.typed == "0.1" and not state.groove["depth"].typed


def test_the_newest_groove_can_be_deleted_and_brought_back(log):
    panel = MeasureABit(log)
    type_groove(panel, "1 mm", "1.3 mm")
    panel.delete.click()
    assert panel.state.grooves == () and "Deleted" in panel.line.text
    panel.history.undo.click()
    assert len(panel.state.grooves) == 1 and not panel.line.text, "what was taken back is not said to be done"
    panel.history.undo.click()
    assert panel.state.grooves == () and panel.history.undo.disabled, "what was there before is not taken back here"
    panel.history.redo.click()
    assert len(panel.state.grooves) == 1


def test_a_bad_entry_is_refused_beside_its_field_and_nothing_is_logged(log):
    panel = MeasureABit(log)
    type_groove(panel, "deep", "1.3 mm")
    assert "✗" in panel.line.value
    assert panel.fields["groove_width"].box.value == "1.3 mm"
    with Log.open(log) as opened:
        assert opened.shop().grooves == ()


def test_a_further_groove_is_never_told_deeper_than_the_bit_reaches(log):
    panel = MeasureABit(log)
    for depth in (2.0, 5.0, 9.0):
        type_groove(panel, f"{depth} mm", f"{groove_width(depth=depth, true_angle=60, tip_flat=0.1):.4f} mm")
    assert max(panel.state.lines.further_depths) < 6 / 0.577


def test_wear_typed_in_tells_when_to_tune_again(log):
    panel = MeasureABit(log)
    panel.fields["worn_metres"].box.value = "0; 100; 200; 300"
    panel.fields["worn_flats"].box.value = "0.05 mm; 0.08 mm; 0.11 mm; 0.14 mm"
    panel.fields["worn_spare"].box.value = "0.2 mm"
    # 0.2 mm of gap hides 0.2 tan(30 degrees) = 0.115 mm of flat: at 0.0003 mm/m that is 385 m.
    npt.assert_allclose(panel.state.wear.due_at, 385, atol=1)
    assert "385 m" in panel.worn.text
    panel.fields["worn_metres"].box.value = "0; 100"
    assert "one for each" in panel.worn.text


@pytest.mark.parametrize(("text", "words"), [("0; far", "far"), ("-3; 4", "metres cut"), ("1e9", "metres cut")])
def test_metres_that_are_none_are_refused(text, words):
    with pytest.raises(InputError, match=words):
        read_metres(text)


def test_cautions_stand_beside_the_bit(log):
    told = "".join(getattr(part, "text", "") for part in MeasureABit(log).view.children)
    assert "machine's manual" in told


def test_the_sample_shop_opens_in_an_empty_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    state = BitState(MeasureABit().state.path)
    assert state.measure is not None


def test_a_new_bits_flat_is_taken_in_the_panels_unit(blank_log):
    state = BitState(blank_log)
    state.unit = "in"
    for name, typed in (("bit", "sixty"), ("nominal_angle_deg", "60"), ("tip_flat", "1/128")):
        state.new_bit.form[name].typed = typed
    state.new_bit.keep()
    assert state.session.shop.bits[0].tip_flat == pytest.approx(25.4 / 128)
