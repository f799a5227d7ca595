import pytest

from inlaylab.errors import Stopped
from inlaylab.panels.shared.long_work import Task, TaskBox
from inlaylab.panels.start_here.view import StartHere


def test_a_blank_log_still_shows_what_an_inlay_is(blank_log):
    panel = StartHere(blank_log)
    assert panel.section.alt.startswith("Section of pocket and plug") and panel.line.error is None
    assert panel.counts.text.startswith("Your log has no test cut yet.")
    panel.next_box.start.click()
    panel.state.next.wait(60)
    assert "Log one in notebook 3" in panel.next_box.line.text


def test_without_a_fit_contradictions_are_named_all_the_same(sample_log):
    panel = StartHere(sample_log)
    assert "T11" in panel.doubts.text and "not worked out yet" in panel.known.alt


def test_the_section_is_drawn_from_the_newest_cut(sample_log):
    panel = StartHere(sample_log)
    assert "start depth of 2.67 mm" in panel.section.alt
    panel.unit.value = "in"
    assert "start depth of 0.105 in" in panel.section.alt


@pytest.mark.long
def test_the_shop_at_a_glance(fitted_log):
    panel = StartHere(fitted_log)
    assert panel.line.error is None
    assert "beside ordinary shops, by the kit's judgement" in panel.others.alt
    assert "sixty: tip flat" in panel.known.alt and "Suspects: T" in panel.residuals.alt
    assert "inches typed as millimetres" in panel.doubts.text and "sugar maple" in panel.filling.alt
    panel.answers_box.start.click()
    panel.state.answers.wait(300)
    assert panel.answers_box.line.text == "Done." and "floor gap needed [mm]" in panel.answers.value
    panel.next_box.start.click()
    panel.state.next.wait(300)
    assert "start depth" in panel.next.text
    panel.taught_box.start.click()
    panel.state.taught.wait(300)
    assert "What each cut taught about ninety on cherry-maple" in panel.taught.alt
    assert "sixty" in panel.wear_words.text and "Tip flats before" in panel.wear.alt


def test_a_task_tells_how_far_it_is_stops_and_says_what_failed():
    def work(*, progress, stop):
        progress(0.25, 3.0, "weighing")
        heard.append(box.line.text)
        while not stop():
            pass
        raise Stopped("stopped")

    heard = []
    task = Task(work)
    box = TaskBox(task, words="Go")
    box.start.click()
    assert box.start.disabled
    box.stop.click()
    task.wait(30)
    assert heard == ["Working: 25%, weighing, about 3 s left"] and box.line.text == "Stopped."
    failing = Task(lambda *, progress, stop: 1 / 0)
    box = TaskBox(failing, words="Go")
    box.start.click()
    failing.wait(30)
    assert "ZeroDivisionError" in box.line.text and failing.state == "failed" and not box.start.disabled


@pytest.mark.long
def test_every_panel_opens_by_name_and_twice(sample_log):
    from inlaylab.panels import PANELS, open_panel

    for name in PANELS:
        assert open_panel(name, sample_log).view is not open_panel(name, sample_log).view


def test_a_unit_chosen_in_one_panel_holds_in_the_next(blank_log):
    from inlaylab.panels.log_a_test_cut.state import CutState
    from inlaylab.panels.make_a_coupon.state import CouponState

    StartHere(blank_log).unit.value = "in"
    assert (CutState(blank_log).unit, CouponState(blank_log).unit) == ("in", "in")
