"""The fit of a log, as a panel shows it: whether there is one, how far a new one has come, and a way to stop it."""

from __future__ import annotations

import html
import threading
from pathlib import Path
from typing import Any

import ipywidgets
import traitlets

from inlaylab.errors import FitMissing, InlaylabError, InputError, NotConverged, Stopped
from inlaylab.panels.shared.controls import MessageLine, Words, button, guarded, row

#: What each state of a fit means to the maker.
STATES = {
    "none": "This log has no fit yet. Fitting takes about a minute; the result is kept beside the log.",
    "stale": "The log has changed since it was fitted: fit it again before you trust an answer.",
    "fresh": "The log is fitted as it is now.",
    "unsettled": "The fit did not settle, so no advice is taken from it: look for readings that contradict each other.",
    "running": "Fitting …",
    "stopped": "The fit was stopped; nothing was changed.",
    "failed": "The fit failed.",
}


class FitState(traitlets.HasTraits):
    """
    The fit that belongs to a log.

    Parameters
    ----------
    log : path
        The log.

    Attributes
    ----------
    state : str
        One of `STATES`.
    fit : fitting.stored_fit.Fit or None
        Only a fit of the log as it is now.
    shop : bench.shop.Shop
        The records that the fit is of.
    done : float
        How much of a running fit is done, 0 to 1.
    doing : str
        What a running fit is at, with the time left.
    reason : str
        Why a fit failed.
    """

    state = traitlets.Unicode("none")
    fit = traitlets.Any(None, allow_none=True)
    shop = traitlets.Any()
    done = traitlets.Float(0.0)
    doing = traitlets.Unicode()
    reason = traitlets.Unicode()

    def __init__(self, log: str | Path):
        super().__init__()
        self.path = Path(log)
        self._thread: threading.Thread | None = None
        self._stop = threading.Event()
        self.look()

    def look(self) -> None:
        """Read the log, and the stored fit if it is of the log as it is now."""
        from inlaylab.fitting import stored_fit
        from inlaylab.log.store import Log

        with Log.open(self.path) as log:
            self.shop, fingerprint = log.shop(), log.fingerprint()
        try:
            self._take(stored_fit.load(self.path, fingerprint))
        except FitMissing:
            self.fit = None
            self.state = "stale" if stored_fit.path_of(self.path).exists() else "none"

    def start(self) -> None:
        """Begin to fit, beside whatever else the notebook does."""
        if self.state == "running":
            return
        self._stop.clear()
        self.done, self.doing, self.state = 0.0, "beginning", "running"
        self._thread = threading.Thread(target=self._run, name="inlaylab fit", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Ask a running fit to stop."""
        self._stop.set()

    def wait(self, seconds: float | None = None) -> None:
        """Wait until a running fit is done."""
        if self._thread is not None:
            self._thread.join(seconds)

    def _run(self) -> None:
        from inlaylab.fitting import stored_fit
        from inlaylab.fitting.fit import fit_shop
        from inlaylab.log.store import Log

        try:
            with Log.open(self.path) as log:
                shop, fingerprint = log.shop(), log.fingerprint()
            if not shop.cuts:
                raise InputError("the log has no cuts", allowed="log a test cut first")
            fit = fit_shop(shop, progress=self._progress, stop=self._stop.is_set, fingerprint=fingerprint)
            stored_fit.save(fit, self.path)
            self.shop = shop
            self._take(fit)
        except Stopped:
            self.state = "stopped"
        except InlaylabError as error:
            self.reason, self.state = str(error), "failed"
        except Exception as error:
            self.reason, self.state = f"{type(error).__name__}: {error}", "failed"

    def _take(self, fit: Any) -> None:
        try:
            fit.check()
        except NotConverged as error:
            self.fit, self.reason, self.state = None, str(error), "unsettled"
            return
        self.fit, self.reason, self.state = fit, "", "fresh"

    def _progress(self, done_share: float, seconds_left: float | None, text: str = "") -> None:
        left = f", about {seconds_left:.0f} s left" if seconds_left else ""
        self.done, self.doing = done_share, f"{text or 'fitting'}{left}"


class FitBox(ipywidgets.VBox):
    """
    The view of a `FitState`.

    Attributes
    ----------
    start, stop, look : ipywidgets.Button
    progress : ipywidgets.FloatProgress
    said : Words
    line : MessageLine
    """

    def __init__(self, state: FitState):
        self.state = state
        self.line = MessageLine()
        self.start = button("Fit this log", hint="about a minute; other controls go on working", main=True)
        self.stop = button("Stop the fit")
        self.look = button("Read the log again", hint="after cuts were logged elsewhere")
        self.progress = ipywidgets.FloatProgress(min=0.0, max=1.0, layout={"width": "16em"})
        self.said = Words()
        self.start.on_click(guarded(self.line, lambda _: state.start()))
        self.stop.on_click(guarded(self.line, lambda _: state.stop()))
        self.look.on_click(guarded(self.line, lambda _: state.look()))
        super().__init__([self.said, row(self.start, self.stop, self.look, self.progress), self.line])
        state.observe(self._show, ["state", "done", "doing", "reason"])
        self._show()

    def _show(self, change: Any = None) -> None:
        state = self.state
        running = state.state == "running"
        self.start.disabled = running
        self.start.description = "Fit it again" if state.state in ("stale", "fresh", "unsettled") else "Fit this log"
        self.stop.layout.display = None if running else "none"
        self.progress.layout.display = None if running else "none"
        self.progress.value = state.done
        words = STATES[state.state]
        if running:
            words = f"Fitting: {100 * state.done:.0f} %, {state.doing}"
        elif state.reason:
            words = f"{words} {state.reason}"
        marks = {"fresh": "✓ ", "stale": "! ", "none": "! ", "unsettled": "✗ ", "failed": "✗ "}
        self.said.show_html(f'<div role="status">{marks.get(state.state, "")}{html.escape(words)}</div>', text=words)
