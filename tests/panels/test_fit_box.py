from inlaylab.errors import InputError
from inlaylab.panels.shared.fit_box import FitBox, FitState


def test_the_box_tells_how_far_an_update_is_and_offers_to_stop_it(sample_log, monkeypatch):
    seen = []
    state = FitState(sample_log)
    box = FitBox(state)

    def fit(opened, *, progress, stop):
        progress(0.4, 12.0, "sampling")
        seen.append((box.said.text, box.stop.layout.display, box.start.layout.display))
        raise InputError("two cuts contradict each other")

    monkeypatch.setattr(state.updates, "_fit", fit)
    monkeypatch.setattr("inlaylab.services.updates.TELL_EVERY", 0.0)
    assert box.start.layout.display is None and "not been worked out" in box.said.text
    box.start.click()
    state.wait(30)
    assert seen == [("Working out the answers: 40%, sampling, about 12 s left", None, "none")]
    assert state.state == "failed" and "two cuts contradict" in box.said.text and box.stop.layout.display == "none"


def test_a_log_without_cuts_says_what_to_do(blank_log):
    box = FitBox(FitState(blank_log))
    assert "Log the first one in notebook 3" in box.said.text and box.start.layout.display == "none"


def test_a_fitted_log_asks_for_nothing(fitted_log):
    state = FitState(fitted_log)
    box = FitBox(state)
    assert state.state == "fresh" and state.fit is not None and "up to date" in box.said.text
    assert box.start.layout.display == box.stop.layout.display == "none"
