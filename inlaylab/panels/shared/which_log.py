"""The control by which a folder's log is named once: the sample shop's, one that is there, or a new one."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import ipywidgets
import traitlets

from inlaylab.errors import InputError
from inlaylab.panels.shared.controls import Choice, Field, MessageLine, Words, button, guarded, row
from inlaylab.panels.shared.entries import ChoiceEntry, Entry
from inlaylab.services.find_log import SAMPLE, begin_log, choose_log, chosen_log, logs_in
from inlaylab.wording.panels import shared as words

#: What can be chosen, and what it is called here.
SAMPLE_SHOP, MINE, NEW = words.SAMPLE_SHOP, words.MINE, words.NEW


class LogChoice(traitlets.HasTraits):
    """
    Which log the notebooks of a folder work on.

    Parameters
    ----------
    folder : path
        The folder of the notebooks.
    wanted : str
        Name of a log that was asked for and is not there: offered as a new one.

    Attributes
    ----------
    what : ChoiceEntry
        One of `SAMPLE_SHOP`, `MINE`, `NEW`.
    mine : ChoiceEntry
        Logs that lie in the folder.
    elsewhere, new : Entry
        Path of a log that lies elsewhere; name of the new one.
    """

    def __init__(self, folder: str | Path = ".", *, wanted: str = ""):
        super().__init__()
        self.folder = Path(folder)
        self.what = ChoiceEntry(words.ON_LOG, options=(SAMPLE_SHOP, MINE, NEW), required=True)
        self.mine = ChoiceEntry(words.MY_LOG)
        self.elsewhere = Entry(words.ELSEWHERE)
        self.new = Entry(words.NEW_NAME, typed=wanted or "my_shop")
        self.look()
        now = chosen_log(folder)
        if wanted:
            self.what.typed = NEW
        elif now is None or now.name == SAMPLE:
            self.what.typed = SAMPLE_SHOP
        else:
            self.what.typed, self.mine.typed = MINE, now.name if now.name in self.mine.options else ""

    def look(self) -> None:
        """List the logs of the folder again."""
        self.mine.options = tuple(name for name in logs_in(self.folder) if name != SAMPLE)

    def use(self) -> Path:
        """
        Name the chosen log in the folder.

        Returns
        -------
        path : Path
            The log.

        Raises
        ------
        InputError
            Where none is chosen, or it cannot be opened or begun.
        """
        what = self.what.value
        if what == NEW:
            path = begin_log(self.new.value or "", folder=self.folder)
            self.look()
            choose_log(path.name, folder=self.folder)
            self.what.typed, self.mine.typed = MINE, path.name
            return path
        if what == MINE:
            name = self.elsewhere.value or self.mine.value
            if not name:
                allowed = words.ONE_OF_LIST if self.mine.options else words.BEGIN_FIRST
                raise InputError(words.CHOOSE, allowed=allowed)
            return choose_log(name, folder=self.folder)
        return choose_log(SAMPLE, folder=self.folder)


class WhichLog(ipywidgets.VBox):
    """
    The view of a `LogChoice`.

    Parameters
    ----------
    choice : LogChoice
        What is chosen.
    on_use : callable
        Called with the path once the folder names another log.

    Attributes
    ----------
    what, mine : Choice
    elsewhere, new : Field
    use : ipywidgets.Button
    line : MessageLine
    """

    def __init__(self, choice: LogChoice, *, on_use: Callable[[Path], None]):
        self.choice, self.on_use = choice, on_use
        self.what = Choice(choice.what)
        self.mine = Choice(choice.mine)
        self.elsewhere = Field(choice.elsewhere, hint=words.ELSEWHERE_HINT)
        self.new = Field(choice.new, hint=words.NAME_HINT)
        self.none_yet = Words(words.NONE_YET, kind="hint")
        self.use = button(words.WORK_ON, hint=words.WORK_ON_HINT, main=True)
        self.line = MessageLine()
        self.use.on_click(guarded(self.line, lambda _: self._use()))
        super().__init__([self.what, self.none_yet, self.mine, self.elsewhere, self.new, row(self.use), self.line])
        for entry in (choice.what, choice.mine):
            entry.observe(lambda change: self._show(), ["value", "options"])
        self._show()

    def _use(self) -> None:
        new = self.choice.what.value == NEW
        path = self.choice.use()
        self.on_use(path)
        self.line.done(words.works_on(path.name, new=new))

    def _show(self) -> None:
        what, some = self.choice.what.value, bool(self.choice.mine.options)
        shown: dict[ipywidgets.Widget, bool] = {
            self.mine: what == MINE and some,
            self.none_yet: what == MINE and not some,
            self.elsewhere: what == MINE,
            self.new: what == NEW,
        }
        for part, visible in shown.items():
            part.layout.display = None if visible else "none"
        self.use.description = words.BEGIN if what == NEW else words.WORK_ON
