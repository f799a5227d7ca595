"""
What stands around every panel: the log it works on, and words instead of a traceback where it cannot open.

A panel follows its folder: when notebook 0 names another log, open notebooks change over to it by themselves.
"""

from __future__ import annotations

import html
import os
import weakref
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import ipywidgets

from inlaylab.errors import InlaylabError, LogError
from inlaylab.panels.shared import controls
from inlaylab.panels.shared.which_log import LogChoice, WhichLog
from inlaylab.services.find_log import chosen_log, find_log
from inlaylab.services.updates import Updates, updates_of
from inlaylab.wording.panels import shared as words
from inlaylab.wording.panels.log_and_fit import log_line, missing_log

if TYPE_CHECKING:
    from ipykernel.kernelbase import Kernel

#: What an output says where the panel itself is not there, as in a notebook that was closed and opened again.
ASLEEP = words.ASLEEP

REQUEST, REPLY = "create_subshell_request", "create_subshell_reply"
"""Messages of the Jupyter protocol 5.5."""

_OPEN: dict[str, weakref.ref[Shell]] = {}


def keep_order() -> None:
    """
    Make this notebook's kernel take all messages in one thread; to be called before the first widget is made.

    Notes
    -----
    JupyterLab 4.4 and newer sends some of a panel's messages beside the notebook's own thread where the kernel offers
    subshells (ipykernel 7). The word typed last may then be taken after the button that was pressed.
    """
    from IPython.core.getipython import get_ipython

    kernel = getattr(get_ipython(), "kernel", None)
    if kernel is not None and REQUEST in getattr(kernel, "control_handlers", {}):
        kernel.control_handlers[REQUEST] = lambda *request: _refuse(kernel, *request)


def _refuse(kernel: Kernel, stream: Any, ident: Any, parent: Any) -> None:
    """Answer that there is no subshell, so that the browser goes on without one."""
    said = {"status": "error", "ename": "NotImplementedError", "evalue": words.ONE_THREAD, "traceback": []}
    if kernel.session is not None:
        kernel.session.send(stream, REPLY, said, parent, ident)


class Panel(Protocol):
    """What a notebook's own panel must have."""

    view: ipywidgets.VBox


class MakesPanel(Protocol):
    """A panel's class."""

    def __call__(self, log: Path) -> Panel:
        """Open the panel on a log that is there."""
        ...


class Shell:
    """
    A notebook's panel with its log.

    Parameters
    ----------
    name : str
        Name of the panel.
    make : class
        Its view, made with the log.
    log : path, optional
        The line in the notebook; without it the log that the folder names.
    chooses : bool
        Whether the log is chosen here, at the top: notebook 0.

    Attributes
    ----------
    panel : Panel or None
        The panel itself; None where it could not open.
    updates : Updates or None
        What keeps its log up to date.
    which : WhichLog
        Where the log is chosen.
    log_words : Words
        Which log is open, or why none is.
    view : ipywidgets.VBox
        What the notebook shows.
    """

    def __init__(self, name: str, make: MakesPanel, log: str | Path | None = None, *, chooses: bool = False):
        keep_order()
        self.name, self.make, self.log, self.chooses = name, make, log, chooses
        self.panel: Panel | None = None
        self.updates: Updates | None = None
        self.log_words = controls.Words()
        self.log_words.layout.width = "100%"
        self.which = WhichLog(LogChoice(), on_use=self._chosen)
        self.view = ipywidgets.VBox()
        self.view.add_class("inlaylab-shell")
        former = _OPEN.get(name)
        if former is not None and (other := former()) is not None:
            other.leave()
            other.clear()
        _OPEN[name] = weakref.ref(self)
        self.open()

    def _ipython_display_(self) -> None:
        from IPython.display import HTML, display

        display(HTML(f'<p class="inlaylab-asleep">{html.escape(ASLEEP)}</p>'))
        display(self.view)

    def open(self) -> None:
        """Open the log and the panel, or say what is missing and where to get it."""
        self.leave()
        former = self.view.children
        self._named = chosen_log() if self.log is None else None
        self.panel, self.updates = None, None
        try:
            path = find_log(self.log)
            self.updates = updates_of(path)
            self.panel = self.make(path)
        except LogError as fault:
            self._refuse(missing_log(fault), fault)
        except InlaylabError as fault:
            self._refuse(words.cannot_open(fault), fault)
        except Exception as fault:
            self._refuse(words.cannot_open(f"{type(fault).__name__}: {fault}"), fault)
        else:
            self._show(self.panel)
            self.updates.listen(self._heard)
            self.updates.follow()
        self._close(former)

    def leave(self) -> None:
        """Follow the log no longer."""
        if self.updates is not None:
            self.updates.leave(self._heard)

    def clear(self) -> None:
        """Take the panel off the screen, so that nothing of it goes on working behind another run of the notebook."""
        former, self.view.children, self.panel = self.view.children, (), None
        self._close(former)

    def _close(self, widgets: Iterable[ipywidgets.Widget]) -> None:
        """Close widgets with all that is in them; the choice of the log is used again."""
        for widget in widgets:
            if widget is not self.which:
                self._close(getattr(widget, "children", ()))
                widget.close()

    def _show(self, panel: Panel) -> None:
        self._say_log()
        style, *parts = panel.view.children
        above = [controls.Fold(words.ANOTHER_LOG, [self.which])] if self.chooses else []
        panel.view.children = (style, self.log_words, *above, *parts)
        self.view.children = (panel.view,)

    def _refuse(self, said: str, fault: Exception) -> None:
        line = controls.MessageLine()
        line.refuse(said, fault)
        self.log_words.say(said)
        wanted = Path(str(self.log)).name if self.log is not None else ""
        self.which = WhichLog(LogChoice(wanted=wanted), on_use=self._chosen)
        again = controls.button(words.AGAIN)
        again.on_click(controls.guarded(line, lambda _: self.open()))
        self.view.children = (controls.panel(line, self.which, controls.row(again)),)

    def _chosen(self, path: Path) -> None:
        """Change over to the log that was just chosen, also where the notebook's own line names another."""
        if self.log is not None and Path(self.log).resolve() != path.resolve():
            raise LogError(words.OTHER_LOG, value=str(self.log), allowed=words.NO_LINE)
        self.open()

    def _heard(self) -> None:
        if self.log is None and chosen_log() != self._named:
            self.open()
        else:
            self._say_log()

    def _say_log(self) -> None:
        if self.updates is not None:
            opened = self.updates.opened
            said = log_line(opened.path, len(opened.shop.cuts))
            note = "" if os.access(opened.path, os.W_OK) else f" {words.READ_ONLY}"
            self.log_words.say(f"{said}{note}", kind="hint")
