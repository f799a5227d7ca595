import json
import re
from dataclasses import replace

import pytest

from inlaylab.bench.coupons import Coupon
from inlaylab.bench.forecasts import Forecast
from inlaylab.log.store import Log
from inlaylab.panels.log_a_test_cut import state
from inlaylab.panels.log_a_test_cut.view import LogATestCut, SavedCuts
from inlaylab.panels.shared.entries import ADD_NEW


@pytest.fixture
def panel(sample_log):
    return LogATestCut(sample_log)


def fill(panel, **typed):
    for name, text in typed.items():
        panel.fields[name].box.value = text


def whole(panel):
    fill(
        panel,
        pair="walnut-maple",
        bit="sixty",
        coupon="ladder",
        start_depth='9/64"',
        pocket_depth="4",
        relief_depth="1.5",
    )


def stored(path, cut="T27"):
    with Log.open(path) as log:
        return log.shop().cut(cut), log.shop().readings_of(cut)


def test_a_cut_with_readings_goes_into_the_log_as_typed(panel, sample_log):
    whole(panel)
    fill(panel, read_backer_gap="1.6", outcome="hairline", notes="first of the spring")
    for row, text in zip(panel.grid.rows, ("c f", "0.004in p", "m"), strict=False):
        row.box.value = text
    panel.save.save.click()
    assert panel.save.line.text == "Saved T27 with 6 readings." and panel.save.line.error is None
    cut, readings = stored(sample_log)
    assert cut.start_depth == pytest.approx(3.571875) and cut.typed["start_depth"] == '9/64"'
    assert {(r.kind, r.station, r.state) for r in readings} >= {("fill", "B3", "missing"), ("backer_gap", None, None)}
    assert panel.state.rows()[0]["cut"] == "T27" and panel.fields["cut"].box.value == "T28"


def test_the_least_that_helps_can_be_logged(blank_log):
    panel = LogATestCut(blank_log)
    panel.fields["pair"].box.value = ADD_NEW
    add = panel.adds["pair"]
    for name, text in (("pair", "ash-walnut"), ("host", "ash"), ("insert", "walnut")):
        add.fields[name].box.value = text
    add.keep.click()
    panel.fields["bit"].box.value = ADD_NEW
    add = panel.adds["bit"]
    add.fields["bit"].box.value, add.fields["nominal_angle_deg"].box.value = "sixty", "60"
    add.keep.click()
    fill(panel, start_depth="0.13in", pocket_depth="0.17in", relief_depth="0.065in", outcome="tight")
    panel.save.save.click()
    cut, readings = stored(blank_log, "cut 1")
    assert cut.outcome == "tight" and not readings and panel.state.form["pair"].value == "ash-walnut"


def test_a_coupon_is_added_with_its_bars(panel, sample_log):
    panel.fields["coupon"].box.value = ADD_NEW
    add = panel.adds["coupon"]
    for name, text in (("coupon", "comb"), ("widths", "0.8; 1/8 in"), ("land", "3"), ("wedge", "5")):
        add.fields[name].box.value = text
    add.fields["grain"].box.value = "both"
    add.keep.click()
    assert [entry.label for entry in panel.state.grid.entries] == ["B1", "B2", "B3", "B4", "W1"]
    with Log.open(sample_log) as log:
        assert log.shop().coupon("comb").station("B3").typed["stroke_width"] == "1/8 in"


def test_a_refusal_loses_nothing_and_holds_the_save(panel, sample_log):
    whole(panel)
    panel.grid.rows[0].box.value = "c"
    panel.grid.rows[1].box.value = "oak"
    assert "readings at the stations" in panel.save.needs.text
    panel.save.save.click()
    assert "Please fix" in panel.save.line.text and len(panel.state.shop.cuts) == 26
    panel.grid.rows[1].box.value = "0.1"
    assert not panel.save.line.text
    panel.save.save.click()
    assert len(stored(sample_log)[1]) == 2
    panel.save.save.click()
    assert "Saved" in panel.save.line.text and "Nothing has been typed since" in panel.save.line.text


def test_the_list_of_saved_cuts_names_one_as_soon_as_there_is_one(sample_log):
    form = state.CutState(sample_log)
    cuts, form.shop = form.shop, replace(form.shop, cuts=(), readings=())
    listed = SavedCuts(form, on_correct=lambda name: None, on_delete=lambda name: None)
    assert listed.which.value is None and listed.correct.disabled
    form.shop = cuts
    assert listed.which.value == "T26" and not listed.correct.disabled


def test_correct_then_undo(panel, sample_log):
    before = stored(sample_log, "T02")
    panel.saved.which.value = "T02"
    panel.saved.correct.click()
    assert panel.mode.text == "Correcting T02" and panel.save.save.description == "Save the correction"
    fill(panel, start_depth="3.65")
    panel.save.save.click()
    after = stored(sample_log, "T02")
    assert after[0].start_depth == 3.65 and after[1] == before[1], "readings that were not touched stay as they were"
    assert panel.save.history.undo.description == f"Undo: corrected cut T02 with {len(after[1])} readings"
    panel.save.history.undo.click()
    assert stored(sample_log, "T02") == before
    panel.save.history.redo.click()
    assert stored(sample_log, "T02") == after


@pytest.mark.long
def test_every_cut_of_the_sample_survives_the_form_unchanged(sample_log):
    form = state.CutState(sample_log)
    names = [cut.cut for cut in form.shop.cuts]
    assert len(names) == 26
    for name in names:
        before = stored(sample_log, name)
        form.correct(name)
        assert form.form.whole, (name, form.form.needs)
        form.save()
        after = stored(sample_log, name)
        assert after[0] == before[0]
        assert sorted(map(repr, after[1])) == sorted(map(repr, before[1]))


def test_what_somebody_else_saved_meanwhile_is_not_lost(panel, sample_log):
    panel.state.correct("T02")
    other = LogATestCut(sample_log)
    other.state.correct("T02")
    fill(other, notes="theirs")
    other.save.save.click()
    fill(panel, notes="mine")
    panel.save.save.click()
    assert "somebody else" in panel.save.line.text and stored(sample_log, "T02")[0].notes == "theirs"
    assert panel.fields["notes"].box.value == "mine", "what was typed stays"
    panel.save.save.click()
    assert stored(sample_log, "T02")[0].notes == "mine"


def test_delete_and_undo(panel, sample_log):
    panel.saved.which.value = "T03"
    panel.saved.delete.click()
    assert "T03" not in [row["cut"] for row in panel.state.rows()]
    panel.save.history.undo.click()
    assert "T03" in [row["cut"] for row in panel.state.rows()]


def test_undo_never_takes_back_what_was_not_done_here(panel, sample_log):
    assert panel.save.history.undo.disabled and panel.save.history.undo.description == "Undo"
    other = LogATestCut(sample_log)
    other.saved.which.value = "T03"
    other.saved.delete.click()
    assert panel.save.history.undo.disabled and not other.save.history.undo.disabled


def test_a_draft_survives_until_it_is_saved_or_thrown_away(panel, sample_log):
    whole(panel)
    panel.grid.rows[1].box.value = "0.1"
    fill(panel, notes="half")
    panel.fields["coupon"].add.fields["coupon"].box.value = "comb"
    again = LogATestCut(sample_log)
    assert "is back in the form" in again.draft.words.text and again.draft.layout.display is None
    assert again.fields["start_depth"].box.value == '9/64"' and again.grid.rows[1].box.value == "0.1"
    assert again.fields["coupon"].add.fields["coupon"].box.value == "comb"
    again.draft.throw_away.click()
    assert again.fields["notes"].box.value == "" and again.draft.layout.display == "none"
    assert not LogATestCut(sample_log).draft.words.text


def test_a_draft_of_a_correction_goes_on_correcting(panel, sample_log):
    panel.state.correct("T02")
    fill(panel, start_depth="3.7 mm", notes="mended")
    again = LogATestCut(sample_log)
    assert again.mode.text == "Correcting T02" and again.fields["notes"].box.value == "mended"
    again.save.save.click()
    assert again.save.line.text.startswith("Corrected T02") and stored(sample_log, "T02")[0].start_depth == 3.7
    assert not LogATestCut(sample_log).draft.words.text


def test_another_panels_save_comes_in_and_leaves_what_is_typed(panel, sample_log):
    whole(panel)
    fill(panel, notes="half")
    other = LogATestCut(sample_log)
    other.state.session.updates.look()
    with other.state.session.write() as log:
        log.add(Coupon(coupon="comb", stations=(replace(log.shop().coupons[0].stations[0], coupon="comb"),)))
    assert "comb" in panel.fields["coupon"].box.options and panel.fields["notes"].box.value == "half"


def test_a_name_that_is_taken_is_refused(panel):
    whole(panel)
    fill(panel, cut="T02")
    panel.save.save.click()
    assert "this name already" in panel.save.line.text and panel.fields["start_depth"].box.value == '9/64"'


def test_hostile_notes_stay_text(panel):
    whole(panel)
    bad = "<script>alert(1)</script>"
    fill(panel, cut=bad, notes=bad)
    panel.save.save.click()
    assert "<script>alert" not in panel.saved.list.value and "&lt;script&gt;" in panel.saved.list.value
    assert "<script" not in panel.save.line.value


def test_depths_come_from_the_bits_newest_cut(panel):
    fill(panel, bit="ninety")
    assert panel.fields["pocket_depth"].box.value == "0.115 in"


def test_units_of_bare_numbers(panel, sample_log):
    panel.unit.value = "in"
    whole(panel)
    fill(panel, pocket_depth="0.16", relief_depth="0.06")
    panel.save.save.click()
    cut, _ = stored(sample_log)
    assert cut.unit == "in" and cut.pocket_depth == pytest.approx(4.064)


def test_suspects_of_the_fit_stand_beside_their_cut(fitted_log):
    rows = {row["cut"]: row for row in LogATestCut(fitted_log).state.rows()}
    assert "backer gap" in rows["T05"]["suspect"] and not rows["T09"]["suspect"]


def test_the_panel_is_plain_widgets(panel):
    assert json.dumps(panel.view.get_state(), default=str)


def test_what_the_fit_expects_is_kept_with_a_new_cut_and_not_with_one_that_was_read(panel, sample_log, monkeypatch):
    asked = []

    def forecast_of(path, cut, **known):
        asked.append(cut.cut)
        return Forecast(cut=cut.cut, made="2026-03-05", within=0.15, chance=0.6, known=26)

    monkeypatch.setattr(state, "forecast_of", forecast_of)
    whole(panel)
    fill(panel, read_backer_gap="1.6")
    panel.save.save.click()
    with Log.open(sample_log) as log:
        assert [(each.cut, each.chance) for each in log.shop().forecasts] == [("T27", 0.6)]
    panel.state.correct("T27")
    fill(panel, outcome="tight")
    panel.save.save.click()
    assert panel.save.line.error is None and asked == ["T27"]
    with Log.open(sample_log) as log:
        assert (log.shop().cut("T27").outcome, len(log.shop().forecasts)) == ("tight", 1)


def test_a_start_depth_is_suggested_once_the_form_says_enough(fitted_log):
    panel = LogATestCut(fitted_log)
    form = panel.state.form
    assert panel.suggestion.text == ""
    for name, typed in {"pair": "walnut-maple", "bit": "sixty", "coupon": "ladder", "pocket_depth": "4 mm"}.items():
        form[name].typed = typed
    form["relief_depth"].typed = "1.5 mm"
    found = re.search(r"(\d\.\d\d) mm .* is the deepest that costs no glue line", panel.suggestion.text)
    assert found and 3.0 < float(found[1]) <= 4.0
    form["bit"].typed = ""
    assert panel.suggestion.text == ""
