"""The panel of notebook 2: draw a coupon for a bit and its depths, write it, and tell the log."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ipywidgets

from inlaylab import units
from inlaylab.handbook.cautions import MACHINE
from inlaylab.panels.make_a_coupon.state import CouponState, station_rows
from inlaylab.panels.shared import cautions, controls, record_controls
from inlaylab.panels.shared.drafts import DraftLine
from inlaylab.services.find_log import find_log

_HINTS = {
    "widths": "blank: chosen for the bit",
    "folder": "blank: the coupon's name",
    "length": "120 mm or 5 in",
    "width": "80 mm or 3 in",
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
        self.unit = controls.unit_choice(state)
        self.line = controls.MessageLine()
        self.fields: dict[str, Any] = {
            name: controls.Choice(entry, label_width="12em", width="30em", add=self._add_form(name))
            if hasattr(entry, "options")
            else controls.Field(entry, hint=_HINTS.get(name, ""), label_width="12em", width="30em")
            for name, entry in state.form.entries.items()
        }
        self.draft = DraftLine(state.draft)
        self.history = record_controls.UndoRedo(state.session)
        self.write = self._button("Write the drawings", state.write, main=True)
        self.add = self._button("Add this coupon to the log", state.add_to_log)
        self.words, self.table = controls.Words(), controls.Words()
        self.picture = controls.PictureBox()
        self.view = self._lay_out()
        state.observe(controls.guarded(self.line, lambda _: self._show()), ["plan", "said"])
        for entry in state.form.entries.values():  # what was written or added is no longer what is typed
            entry.observe(lambda _: self.line.done(""), "typed")
        self._show()

    def _ipython_display_(self) -> None:
        from IPython.display import display

        display(self.view)

    def _add_form(self, name: str) -> Any:
        new = self.state.new.get(name)
        return None if new is None else record_controls.AddForm(new, label_width="12em")

    def _button(self, words: str, action: Any, *, main: bool = False) -> ipywidgets.Button:
        made = controls.button(words, main=main)
        made.on_click(controls.guarded(self.line, lambda _: self._told(action())))
        return made

    def _told(self, said: str) -> None:
        self.history.look()
        self.history.line.done("")
        self.line.done(said)

    def _lay_out(self) -> ipywidgets.VBox:
        def part(heading: str, *names: str) -> list[Any]:
            return [controls.Words(heading, kind="heading"), *(self.fields[name] for name in names)]

        return controls.panel(
            self.draft,
            self.unit,
            *part("What it is for", "bit", "angle", "pair", "pocket_depth", "relief_depth", "sanded_off"),
            *part("The blank, host and insert alike", "length", "width", "border"),
            *part("The drawing", "name", "widths", "groove", "mirror", "folder"),
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

        state = self.state
        self.write.disabled = self.add.disabled = state.plan is None
        rows = station_rows(state)
        self.table.show_html(controls.table(rows, caption="Stations of the coupon"), text=f"{len(rows)} stations")
        if state.plan is None:
            self.words.say(state.said, kind="hint")
            self.picture.say("")
            return
        self.words.say("\n".join(plan_lines(state)))
        self.picture.show(coupon_drawing(state.plan, unit=state.unit))


def plan_lines(state: CouponState) -> list[str]:
    """Say what the coupon holds and what to mind."""
    plan, unit = state.plan, state.unit
    deep = sum(station.stroke_width > plan.floor_width for station in plan.coupon.stations)
    thin = " to ".join(units.format_length(width, unit) for width in state.thin)
    whose = (
        "as the fit of this log still leaves open"
        if state.thin_from_fit
        else "where thin strokes usually begin to fill"
    )
    return [
        f"{len(plan.coupon.stations)} stations; strokes wider than {units.format_length(plan.floor_width, unit)} reach "
        f"the floor: {deep} of them do. Thin bars span {thin}, {whose}.",
        f"Labels are cut in the host alone, {units.format_length(plan.mark_depth, unit)} deep, so sanding leaves them.",
        *plan.notes,
        "Check the 50 mm line on both drawings with a ruler before cutting. One coupon for each start depth.",
    ]
