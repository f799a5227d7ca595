"""One panel a notebook: a state that can be tested without a screen, and its view."""

from __future__ import annotations

from typing import Any

#: The panel of each notebook: its folder, which is also its name, and the class in it.
PANELS: dict[str, str] = {
    "start_here": "StartHere",
    "measure_a_bit": "MeasureABit",
    "make_a_coupon": "MakeACoupon",
    "log_a_test_cut": "LogATestCut",
    "tune_the_start_depth": "TuneTheStartDepth",
    "plan_an_artwork": "PlanAnArtwork",
    "around_the_cut": "AroundTheCut",
    "share_findings": "ShareFindings",
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

    Returns
    -------
    panel
        The view; a notebook shows it.
    """
    from importlib import import_module

    return getattr(import_module(f"inlaylab.panels.{name}.view"), PANELS[name])(log)
