"""Panels on logs of their own."""

import pytest


@pytest.fixture
def blank_log(tmp_path):
    """A log that was just begun."""
    from inlaylab.log.store import Log

    path = tmp_path / "blank.inlay"
    with Log.make(path):
        pass
    return path
