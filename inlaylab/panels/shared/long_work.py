"""Long work beside the notebook: how far it is, how long it will take, and a way to stop it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

import ipywidgets
import traitlets

from inlaylab.errors import InlaylabError, Stopped
from inlaylab.panels.shared.controls import MessageLine, button, guarded, row


class Task(traitlets.HasTraits):
    """
    One piece of long work at a time.

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
    result : object
        What the work gave.
    reason : str
        Why it failed.
    """

    state = traitlets.Unicode("idle")
    doing = traitlets.Unicode()
    result = traitlets.Any(None, allow_none=True)
    reason = traitlets.Unicode()

    def __init__(self, work: Callable[..., Any]):
        super().__init__()
        self._work = work
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Begin, unless it runs already."""
        if self.state == "running":
            return
        self._stop.clear()
        self.doing, self.reason, self.state = "beginning", "", "running"
        self._thread = threading.Thread(target=self._run, name="inlaylab task", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Ask it to stop."""
        self._stop.set()

    def wait(self, seconds: float | None = None) -> None:
        """Wait until it is done."""
        if self._thread is not None:
            self._thread.join(seconds)

    def _run(self) -> None:
        try:
            self.result = self._work(progress=self._progress, stop=self._stop.is_set)
            self.state = "done"
        except Stopped:
            self.state = "stopped"
        except InlaylabError as error:
            self.reason, self.state = str(error), "failed"
        except Exception as error:
            self.reason, self.state = f"{type(error).__name__}: {error}", "failed"

    def _progress(self, share: float, seconds_left: float | None, text: str = "") -> None:
        left = f", about {seconds_left:.0f} s left" if seconds_left else ""
        self.doing = f"{100 * share:.0f} %, {text}{left}"


class TaskBox(ipywidgets.VBox):
    """
    A button that starts a task, one that stops it, and a line that tells how far it is.

    Attributes
    ----------
    start, stop : ipywidgets.Button
    line : MessageLine
    """

    def __init__(self, task: Task, *, words: str, hint: str = ""):
        self.task = task
        self.line = MessageLine()
        self.start = button(words, hint=hint, main=True)
        self.stop = button("Stop")
        self.start.on_click(guarded(self.line, lambda _: task.start()))
        self.stop.on_click(guarded(self.line, lambda _: task.stop()))
        super().__init__([row(self.start, self.stop), self.line])
        task.observe(self._show, ["state", "doing"])
        self._show()

    def _show(self, change: Any = None) -> None:
        task, running = self.task, self.task.state == "running"
        self.start.disabled = running
        self.stop.layout.display = None if running else "none"
        if task.state == "failed":
            self.line.refuse(task.reason)
        else:
            words = {"running": f"Working: {task.doing}", "stopped": "Stopped.", "done": "Done."}
            self.line.done(words.get(task.state, ""))
