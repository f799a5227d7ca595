"""Panels on logs of their own."""

import pytest


@pytest.fixture(autouse=True)
def _nothing_runs_by_itself(monkeypatch):
    """Let panels update only where a test asks them to."""
    from inlaylab.services.updates import Updates

    monkeypatch.setattr(Updates, "follow", lambda self: None)


@pytest.fixture
def blank_log(tmp_path):
    """A log that was just begun."""
    from inlaylab.log.store import Log

    path = tmp_path / "blank.inlay"
    with Log.make(path):
        pass
    return path
