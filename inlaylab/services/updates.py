"""
Keeps an open log and its fit up to date beside whatever else goes on.

One `Updates` a log serves all panels of a notebook. It notices what any notebook or command writes, works out the
answers again when the records have changed, and tells every panel that listens. Of several notebooks on one log only
one works at a time; the others are told how far it is.
"""

from __future__ import annotations

import atexit
import threading
import time
import weakref
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from inlaylab.errors import InlaylabError, InputError, Stopped
from inlaylab.services.claim import Claim
from inlaylab.services.jobs import Job, Progress, Stage, in_own_loop
from inlaylab.services.open_log import OpenLog, mark_of, open_log

if TYPE_CHECKING:
    from inlaylab.fitting.fit import Fit

#: How often the files are looked at. [s]
EVERY = 0.5

#: Telling the panels of a running update oftener than this helps nobody. [s]
TELL_EVERY = 0.2

_ALL: dict[Path, Updates] = {}
_ALL_LOCK = threading.Lock()


@atexit.register
def stop_all() -> None:
    """Let no update run on while the program ends."""
    for updates in _ALL.values():
        updates.job.stop()
    for updates in _ALL.values():
        updates.job.wait(5.0)


def updates_of(log: str | Path) -> Updates:
    """
    Give the one `Updates` of a log in this program.

    Parameters
    ----------
    log : path
        The log.

    Raises
    ------
    LogError
        Where it cannot be opened.
    """
    place = Path(log).resolve()
    with _ALL_LOCK:
        if place not in _ALL:
            _ALL[place] = Updates(log)
        found = _ALL[place]
    found.look()
    return found


def _prepare() -> None:
    """Compile the fit's own code before a cut is saved, where this machine has never fitted."""
    from inlaylab.fitting.kernel.ready import compile_beside

    compile_beside()


class Updates:
    """
    A log, its fit, and the update that may be running; made by `updates_of`.

    Parameters
    ----------
    log : path
        The log.

    Attributes
    ----------
    opened : OpenLog
        The log as it was last read.
    early : Fit or None
        The first draws of a running update: good enough for a first answer.
    stage : Stage
        Of the update; that of another notebook where that one works.
    """

    def __init__(self, log: str | Path):
        self.path = Path(log)
        self.opened: OpenLog = open_log(self.path)
        self.early: Fit | None = None
        self.stage = Stage()
        self.job = Job(self._work, tell=self._tell, expected=self._expected, name="inlaylab update")
        self._claim = Claim(self.path)
        self._working_on, self._told = "", 0.0
        self._listeners: list[tuple[weakref.WeakMethod[Callable[[], None]], Callable[..., None]]] = []
        self._reading = threading.RLock()
        self._watch: threading.Thread | None = None
        self._marks: tuple[tuple[int, ...], ...] = ()

    def listen(self, action: Callable[[], None]) -> None:
        """
        Have a bound method called whenever anything has changed, until its owner is gone or `leave` is called.

        Parameters
        ----------
        action : bound method
            Takes nothing; called in the event loop that runs now, if one does.
        """
        method = weakref.WeakMethod(action)

        def call() -> None:
            alive = method()
            if alive is not None:
                alive()

        self._listeners.append((method, in_own_loop(call)))

    def leave(self, action: Callable[[], None]) -> None:
        """Call a method no longer."""
        self._listeners = [pair for pair in self._listeners if pair[0]() not in (None, action)]

    def follow(self) -> None:
        """Watch the files from now on, and update whenever the records have changed."""
        if self._watch is None or not self._watch.is_alive():
            self._watch = threading.Thread(target=self._look_on, name="inlaylab watch", daemon=True)
            self._watch.start()
            threading.Thread(target=_prepare, name="inlaylab prepare", daemon=True).start()

    @property
    def following(self) -> bool:
        """Whether the files are watched."""
        return self._watch is not None and self._watch.is_alive()

    def look(self) -> None:
        """Read the log and the fit beside it, where either was written since."""
        with self._reading:
            known, self._marks = (
                self.opened,
                self._all_marks(),
            )  # marks first: what comes later is seen next
            fresh = open_log(self.path, known=known)
            same = known.shop == fresh.shop and known.last is fresh.last
            self.opened = replace(fresh, shop=known.shop) if known.shop == fresh.shop else fresh
            if self.early is not None and self.early.fingerprint != self.opened.fingerprint:
                self.early = None
        if not same:
            self._say()

    def changed(self) -> None:
        """Take in what a panel of this notebook has just written."""
        self.look()
        if self.following:
            self._begin_if_wanted()

    def start(self) -> None:
        """Work it out now, also where the maker has stopped it before."""
        if not self.opened.shop.cuts:
            raise InputError("the log has no cuts", remedy="log a test cut first")
        if self._claim.others() is None:
            self._claim.free()
            self.job.start()

    def stop(self) -> None:
        """Stop the update, here or in another notebook; these records are then left alone until they change."""
        fingerprint = self._working_on or self.opened.fingerprint
        self._claim.hold(fingerprint, state="stopped")
        self.job.stop()

    def wait(self, seconds: float | None = None) -> None:
        """Wait until an update that runs here is done."""
        self.job.wait(seconds)

    def _look_on(self) -> None:
        pause = threading.Event()
        while any(method() is not None for method, _ in self._listeners):
            try:
                self._step()
            except InlaylabError as fault:
                self._show(Stage(state="failed", reason=str(fault)))
            except Exception as fault:
                self._show(Stage(state="failed", reason=f"{type(fault).__name__}: {fault}"))
            pause.wait(EVERY)

    def _step(self) -> None:
        if self._all_marks() != self._marks:
            self.look()
        if self.job.running:
            self._claim.tell(self.job.stage)
            if self._claim.held(self._working_on):
                self.job.stop()
            return
        others = self._claim.others()
        if others is not None:
            self._show(others)
            return
        if self.stage.running:
            self._show(self._claim.held(self.opened.fingerprint) or Stage())
        self._begin_if_wanted()

    def _begin_if_wanted(self) -> None:
        opened = self.opened
        wanted = opened.state in ("none", "stale") and opened.shop.cuts
        if wanted and not self.job.running and self._claim.others() is None:
            held = self._claim.held(opened.fingerprint)
            if held is None:
                self.job.start()
            else:
                self._show(held)

    def _work(self, *, progress: Progress, stop: Callable[[], bool]) -> None:
        from inlaylab.fitting import stored_fit

        opened = self.opened
        if not self._claim.take(opened.fingerprint):
            return
        self._working_on = opened.fingerprint
        try:
            fit = self._fit(opened, progress=progress, stop=stop)
            stored_fit.save(fit, self.path)
        except Stopped:
            self.early = None  # draws that nobody has judged do not stay as the answer
            raise
        except Exception as fault:
            self.early = None
            self._claim.hold(opened.fingerprint, state="failed", reason=str(fault))
            raise
        finally:
            self._working_on = ""
            self._claim.give_up()
        self.look()

    def _fit(self, opened: OpenLog, *, progress: Progress, stop: Callable[[], bool]) -> Fit:
        from inlaylab.fitting.fit import fit_shop
        from inlaylab.fitting.update import Watch, update

        if opened.last is None:
            return fit_shop(opened.shop, progress=progress, stop=stop, fingerprint=opened.fingerprint)
        watch = Watch(progress=progress, stop=stop, preview=self._take_early)
        return update(opened.last, opened.shop, fingerprint=opened.fingerprint, watch=watch)

    def _take_early(self, fit: Fit) -> None:
        if fit.fingerprint == self.opened.fingerprint:  # else the log has changed meanwhile
            self.early = fit
            self._say()

    def _expected(self) -> float:
        """Likely seconds of an update, from the last one; a guess of ours before there is one."""
        last, shop = self.opened.last, self.opened.shop
        if last is not None and last.cuts:
            return max(2.0, last.seconds * len(shop.cuts) / last.cuts)
        return 8.0 + 0.05 * len(shop.readings)

    def _tell(self, stage: Stage) -> None:
        if stage.state == "done":
            stage = Stage()
        if stage.running and self.stage.running and time.monotonic() - self._told < TELL_EVERY:
            return
        self._told = time.monotonic()
        self._show(stage)

    def _show(self, stage: Stage) -> None:
        if stage != self.stage:
            self.stage = stage
            self._say()

    def _say(self) -> None:
        for method, call in list(self._listeners):
            if method() is not None:
                call()
        self._listeners = [pair for pair in self._listeners if pair[0]() is not None]

    def _all_marks(self) -> tuple[tuple[int, ...], ...]:
        from inlaylab.fitting.stored_fit import path_of

        wal = self.path.with_name(self.path.name + "-wal")
        return tuple(mark if mark and mark[-1] else () for mark in map(mark_of, (self.path, wal, path_of(self.path))))
