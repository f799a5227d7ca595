"""The panel of notebook 5: from a drawing to the inlay it will become."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import ipywidgets
import traitlets

from inlaylab import units
from inlaylab.artwork.cutting.cut_section import CutSection
from inlaylab.figures.cut_section import cut_section
from inlaylab.figures.planned_artwork import FILL, GLUE, planned_artwork
from inlaylab.figures.virtual_cut import virtual_cut
from inlaylab.handbook.cautions import MACHINE
from inlaylab.panels.plan_an_artwork.state import PlanState
from inlaylab.panels.shared import cautions, controls
from inlaylab.panels.shared.drafts import DraftLine
from inlaylab.services.find_log import find_log
from inlaylab.services.jobs import in_words
from inlaylab.services.planning.drawings import SUFFIXES
from inlaylab.services.planning.plan_settings import TURNS
from inlaylab.wording.artwork import answer, plan
from inlaylab.wording.panels import plan_an_artwork as words

_HINTS = {
    "file": "my_sign.svg",
    "width": words.WIDTH_HINT,
    "limit": words.THIN_HINT,
    "folder": words.NAME_HINT,
}
_LABEL = "12em"


class PlanAnArtwork:
    """
    The view of a `PlanState`.

    Parameters
    ----------
    log : path, optional
        The maker's log; the sample shop without it.

    Attributes
    ----------
    state : PlanState
    fields : dict of str to Field
    sliders : dict of str to ipywidgets.FloatSlider
        By name of what they turn.
    upload : ipywidgets.FileUpload
    colour_by : ipywidgets.Dropdown
        What the strokes are coloured by.
    draft : DraftLine
    open, work, stop, ask, write, cut_through : ipywidgets.Button
    progress : ipywidgets.FloatProgress
    lines : dict of str to MessageLine
        One at each button: drawing, work, section, log, write.
    drawn, answer, worked, cost, log : Words
    pictures : dict of str to PictureBox
        ``artwork`` (the closed form, or the virtual cut once it is asked for), ``section``.
    view : ipywidgets.VBox
    """

    def __init__(self, log: str | Path | None = None):
        self.state = state = PlanState(find_log(log))
        self.lines = {name: controls.MessageLine() for name in ("drawing", "work", "section", "log", "write")}
        self.draft = DraftLine(state.draft)
        self.unit = controls.unit_choice(state, state.fit.path)
        self.fields: dict[str, controls.Field] = {
            name: controls.Choice(entry, label_width=_LABEL, width="30em")
            if hasattr(entry, "options")
            else controls.Field(entry, hint=_HINTS.get(name, ""), label_width=_LABEL, width="30em")
            for name, entry in state.form.entries.items()
        }
        self._following = False
        self.sliders = {name: self._slider(name) for name in TURNS}
        self.open = self._button(words.OPEN_FILE, self._open, "drawing", main=True)
        self.work = self._button(words.DRAW, state.start, "work", main=True)
        self.stop = self._button("Stop", state.stop, "work")
        self.ask = self._button(words.ASK, self._ask, "log")
        self.cut_through = self._button(words.OPEN, self._show_section, "section")
        self.write = self._button(words.WRITE, self._write, "write")
        self.upload = ipywidgets.FileUpload(accept=",".join(SUFFIXES), description=words.UPLOAD)
        self.upload.layout.width = "auto"
        self.colour_by = ipywidgets.Dropdown(options=[GLUE, FILL], description=words.COLOUR)
        self.colour_by.style.description_width = _LABEL
        self.colour_by.layout.width = "30em"
        self.colour_by.layout.max_width = "calc(100% - 8px)"
        self.progress = ipywidgets.FloatProgress(min=0.0, max=1.0, layout={"width": "16em"})
        self.doing = controls.Words()
        self.drawn, self.answer, self.worked, self.cost, self.log = (controls.Words() for _ in range(5))
        for part in (self.drawn, self.answer, self.worked, self.cost, self.log):
            part.layout.width = "100%"
        self.pictures = {name: controls.PictureBox() for name in ("artwork", "section")}
        self.view = self._lay_out()
        self._listen()
        self._show_file()
        self._follow()
        self._show_doing()
        self._show_worked()

    def _listen(self) -> None:
        state = self.state

        def whenever(names: list[str], action: Callable[[], None]) -> None:
            state.observe(controls.guarded(self.lines["work"], lambda _: action()), names)

        whenever(["settings", "quick", "drawing", "unit", "colour_by"], self._follow)
        whenever(["stage"], self._show_doing)
        whenever(["rough"], self._show_picture)
        whenever(["worked", "unit"], self._show_worked)
        state.form["drawing"].observe(controls.guarded(self.lines["drawing"], lambda _: self._chosen()), "value")
        self.upload.observe(
            controls.guarded(self.lines["drawing"], lambda change: self._uploaded(change["new"])), "value"
        )
        traitlets.link((state, "colour_by"), (self.colour_by, "value"))

    def _button(self, words: str, action: Callable[[], None], line: str, *, main: bool = False) -> ipywidgets.Button:
        made = controls.button(words, main=main)
        made.on_click(controls.guarded(self.lines[line], lambda _: action()))
        return made

    def _lay_out(self) -> ipywidgets.VBox:
        def hint(text: str) -> controls.Words:
            return controls.Words(text, kind="hint")

        fields = self.fields
        self.shown = ipywidgets.VBox([self.drawn, self.answer, self.pictures["artwork"]])
        self.file_fields = ipywidgets.VBox([fields["file"], fields["drawing_unit"], controls.row(self.open)])
        return controls.panel(
            self.draft,
            controls.heading(words.DRAWING),
            self.unit,
            fields["drawing"],
            controls.row(self.upload),
            fields["width"],
            self.file_fields,
            self.lines["drawing"],
            self.shown,
            self.colour_by,
            controls.row(self.work, self.stop, self.progress),
            self.doing,
            self.lines["work"],
            controls.heading("Settings"),
            hint(words.FOLLOWS),
            fields["bit"],
            fields["pair"],
            *self.sliders.values(),
            fields["limit"],
            controls.heading(words.MORE),
            self.worked,
            controls.Fold(
                words.OPEN_FOLD,
                [
                    *(fields[name] for name in ("x_a", "y_a", "x_b", "y_b", "exaggeration")),
                    controls.row(self.cut_through),
                    self.lines["section"],
                    self.pictures["section"],
                ],
            ),
            controls.heading(words.LOG),
            fields["within"],
            fields["chance"],
            controls.row(self.ask),
            self.lines["log"],
            self.log,
            controls.heading(words.COST),
            controls.Words(plan.CAUTION, kind="caution"),
            controls.Fold(words.COST_FOLD, [fields[n] for n in ("border", "pass_spacing", "feed", "film")]),
            self.cost,
            controls.heading(words.DRAWINGS),
            fields["mirror"],
            fields["folder"],
            controls.row(self.write),
            self.lines["write"],
            cautions.box_of_pair(
                fields["pair"].entry, lambda: self.state.shop, *MACHINE, "backer", "clamps", "solvents", "rags"
            ),
        )

    def _slider(self, name: str) -> ipywidgets.FloatSlider:
        slider = ipywidgets.FloatSlider()
        slider.style.description_width = "13em"
        slider.layout.width = "36em"
        slider.layout.max_width = "100%"
        self._scale(name, slider)
        slider.observe(controls.guarded(self.lines["work"], lambda change: self._turn(name, change["new"])), "value")
        return slider

    def _factor(self, name: str) -> float:
        """What one step of a slider's number is in the state's own unit."""
        if name == "scale":
            return 0.01
        return units.UNITS[self.state.unit] if TURNS[name].unit == "mm" else 1.0

    def _scale(self, name: str, slider: ipywidgets.FloatSlider) -> None:
        """Put the slider's ends and value where the state wants them, in the maker's unit."""
        turn, factor = TURNS[name], self._factor(name)
        length = turn.unit == "mm"
        shown = units.UNITS[self.state.unit] if length else 1.0
        value = getattr(self.state.settings, name) / factor
        slider.description = f"{turn.label} [{self.state.unit if length else turn.unit}]"
        plain = ".1f" if turn.step < 1 else ".0f"
        slider.readout_format = f".{units.decimals(self.state.unit, 'setting')}f" if length else plain
        slider.step = turn.step / shown
        low, high = min(turn.low / shown, value), max(turn.high / shown, value)
        slider.min, slider.max = min(slider.min, low), max(slider.max, high)
        slider.value = value
        slider.min, slider.max = low, high

    def _turn(self, name: str, value: float) -> None:
        if not self._following:
            self.state.turn(**{name: value * self._factor(name)})

    def _follow(self) -> None:
        """Show the settings and the closed form's answer as they are."""
        state = self.state
        self._following = True
        try:
            for name, slider in self.sliders.items():
                self._scale(name, slider)
        finally:
            self._following = False
        if state.drawing is None or state.quick is None:
            return
        self.drawn.say(plan.drawing_line(state.drawing.artwork, state.settings.scale, state.unit))
        self._show_picture()

    def _show_picture(self) -> None:
        """Show the closed form's picture and answer, or the virtual cut where one belongs to these settings."""
        state, unit = self.state, self.state.unit
        cut = state.cut
        if cut is not None:
            self.answer.say("\n".join(answer.cut_lines(cut, unit)))
            self.pictures["artwork"].show(virtual_cut(cut, unit=unit, line=self._line_scaled()))
            return
        planned, quick = state.planned(), state.quick
        if planned is not None and quick is not None:
            self.answer.say("\n".join(answer.closed_form_lines(quick, unit, fitted=state.known)))
            self.pictures["artwork"].show(planned_artwork(planned, unit=unit), dpi=96)

    def _chosen(self) -> None:
        """Open what was chosen at once; a file elsewhere waits for its name, a bitmap for its width."""
        self._show_file()
        chosen, width = self.state.form["drawing"].value, self.state.form["width"].mm
        if chosen in (None, words.OTHER_FILE):
            return
        if width is None and self.state.is_bitmap:
            controls.set_stale(self.shown, True)
            self.lines["drawing"].done(words.TYPE_WIDTH)
            return
        self._open()

    def _uploaded(self, files: Sequence[Mapping[str, Any]]) -> None:
        for file in files:
            self.state.take_in(file["name"], bytes(file["content"]))

    def _show_file(self) -> None:
        state = self.state
        elsewhere = state.form["drawing"].value == words.OTHER_FILE
        self.file_fields.layout.display = None if elsewhere or state.is_bitmap else "none"
        self.fields["file"].layout.display = self.fields["drawing_unit"].layout.display = (
            "flex" if elsewhere else "none"
        )
        self.fields["width"].layout.display = "flex" if elsewhere or state.is_bitmap else "none"

    def _show_doing(self) -> None:
        stage = self.state.stage
        self.work.disabled = stage.running
        self.stop.layout.display = self.progress.layout.display = None if stage.running else "none"
        self.progress.value = stage.share
        told = {"stopped": "Stopped.", "failed": words.failed(stage.reason), "running": in_words(stage)}
        self.doing.say(told.get(stage.state, ""), kind="hint")

    def _show_worked(self) -> None:
        state = self.state
        if state.worked is None:
            self.worked.say(words.DRAW_FIRST, kind="hint")
            self.cost.say(words.DRAW_FIRST, kind="hint")
            self.pictures["section"].say("")
            self._show_picture()
            return
        self.worked.say("\n".join(plan.worked_lines(state.worked, state.unit)))
        self._show_picture()
        self._show_cost()
        self._show_section()

    def _line_scaled(self) -> tuple[tuple[float, float], tuple[float, float]] | None:
        try:
            return self.state.line()
        except ValueError:
            return None

    def _show_cost(self) -> None:
        form, worked = self.state.form, self.state.worked
        entries = {name: form[name].mm for name in ("pass_spacing", "feed", "border", "film")}
        if worked is None or any(value is None for value in entries.values()):
            self.cost.say(words.TYPE_COST, kind="hint")
            return
        self.cost.say("\n".join(plan.cost_lines(worked, unit=self.state.unit, **entries)))

    def _show_section(self) -> None:
        worked = self.state.worked
        if worked is None:
            self.pictures["section"].say(words.DRAW_FIRST)
            return
        larger = self.state.form["exaggeration"].value or 1.0
        result = CutSection.through(worked.cut, self.state.line(), exaggeration=larger)
        self.pictures["section"].show(cut_section(result, unit=self.state.unit))

    def _open(self) -> None:
        controls.set_stale(self.shown, True)
        self.lines["drawing"].done(words.OPENING)
        self.state.open_drawing()
        controls.set_stale(self.shown, False)
        self.log.say("")
        self.lines["drawing"].done("Opened.")

    def _ask(self) -> None:
        self.lines["log"].done(words.ASKING)
        self.state.ask_the_log()
        spread, advice = self.state.spread, self.state.advice
        if spread is not None and advice is not None:
            self.log.say("\n".join(plan.spread_lines(spread, advice, self.state.unit)))
        self.lines["log"].done("Answered.")

    def _write(self) -> None:
        files = self.state.write()
        self.lines["write"].done(words.wrote((path.name for path in files), files[0].parent))
