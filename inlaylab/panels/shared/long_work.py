"""The button, the progress line and the stop of long work; the work itself is a `services.jobs.Job`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

import ipywidgets
import traitlets

from inlaylab.panels.shared.controls import MessageLine, button, guarded, row
from inlaylab.panels.shared.entries import Held
from inlaylab.services.jobs import Job, Stage, in_own_loop, in_words
from inlaylab.wording.panels import shared

_Result = TypeVar("_Result")


class Task(traitlets.HasTraits, Generic[_Result]):
    """
    One piece of long work at a time, as a panel watches it.

    Parameters
    ----------
    work : callable
        Takes ``progress(share, seconds_left, text)`` and ``stop()``, gives the result.

    Attributes
    ----------
    state : str
        ``idle``, ``running``, ``done``, ``stopped`` or ``failed``.
    doing : str
        How far it is, in words.
    share : float
        How much is done, 0 to 1.
    result : object
        What the work gave.
    reason : str
        Why it failed.
    """

    state = traitlets.Unicode("idle")
    doing = traitlets.Unicode()
    share = traitlets.Float(0.0)
    result: Held[_Result | None] = Held()
    reason = traitlets.Unicode()

    def __init__(self, work: Callable[..., _Result], *, expected: Callable[[], float | None] = lambda: None):
        super().__init__()
        self.job = Job(work, tell=in_own_loop(self._take), expected=expected)

    def start(self) -> None:
        """Begin, unless it runs already."""
        self.job.start()

    def stop(self) -> None:
        """Ask it to stop."""
        self.job.stop()

    def wait(self, seconds: float | None = None) -> None:
        """Wait until it is done."""
        self.job.wait(seconds)

    def _take(self, stage: Stage) -> None:
        self.share, self.doing, self.reason = stage.share, in_words(stage), stage.reason
        if stage.state == "done" and self.job.result is not self.result:
            self.result = self.job.result
        self.state = stage.state


class TaskBox(ipywidgets.VBox):
    """
    A button that starts a task, one that stops it, and a line that tells how far it is.

    ``begin``, where it is given, is what the button does: it sees what the task needs, and starts it.

    Attributes
    ----------
    start, stop : ipywidgets.Button
    line : MessageLine
    """

    def __init__(self, task: Task[_Result], *, words: str, hint: str = "", begin: Callable[[], None] | None = None):
        self.task = task
        self.line = MessageLine()
        self.start = button(words, hint=hint, main=True)
        self.stop = button("Stop")
        self.start.on_click(guarded(self.line, lambda _: (begin or task.start)()))
        self.stop.on_click(guarded(self.line, lambda _: task.stop()))
        super().__init__([row(self.start, self.stop), self.line])
        task.observe(self._show, ["state", "doing"])
        self._show()

    def _show(self, change: traitlets.Bunch | None = None) -> None:
        task, running = self.task, self.task.state == "running"
        self.start.disabled = running
        self.stop.layout.display = None if running else "none"
        if task.state == "failed":
            self.line.refuse(task.reason)
        else:
            said = {"running": shared.working(task.doing), "stopped": shared.STOPPED, "done": shared.DONE}
            self.line.done(said.get(task.state, ""))
