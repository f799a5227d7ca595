"""The panel of notebook 2: draw a coupon for a bit and its depths, write it, and tell the log."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import ipywidgets

from inlaylab.handbook.cautions import MACHINE
from inlaylab.panels.make_a_coupon.state import CouponState, station_rows
from inlaylab.panels.shared import cautions, controls, record_controls
from inlaylab.panels.shared.drafts import DraftLine
from inlaylab.services.find_log import find_log
from inlaylab.wording.lengths import count
from inlaylab.wording.panels import make_a_coupon as words

_HINTS = {
    "widths": words.BLANK_WIDTHS,
    "folder": words.BLANK_FOLDER,
    "length": words.LENGTH_HINT,
    "width": words.WIDTH_HINT,
}


class MakeACoupon:
    """
    The view of a `CouponState`.

    Parameters
    ----------
    log : path, optional
        The maker's log; the sample shop without it.

    Attributes
    ----------
    state : CouponState
    fields : dict of str to Field
    write, add : ipywidgets.Button
    history : UndoRedo
    draft : DraftLine
    line : MessageLine
    words, table : Words
    picture : PictureBox
    view : ipywidgets.VBox
    """

    def __init__(self, log: str | Path | None = None):
        self.state = CouponState(find_log(log))
        state = self.state
        self.unit = controls.unit_choice(state, state.path)
        self.line = controls.MessageLine()
        self.fields: dict[str, controls.Field] = {
            name: controls.Choice(entry, label_width="12em", width="30em", add=self._add_form(name))
            if hasattr(entry, "options")
            else controls.Field(entry, hint=_HINTS.get(name, ""), label_width="12em", width="30em")
            for name, entry in state.form.entries.items()
        }
        self.draft = DraftLine(state.draft)
        self.history = record_controls.UndoRedo(state.session, after=lambda _: self.line.done(""))
        self.write = self._button(words.WRITE, state.write, main=True)
        self.add = self._button(words.ADD, state.add_to_log)
        self.words, self.table = controls.Words(), controls.Words()
        self.picture = controls.PictureBox()
        self.view = self._lay_out()
        state.observe(controls.guarded(self.line, lambda _: self._show()), ["plan", "said"])
        for entry in state.form.entries.values():  # what was written or added is no longer what is typed
            entry.observe(lambda _: self.line.done(""), "typed")
        self._show()

    def _add_form(self, name: str) -> record_controls.AddForm | None:
        new = self.state.new.get(name)
        return None if new is None else record_controls.AddForm(new, label_width="12em")

    def _button(self, label: str, action: Callable[[], str], *, main: bool = False) -> ipywidgets.Button:
        made = controls.button(label, main=main)
        made.on_click(controls.guarded(self.line, lambda _: self._told(action())))
        return made

    def _told(self, said: str) -> None:
        self.history.look()
        self.history.line.done("")
        self.line.done(said)

    def _lay_out(self) -> ipywidgets.VBox:
        def part(heading: str, *names: str) -> list[ipywidgets.Widget]:
            return [controls.heading(heading), *(self.fields[name] for name in names)]

        return controls.panel(
            self.draft,
            self.unit,
            *part(words.FOR, "bit", "angle", "pair", "pocket_depth", "relief_depth", "sanded_off"),
            *part(words.BLANK, "length", "width", "border"),
            *part(words.DRAWING, "name", "widths", "groove", "mirror", "folder"),
            controls.row(self.write, self.add, self.history),
            self.line,
            self.history.line,
            self.words,
            self.picture,
            self.table,
            cautions.box_of_pair(self.state.form["pair"], lambda: self.state.shop, *MACHINE, "backer"),
        )

    def _show(self) -> None:
        from inlaylab.figures.coupon_drawing import coupon_drawing

        state, unit = self.state, self.state.unit
        for each in (self.write, self.add):
            record_controls.set_waiting(each, state.plan is None)
        rows = station_rows(state)
        self.table.show_html(controls.table(rows, caption=words.STATIONS), text=count(len(rows), "station"))
        if state.plan is None:
            self.words.say(state.said, kind="hint")
            self.picture.say("")
            return
        self.words.say(
            "\n".join(words.plan_lines(state.plan, unit, thin=state.thin, thin_from_fit=state.thin_from_fit))
        )
        self.picture.show(coupon_drawing(state.plan, unit=unit))
