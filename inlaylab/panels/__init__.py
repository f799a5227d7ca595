"""One panel a notebook: a state that can be tested without a screen, and its view."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from inlaylab.panels.shared.shell import Shell

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
    "how_it_reckons": "HowItReckons",
}


def open_panel(name: str, log: str | Path | None = None) -> Shell:
    """
    Open a panel on a log; without a log on the one that the folder names, else on the sample shop's.

    Parameters
    ----------
    name : str
        One of `PANELS`.
    log : path, optional
        The maker's own log.

    Returns
    -------
    shell : Shell
        The panel with its log, which a notebook shows; where the panel cannot open it says what is missing.
    """
    from importlib import import_module

    from inlaylab.panels.shared.shell import Shell

    make = getattr(import_module(f"inlaylab.panels.{name}.view"), PANELS[name])
    return Shell(name, make, log, chooses=name == "start_here")
