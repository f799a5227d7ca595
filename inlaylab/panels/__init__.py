"""One panel a notebook: a state that can be tested without a screen, and its view."""

from __future__ import annotations

from typing import Any

#: The panel of each notebook: the function below, and the file and class that it opens.
PANELS: dict[str, tuple[str, str]] = {
    "log_a_test_cut": ("log_a_test_cut", "LogATestCut"),
    "tune_the_start_depth": ("tune_the_start_depth", "TuneTheStartDepth"),
    "share_findings": ("share_findings", "ShareFindings"),
    "measure_a_bit": ("measure_a_bit", "MeasureABit"),
    "make_a_coupon": ("make_a_coupon", "MakeACoupon"),
    "around_the_cut": ("around_the_cut", "AroundTheCut"),
}


def open_panel(name: str, log: Any = None) -> Any:
    """
    Open a panel on a log; without a log on the sample shop.

    Parameters
    ----------
    name : str
        One of `PANELS`.
    log : path, optional
        The maker's own log.
    """
    from importlib import import_module

    module, view = PANELS[name]
    return getattr(import_module(f"inlaylab.panels.{module}"), view)(log)


def log_a_test_cut(log: Any = None) -> Any:
    """Log test cuts: the panel of notebook 3."""
    return open_panel("log_a_test_cut", log)


def tune_the_start_depth(log: Any = None) -> Any:
    """Ask the log which start depth to use: the panel of notebook 4."""
    return open_panel("tune_the_start_depth", log)


def share_findings(log: Any = None) -> Any:
    """Write what a log shows as one page: the panel of notebook 7."""
    return open_panel("share_findings", log)


def measure_a_bit(log: Any = None) -> Any:
    """Measure a bit from grooves: the panel of notebook 1."""
    return open_panel("measure_a_bit", log)


def make_a_coupon(log: Any = None) -> Any:
    """Draw a coupon for test cuts: the panel of notebook 2."""
    return open_panel("make_a_coupon", log)


def around_the_cut(log: Any = None) -> Any:
    """Reckon what lies around the cut: the panel of notebook 6."""
    return open_panel("around_the_cut", log)
