"""Long work beside whatever else goes on: how far it is, how long it will take, and a way to stop it."""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from inlaylab.errors import InlaylabError, Stopped

#: Takes the share done (0 to 1), the seconds left or None, and what is being done.
Progress = Callable[..., None]


_Result = TypeVar("_Result")


@dataclass(frozen=True, kw_only=True)
class Stage:
    """
    How far a job is.

    Parameters
    ----------
    state : {"idle", "running", "done", "stopped", "failed"}
        ``failed`` has its `reason`.
    share : float
        How much is done, 0 to 1.
    seconds_left : float or None
        As far as it is known. [s]
    text : str
        What is being done.
    reason : str
        Why it failed.
    """

    state: str = "idle"
    share: float = 0.0
    seconds_left: float | None = None
    text: str = ""
    reason: str = ""

    @property
    def running(self) -> bool:
        """Whether it runs."""
        return self.state == "running"


def in_words(stage: Stage) -> str:
    """
    Say how far running work is.

    Examples
    --------
    >>> in_words(Stage(state="running", share=0.25, seconds_left=3.2, text="weighing"))
    '25%, weighing, about 3 s left'
    >>> in_words(Stage(state="running", text="beginning"))
    '0%, beginning'
    """
    parts = [f"{100 * stage.share:.0f}%", stage.text]
    if stage.seconds_left is not None:
        parts.append(f"about {max(1.0, stage.seconds_left):.0f} s left")
    return ", ".join(filter(None, parts))


class Job(Generic[_Result]):
    """
    One piece of long work at a time, in a thread of its own.

    Parameters
    ----------
    work : callable
        Takes ``progress(share, seconds_left, text)`` and ``stop()``, gives the result, or raises Stopped.
    tell : callable
        Called with each new `Stage`, in the thread of the work.
    expected : callable, optional
        Gives the seconds that the work will likely take, told until the work itself knows better.
    name : str
        Of the thread.
    """

    def __init__(
        self,
        work: Callable[..., _Result],
        *,
        tell: Callable[[Stage], None] = lambda stage: None,
        expected: Callable[[], float | None] = lambda: None,
        name: str = "inlaylab work",
    ):
        self.stage = Stage()
        self.result: _Result | None = None
        self._work, self._tell, self._expected, self._name = work, tell, expected, name
        self._stop = threading.Event()
        self._turn = threading.Lock()
        self._thread: threading.Thread | None = None
        self._began = 0.0
        self._likely: float | None = None

    @property
    def running(self) -> bool:
        """Whether it runs."""
        return self.stage.running

    def start(self) -> bool:
        """Begin, unless it runs already; tell whether it was begun."""
        with self._turn:
            if self.stage.running:
                return False
            self._stop.clear()
            self._began = time.monotonic()
            self._likely = self._expected()
            self._say(Stage(state="running", seconds_left=self._likely, text="beginning"))
            self._thread = threading.Thread(target=self._run, name=self._name, daemon=True)
            self._thread.start()
        return True

    def stop(self) -> None:
        """Ask it to stop."""
        self._stop.set()

    def wait(self, seconds: float | None = None) -> None:
        """Wait until it is done."""
        thread = self._thread
        if thread is not None and thread is not threading.current_thread():
            thread.join(seconds)

    def _run(self) -> None:
        try:
            self.result = self._work(progress=self._progress, stop=self._stop.is_set)
            self._say(Stage(state="done", share=1.0))
        except Stopped:
            self._say(Stage(state="stopped"))
        except InlaylabError as error:
            self._say(Stage(state="failed", reason=str(error)))
        except Exception as error:
            self._say(Stage(state="failed", reason=f"{type(error).__name__}: {error}"))

    def _progress(self, share: float, seconds_left: float | None = None, text: str = "") -> None:
        if seconds_left is None and self._likely is not None:
            seconds_left = max(1.0, self._likely - (time.monotonic() - self._began))
        self._say(replace(self.stage, share=share, seconds_left=seconds_left, text=text))

    def _say(self, stage: Stage) -> None:
        self.stage = stage
        self._tell(stage)


def in_own_loop(action: Callable[..., None]) -> Callable[..., None]:
    """
    Wrap a callback so that other threads have it run where this one stands: in the running event loop, if there is one.

    Parameters
    ----------
    action : callable
        What to do; called at once, in the calling thread, where no loop runs here.

    Notes
    -----
    A notebook's widgets are then only touched between two of its own steps, never in the middle of one.
    """
    try:
        loop = asyncio.get_running_loop()
    except RuntimeError:
        return action

    def later(*words: object) -> None:
        if not loop.is_closed():
            loop.call_soon_threadsafe(action, *words)

    return later
