"""The panel of notebook 6: what woods, glue, levelling, sanding, tram and time do around the cut."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import ipywidgets
import traitlets

from inlaylab.figures import figure
from inlaylab.panels.around_the_cut.cutting import (
    levelling_reckoning,
    sanding_reckoning,
    tram_reckoning,
    workload_reckoning,
)
from inlaylab.panels.around_the_cut.own_woods import OwnWoods
from inlaylab.panels.around_the_cut.state import Reckoning
from inlaylab.panels.around_the_cut.woods import glue_reckoning, moisture_reckoning, woods_reckoning
from inlaylab.panels.shared import cautions, controls
from inlaylab.panels.shared.drafts import Draft, DraftLine
from inlaylab.panels.shared.entries import Entry
from inlaylab.services.desk import reader_unit
from inlaylab.services.find_log import find_log
from inlaylab.wording.panels.around_the_cut import cutting as words

if TYPE_CHECKING:
    from inlaylab.bench.bits import Bit
    from inlaylab.bench.cuts import Cut

IN_FULL = words.ALL_CAUTIONS


class AroundState(traitlets.HasTraits):
    """
    Every question of the notebook, with the shop's habits and newest pair put in.

    Parameters
    ----------
    log : path
        The log.

    Attributes
    ----------
    reckonings : dict of str to Reckoning
        By a short name.
    own_woods : OwnWoods
        Woods of the log's pairs, and shrinkages that were typed.
    draft : panels.shared.drafts.Draft
        What was typed into any of them.
    """

    unit = traitlets.Unicode("mm")

    def __init__(self, log: str | Path):
        from inlaylab.log.store import Log

        super().__init__()
        self.path = Path(log)
        with Log.open(log) as opened:
            shop = opened.shop()
        unit = reader_unit(log, shop.habits.unit)
        pair = shop.pairs[-1] if shop.pairs else None
        if shop.cuts:
            pair = next(pair for pair in shop.pairs if pair.pair == shop.cuts[-1].pair)
        names = {} if pair is None else {"host": pair.host, "insert": pair.insert}
        self.own_woods = OwnWoods(log, shop.pairs)
        self.reckonings: dict[str, Reckoning] = {
            "moisture": moisture_reckoning(unit=unit, offers=self.own_woods.names(), **names),
            "woods": woods_reckoning(unit=unit),
            "glue": glue_reckoning(unit=unit),
            "levelling": levelling_reckoning(unit=unit),
            "sanding": sanding_reckoning(unit=unit),
            "tram": tram_reckoning(unit=unit),
            "workload": workload_reckoning(unit=unit),
        }
        self.unit = unit
        last = shop.cuts[-1] if shop.cuts else None
        if last is not None:
            self._take(last, next((bit for bit in shop.bits if bit.bit == last.bit), None))
        self.draft = Draft(log, "around_the_cut", entries=self._entries, state=self)
        self.own_woods.follow(self.reckonings["moisture"])
        self.draft.begin()

    def _entries(self) -> dict[str, Entry]:
        """Every field that a draft keeps."""
        pages = self.reckonings.items()
        return {f"{name} {field}": entry for name, page in pages for field, entry in page.form.entries.items()}

    @traitlets.observe("unit")
    def _unit_changed(self, change: traitlets.Bunch) -> None:
        for reckoning in self.reckonings.values():
            reckoning.unit = self.unit

    def _take(self, cut: Cut, bit: Bit | None) -> None:
        """Start from the newest cut's depths and bit, wherever a question has such an entry."""
        for reckoning in self.reckonings.values():
            entries = reckoning.form.entries
            for name in ("start_depth", "pocket_depth", "relief_depth", "sanded_off"):
                if name in entries and getattr(cut, name) is not None and reckoning.title != "Levelling":
                    entries[name].set_mm(getattr(cut, name))
            if "angle" in entries and bit is not None:
                entries["angle"].typed = f"{bit.nominal_angle_deg:g}"


class Page(ipywidgets.VBox):
    """
    One question on the screen.

    Parameters
    ----------
    reckoning : Reckoning
        The question.

    Attributes
    ----------
    fields : dict of str to Field
    answer, warning, cautions : Words
    picture : PictureBox
    line : MessageLine
    """

    def __init__(self, reckoning: Reckoning):
        self.reckoning = reckoning
        self.line = controls.MessageLine()
        self.fields: dict[str, controls.Field] = {
            name: (controls.Choice if hasattr(entry, "options") else controls.Field)(
                entry, label_width="16em", width="34em"
            )
            for name, entry in reckoning.form.entries.items()
        }
        self.answer, self.warning, self.cautions = controls.Words(), controls.Words(), controls.Words()
        self.picture = controls.PictureBox()
        for part in (self.answer, self.warning, self.cautions):
            part.layout.width = "100%"
        super().__init__([*self.fields.values(), self.line, self.warning, self.answer, self.picture, self.cautions])
        reckoning.observe(controls.guarded(self.line, lambda _: self.show()), ["result", "said", "unit"])
        self.show()

    def show(self) -> None:
        """Show the answer as it is now."""
        result = self.reckoning.result
        cautions.fill(self.cautions, *self.reckoning.cautions, woods=result.woods if result else ())
        if result is None:
            self.answer.say(self.reckoning.said, kind="hint")
            self.warning.say("")
            self.picture.say("")
            return
        self.warning.say(words.watch_out(result.warning) if result.warning else "", kind="caution")
        self.answer.say("\n".join(result.lines))
        if result.figure:
            self.picture.show(figure(result.figure)(result.drawn, unit=self.reckoning.unit))
        else:
            self.picture.say("")


class AroundTheCut:
    """
    The view of an `AroundState`.

    Parameters
    ----------
    log : path, optional
        The maker's log; the sample shop without it.

    Attributes
    ----------
    state : AroundState
    pages : dict of str to Page
    tabs : ipywidgets.Tab
    unit : ipywidgets.Dropdown
    draft : DraftLine
    view : ipywidgets.VBox
    """

    def __init__(self, log: str | Path | None = None):
        self.state = AroundState(find_log(log))
        self.unit = controls.unit_choice(self.state, self.state.path)
        self.pages = {name: Page(reckoning) for name, reckoning in self.state.reckonings.items()}
        self.tabs = ipywidgets.Tab(
            children=[*self.pages.values(), cautions.in_full()],
            titles=[*(page.reckoning.title for page in self.pages.values()), IN_FULL],
        )
        self.draft = DraftLine(self.state.draft)
        self.view = controls.panel(self.unit, self.draft, self.tabs)
