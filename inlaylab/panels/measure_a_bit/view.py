"""The panel of notebook 1: measure a bit from grooves and a loupe, and see how it wears."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import ipywidgets

from inlaylab import units
from inlaylab.handbook.cautions import MACHINE
from inlaylab.panels.measure_a_bit.state import BitState
from inlaylab.panels.shared import cautions, controls, record_controls
from inlaylab.panels.shared.drafts import DraftLine
from inlaylab.panels.shared.length_entries import change_unit
from inlaylab.services.find_log import find_log
from inlaylab.wording.lengths import count
from inlaylab.wording.panels import measure_a_bit as words


class MeasureABit:
    """
    The view of a `BitState`.

    Parameters
    ----------
    log : path, optional
        The maker's log; the sample shop without it.

    Attributes
    ----------
    state : BitState
    fields : dict of str to Field
    add, delete, keep : ipywidgets.Button
    history : UndoRedo
    line : MessageLine
    answer, table, worn : Words
    picture, wear, where : PictureBox
        The line through the grooves, the bit's wear, and where to measure.
    view : ipywidgets.VBox
    """

    def __init__(self, log: str | Path | None = None):
        self.state = BitState(find_log(log))
        state = self.state
        self.unit = controls.unit_choice(state, state.path)
        self.line = controls.MessageLine()
        self.fields: dict[str, controls.Field] = {
            "bit": controls.Choice(state.bit, add=record_controls.AddForm(state.new_bit)),
            "loupe": controls.Field(state.loupe),
        }
        for form, group in ((state.groove, "groove"), (state.trust, "trust"), (state.worn, "worn")):
            for name, entry in form.entries.items():
                self.fields[f"{group}_{name}"] = controls.Field(entry, label_width="13em", width="28em")
        self.add = self._button(words.ADD, state.add_groove, main=True)
        self.delete = self._button(words.DELETE, state.delete_last)
        self.loupe_line = controls.MessageLine()
        self.keep = self._button(words.KEEP_LOUPE, state.keep_loupe, line=self.loupe_line)
        self.history = record_controls.UndoRedo(state.session, after=lambda _: self._forget())
        self.draft = DraftLine(state.draft)
        self.answer, self.table, self.worn = controls.Words(), controls.Words(), controls.Words()
        self.picture, self.wear, self.where = controls.PictureBox(), controls.PictureBox(), controls.PictureBox()
        self.view = self._lay_out()
        safe = controls.guarded
        state.observe(safe(self.line, lambda _: self._show()), ["measure", "said", "shop"])
        state.observe(safe(self.line, lambda _: self._show_wear()), ["wear", "said_of_wear"])
        state.observe(safe(self.line, lambda _: self._unit_changed()), "unit")
        state.bit.observe(safe(self.line, lambda _: self._show_where()), "value")
        self._show_where()
        self._unit_changed()

    def _button(
        self, label: str, action: Callable[[], str], *, main: bool = False, line: controls.MessageLine | None = None
    ) -> ipywidgets.Button:
        told = line or self.line

        def do(_: ipywidgets.Button) -> None:
            said = action()
            self.history.look()
            self.history.line.done("")
            told.done(said)

        made = controls.button(label, main=main)
        made.on_click(controls.guarded(told, do))
        return made

    def _forget(self) -> None:
        """Say no longer what was done before, as some of it was just taken back."""
        for line in (self.line, self.loupe_line):
            line.done("")

    def _lay_out(self) -> ipywidgets.VBox:
        trust = controls.Fold(words.ACCURACY, [self.fields[f"trust_{n}"] for n in self.state.trust.entries])
        return controls.panel(
            self.unit,
            self.draft,
            self.fields["bit"],
            self.fields["loupe"],
            controls.row(self.keep),
            self.loupe_line,
            controls.heading(words.A_GROOVE),
            controls.Words(words.HOW_TO_CUT, kind="hint"),
            self.where,
            *(self.fields[f"groove_{name}"] for name in self.state.groove.entries),
            controls.row(self.add, self.delete, self.history),
            self.line,
            self.history.line,
            trust,
            controls.heading(words.ANSWER),
            self.answer,
            self.picture,
            self.table,
            controls.heading("Wear"),
            controls.Words(words.HOW_TO_TELL_WEAR, kind="hint"),
            *(self.fields[f"worn_{name}"] for name in self.state.worn.entries),
            self.worn,
            self.wear,
            cautions.box(*MACHINE),
        )

    def _unit_changed(self) -> None:
        state = self.state
        for form in (state.groove, state.trust, state.worn):
            change_unit(form.entries.values(), state.unit)
        change_unit([state.loupe], state.unit)
        self._show()
        self._show_wear()

    def _show(self) -> None:
        from inlaylab.figures.grooves import grooves

        state, unit = self.state, self.state.unit
        self.table.show_html(
            controls.table(groove_rows(state), caption=words.TABLE), text=count(len(state.grooves), "groove")
        )
        if state.measure is None or state.lines is None:
            self.answer.say(state.said or words.CHOOSE_A_BIT, kind="hint")
            self.picture.say("")
            return
        self.answer.say("\n".join(_answer_lines(state)))
        self.picture.show(grooves(state.lines, unit=unit))

    def _show_where(self) -> None:
        from inlaylab.figures.where_to_measure import WhereToMeasure, where_to_measure

        bit = next((bit for bit in self.state.shop.bits if bit.bit == self.state.bit.value), None)
        result = WhereToMeasure() if bit is None else WhereToMeasure(angle=bit.nominal_angle_deg)
        self.where.show(where_to_measure(result))

    def _show_wear(self) -> None:
        from inlaylab.figures.wear import WearPoints, wear

        state, unit = self.state, self.state.unit
        found = state.wear
        if found is None:
            self.worn.say(state.said_of_wear, kind="hint")
            self.wear.say("")
            return
        self.worn.say("\n".join(words.wear_lines(found, unit)))
        scale = units.UNITS[unit]
        metres, flats = state.worn["metres"].value, state.worn["flats"].mm
        ends = (min(metres), max(max(metres), min(found.due_at, 4 * max(metres) + 1)))
        points = WearPoints(
            metres=metres,
            values=[flat / scale for flat in flats],
            what="tip flat",
            unit=unit,
            line_metres=ends,
            line_values=[found.line.at(end)[0] / scale for end in ends],
            limit=state.wear_limit / scale,
            due_at=found.due_at,
            due_at_uncertainty=found.due_at_uncertainty,
        )
        self.wear.show(wear(points))


def _answer_lines(state: BitState) -> list[str]:
    lines, measure, sink = state.lines, state.measure, state.sink
    if lines is None or measure is None or sink is None:
        return []
    angle, depth = min((float(a), float(d)) for a, d in zip(lines.further_angle, lines.further_depths, strict=True))
    loupe = state.loupe.value is not None
    return words.bit_lines(measure, state.unit, sink=sink, loupe=loupe, further=(depth, angle))


def groove_rows(state: BitState) -> list[dict[str, str]]:
    """Give the bit's grooves with their residuals, as a table shows them."""
    unit = state.unit
    off = [None] * len(state.grooves) if state.measure is None else list(state.measure.residuals)
    return [
        {
            "date": groove.date or "",
            "depth": units.format_length(groove.depth, unit),
            "width": units.format_length(groove.width, unit),
            words.OFF_LINE: "" if each is None else units.format_length(float(each), unit),
        }
        for groove, each in zip(state.grooves, off, strict=True)
    ]
