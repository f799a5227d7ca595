"""The answers of a log, as a panel shows them: up to date or not, how far new ones have come, and a way to stop."""

from __future__ import annotations

import html
from pathlib import Path
from typing import TYPE_CHECKING

import ipywidgets
import traitlets

from inlaylab.panels.shared.controls import MessageLine, Words, button, guarded, row
from inlaylab.panels.shared.entries import Held
from inlaylab.services.jobs import in_words
from inlaylab.services.updates import updates_of
from inlaylab.wording.panels import shared as words
from inlaylab.wording.panels.log_and_fit import STATES, how_it_was_made

if TYPE_CHECKING:
    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.fit import Fit


class FitState(traitlets.HasTraits):
    """
    The fit that belongs to a log, as `services.updates` keeps it.

    Parameters
    ----------
    log : path
        The log.

    Attributes
    ----------
    state : str
        One of `STATES`.
    fit : fitting.fit.Fit or None
        Only a fit of the log as it is now; the first draws of a running update, too.
    shop : bench.shop.Shop
        The records of the log.
    early : bool
        Whether `fit` is only the first draws of a running update.
    done : float
        How much of a running update is done, 0 to 1.
    doing : str
        How far a running update is, in words, with the time left.
    reason : str
        Why there are no answers.
    """

    state = traitlets.Unicode("none")
    fit: Held[Fit | None] = Held()
    shop: Held[Shop] = Held()
    early = traitlets.Bool(False)
    done = traitlets.Float(0.0)
    doing = traitlets.Unicode()
    reason = traitlets.Unicode()

    def __init__(self, log: str | Path):
        super().__init__()
        self.path = Path(log)
        self.updates = updates_of(self.path)
        self.updates.listen(self._take)
        self._take()

    def look(self) -> None:
        """Read the log again, and the stored fit if it is of the log as it is now."""
        self.updates.look()
        self._take()

    def start(self) -> None:
        """Begin to work out the answers, beside whatever else the notebook does."""
        self.updates.start()

    def stop(self) -> None:
        """Ask a running update to stop."""
        self.updates.stop()

    def wait(self, seconds: float | None = None) -> None:
        """Wait until a running update is done."""
        self.updates.wait(seconds)

    def _take(self) -> None:
        """Show what the one worker knows now."""
        opened, stage, early = self.updates.opened, self.updates.stage, self.updates.early
        if opened.shop is not self.shop:
            self.shop = opened.shop
        running = stage.running
        self.done, self.doing = stage.share, in_words(stage) if running else ""
        fit = opened.fit if opened.fit is not None else early
        self.early = opened.fit is None and early is not None
        if fit is not self.fit:
            self.fit = fit
        state = opened.state if opened.shop.cuts else "empty"
        unsettled = opened.last is not None and state == "unsettled"
        self.reason = opened.last.diagnostics.in_words() if unsettled and opened.last else stage.reason
        if state == "fresh" and opened.last and opened.last.why_full:
            self.reason = how_it_was_made(opened.last)
        if running:
            state = "running"
        elif state in ("none", "stale") and stage.state in ("stopped", "failed"):
            state = stage.state
        self.state = state


class FitBox(ipywidgets.VBox):
    """
    The view of a `FitState`.

    Attributes
    ----------
    start, stop : ipywidgets.Button
    progress : ipywidgets.FloatProgress
    said : Words
    line : MessageLine
    """

    def __init__(self, state: FitState):
        self.state = state
        self.line = MessageLine()
        self.start = button(words.WORK_OUT, hint=words.WORK_OUT_HINT, main=True)
        self.stop = button(words.STOP)
        self.progress = ipywidgets.FloatProgress(min=0.0, max=1.0, layout={"width": "16em"})
        self.said = Words()
        self.start.on_click(guarded(self.line, lambda _: state.start()))
        self.stop.on_click(guarded(self.line, lambda _: state.stop()))
        super().__init__([self.said, row(self.start, self.stop, self.progress), self.line])
        state.observe(self._show, ["state", "done", "doing", "reason", "early"])
        self._show()

    def _show(self, change: traitlets.Bunch | None = None) -> None:
        state = self.state
        running = state.state == "running"
        self.start.layout.display = "none" if state.state in ("running", "fresh", "empty") else None
        self.stop.layout.display = None if running else "none"
        self.progress.layout.display = None if running else "none"
        self.progress.value = state.done
        told = STATES[state.state]
        if running:
            told = f"{told}: {state.doing}" + (words.EARLY * state.early)
        elif state.reason:
            told = f"{told} {state.reason}"
        marks = {"fresh": "✓ ", "stale": "! ", "none": "! ", "unsettled": "✗ ", "failed": "✗ "}
        self.said.show_html(f'<div role="status">{marks.get(state.state, "")}{html.escape(told)}</div>', text=told)
