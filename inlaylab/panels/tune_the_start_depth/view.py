"""The panel of notebook 4: ask the log which start depth to use."""

from __future__ import annotations

import html
from pathlib import Path
from typing import Any

import ipywidgets
import traitlets

from inlaylab.fitting.predict.likely_question import middle_values
from inlaylab.handbook.cautions import MACHINE
from inlaylab.panels.shared import cautions, controls
from inlaylab.panels.shared.drafts import DraftLine
from inlaylab.panels.shared.fit_box import FitBox
from inlaylab.panels.tune_the_start_depth.state import TuneState
from inlaylab.panels.tune_the_start_depth.try_settings import Explorer, ExplorerState
from inlaylab.services.find_log import find_log
from inlaylab.wording.answers.moved import moved_line
from inlaylab.wording.answers.start_depth import first_lines, more_lines
from inlaylab.wording.panels import tune_the_start_depth as words
from inlaylab.wording.panels.log_and_fit import CHANGED, COMING, no_answers_yet

_MORE = ("shallowest", "deepest", "path_angle_deg", "outline_offset", "pass_spacing")
_HINTS = {
    "widths": words.WIDTHS_HINT,
    "land": "3 mm",
    "within": words.WITHIN_HINT,
    "shallowest": words.SHALLOWEST_HINT,
    "deepest": words.BLANK_POCKET,
    "path_angle_deg": words.ANGLE_HINT,
    "outline_offset": words.NO_OFFSET,
    "pass_spacing": words.SPACING_HINT,
}


class TuneTheStartDepth:
    """
    The view of a `TuneState`.

    Parameters
    ----------
    log : path, optional
        The maker's log; the sample shop without it.

    Attributes
    ----------
    state : TuneState
    fit : FitBox
    fields : dict of str to Field
    draft : DraftLine
    ask : ipywidgets.Button
    line : MessageLine
    answer : Words
    pictures : dict of str to PictureBox
        ``settings``, ``worst_line``, ``made_of``, ``glue_line``.
    explorer : Explorer
    view : ipywidgets.VBox
    """

    def __init__(self, log: str | Path | None = None):
        self.state = TuneState(find_log(log))
        state = self.state
        self.fit = FitBox(state.fit)
        self.line = controls.MessageLine()
        self.unit = controls.unit_choice(state, state.path)
        self.fields = {
            name: controls.Choice(entry, width="32em")
            if hasattr(entry, "options")
            else controls.Field(entry, hint=_HINTS.get(name, ""))
            for name, entry in state.form.entries.items()
        }
        self.ask = controls.button(words.WHICH, main=True)
        self.ask.on_click(controls.guarded(self.line, lambda _: self._ask()))
        self.draft = DraftLine(state.draft)
        self.more = controls.Fold(words.MORE, [self.fields[name] for name in _MORE])
        self.answer = controls.Words()
        self.answer.layout.width = "100%"
        self.pictures = {name: controls.PictureBox() for name in ("settings", "worst_line", "made_of", "glue_line")}
        self.explorer = Explorer(ExplorerState(), unit=state.unit)
        self._set_explorer()
        self.view = self._lay_out()
        state.observe(controls.guarded(self.line, lambda _: self._show_asked()), "asked")
        state.observe(controls.guarded(self.line, lambda _: self._unit_changed()), "unit")
        state.form["strokes"].observe(lambda _: self._show_typed(), "value")
        state.fit.observe(controls.guarded(self.line, self._fitted), "fit")
        self._show_typed()
        self._fitted()

    def _lay_out(self) -> ipywidgets.VBox:
        question = ("pair", "bit", "strokes", "widths", "land", "pocket_depth", "relief_depth", "within", "chance")
        return controls.panel(
            controls.heading(words.FIT),
            self.fit,
            controls.heading(words.QUESTION),
            self.draft,
            self.unit,
            *(self.fields[name] for name in question),
            self.more,
            controls.row(self.ask),
            self.line,
            controls.heading(words.ANSWER),
            self.answer,
            *self.pictures.values(),
            controls.heading(words.TRY),
            controls.Words(
                words.TRY_HINT,
                kind="hint",
            ),
            self.explorer,
            cautions.box_of_pair(self.state.form["pair"], lambda: self.state.shop, *MACHINE, "backer"),
        )

    def _ask(self) -> None:
        self.line.done(words.ASKING)
        self.state.ask()
        self.line.done("Answered.")
        self._show_answer()
        self._set_explorer()

    def _fitted(self, change: traitlets.Bunch | None = None) -> None:
        if self.state.fit.fit is not None and self.state.form.whole:
            self._ask()
        else:
            self._show_asked()

    def _show_asked(self) -> None:
        if self.state.advice is None:
            self.answer.say(no_answers_yet(len(self.state.shop.cuts)), kind="hint")
            return
        for shown in (self.answer, *self.pictures.values()):
            controls.set_stale(shown, not self.state.asked)
        if not self.state.asked:
            self.line.say(CHANGED if self.state.fit.state == "fresh" else COMING, kind="hint")

    def _show_typed(self) -> None:
        typed = self.state.coupon is None
        for name in ("widths", "land"):
            self.fields[name].layout.display = None if typed else "none"

    def _unit_changed(self) -> None:
        self.explorer.set_unit(self.state.unit)
        if self.state.advice is not None:
            self._show_answer()

    def _show_answer(self) -> None:
        state, unit = self.state, self.state.unit
        from inlaylab.figures.glue_line import glue_line
        from inlaylab.figures.made_of import made_of
        from inlaylab.figures.settings import settings
        from inlaylab.figures.worst_line import worst_line

        advice = state.advice
        if advice is None or state.band is None:
            return
        first, more = first_lines(advice, unit), more_lines(advice, unit)
        if state.moved is not None:
            first.insert(1, moved_line(state.moved, unit))
        self.answer.show_html(_answer_html(first, more), text="\n".join([*first, *more]))
        self.pictures["worst_line"].show(worst_line(advice, unit=unit))
        self.pictures["made_of"].show(made_of(advice.made_of, unit=unit))
        self.pictures["glue_line"].show(glue_line(state.band, unit=unit, title=state.near))
        self.pictures["settings"].show(settings(advice, unit=unit))

    def _set_explorer(self) -> None:
        """Give the sliders what the question and the fit say."""
        state, form = self.state, self.state.form
        values: dict[str, Any] = {
            name: form[name].mm for name in ("pocket_depth", "relief_depth") if form[name].mm is not None
        }
        bit, pair = form["bit"].value, form["pair"].value
        if bit and pair:
            values |= middle_values(state.fit.fit, state.shop, bit=bit, pair=pair)
        advice = state.advice
        if advice is not None:
            values["start_depth"] = advice.start_depth
        elif "pocket_depth" in values:
            values["start_depth"] = max(0.2, values["pocket_depth"] - 0.3)
        try:
            strokes = state.strokes()
        except ValueError:
            strokes = ()
        if strokes:
            widths = [stroke.stroke_width for stroke in strokes]
            values["stroke_widths"] = tuple(dict.fromkeys((min(widths), max(widths))))
            values["land_width"] = max(1.0, min(stroke.land_width for stroke in strokes))
        self.explorer.state.take(**values)


def _answer_html(first: list[str], more: list[str]) -> str:
    """Mark up an answer: the settings large, what to expect below, the reasons folded away."""
    (head, *rest), folded = ([html.escape(line) for line in lines] for lines in (first, more))
    body, reasons = ("".join(f"<p>{line}</p>" for line in lines) for lines in (rest, folded))
    return (
        f'<div class="inlaylab-answer" role="status"><p class="inlaylab-figure">{head}</p>{body}'
        f"<details><summary>{words.WHY}</summary>{reasons}</details></div>"
    )
