"""Panels on logs of their own."""

import pytest


@pytest.fixture(autouse=True)
def _nothing_runs_by_itself(monkeypatch):
    """Let panels update only where a test asks them to."""
    from inlaylab.services.updates import Updates

    monkeypatch.setattr(Updates, "follow", lambda self: None)


@pytest.fixture(autouse=True)
def _pictures_are_drawn_and_not_painted(request, monkeypatch):
    """
    Leave out the last step of every picture, its pixels, which take most of a panel's time and which nobody here sees.

    The figures' own tests, the notebooks and the browser's tests paint them; here a test marked ``painted`` does.
    """
    from inlaylab.figures.style import Picture

    if request.node.get_closest_marker("painted") is None:
        monkeypatch.setattr(Picture, "png", lambda self, *, dpi=120: b"")


@pytest.fixture
def blank_log(tmp_path):
    """A log that was just begun."""
    from inlaylab.log.store import Log

    path = tmp_path / "blank.inlay"
    with Log.make(path):
        pass
    return path
