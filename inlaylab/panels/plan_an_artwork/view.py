"""The panel of notebook 5: from a drawing to the inlay it will become."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ipywidgets

from inlaylab import units
from inlaylab.figures.cut_section import CutSection, cut_section
from inlaylab.figures.planned_artwork import PlannedArtwork, planned_artwork
from inlaylab.figures.virtual_cut import virtual_cut
from inlaylab.panels.plan_an_artwork.state import MINE, PlanState
from inlaylab.panels.shared import controls
from inlaylab.services.find_log import find_log
from inlaylab.services.plan import TURNS
from inlaylab.wording import plan

_HINTS = {
    "file": "my_sign.svg",
    "width": "of the whole picture, for a bitmap",
    "limit": "blank: what the fit says, or 0.6 mm",
    "folder": "blank: the drawing's name",
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
    open, work, stop, ask, write, cut_through : ipywidgets.Button
    progress : ipywidgets.FloatProgress
    line : MessageLine
    drawn, quick, worked, cost, log : Words
    pictures : dict of str to PictureBox
        ``artwork``, ``cut``, ``section``.
    view : ipywidgets.VBox
    """

    def __init__(self, log: str | Path | None = None):
        self.state = state = PlanState(find_log(log))
        self.line = controls.MessageLine()
        self.unit = controls.unit_choice(state)
        self.fields: dict[str, Any] = {
            name: (controls.Choice if hasattr(entry, "options") else controls.Field)(
                entry, label_width=_LABEL, width="30em", **({"hint": _HINTS[name]} if name in _HINTS else {})
            )
            for name, entry in state.form.entries.items()
        }
        self._following = False
        self.sliders = {name: self._slider(name) for name in TURNS}
        self.open = self._button("Open the drawing", self._open, main=True)
        self.work = self._button("Draw the virtual cut", state.start, main=True)
        self.stop = self._button("Stop", state.stop)
        self.ask = self._button("Ask the log", self._ask)
        self.cut_through = self._button("Cut it open from A to B", self._show_section)
        self.write = self._button("Write the drawings", self._write)
        self.progress = ipywidgets.FloatProgress(min=0.0, max=1.0, layout={"width": "16em"})
        self.doing = controls.Words()
        self.drawn, self.quick, self.worked, self.cost, self.log = (controls.Words() for _ in range(5))
        for words in (self.drawn, self.quick, self.worked, self.cost, self.log):
            words.layout.width = "100%"
        self.pictures = {name: controls.PictureBox() for name in ("artwork", "cut", "section")}
        self.view = self._lay_out()
        state.observe(controls.guarded(self.line, lambda _: self._follow()), ["settings", "quick", "drawing", "unit"])
        state.observe(controls.guarded(self.line, lambda _: self._show_doing()), ["state", "done_share", "doing"])
        state.observe(controls.guarded(self.line, lambda _: self._show_worked()), ["worked", "unit"])
        state.form["drawing"].observe(lambda _: self._show_file(), "value")
        self._show_file()
        self._follow()
        self._show_doing()
        self._show_worked()

    def _ipython_display_(self) -> None:
        from IPython.display import display

        display(self.view)

    def _button(self, words: str, action: Any, *, main: bool = False) -> ipywidgets.Button:
        made = controls.button(words, main=main)
        made.on_click(controls.guarded(self.line, lambda _: action()))
        return made

    def _lay_out(self) -> ipywidgets.VBox:
        def heading(text: str) -> controls.Words:
            return controls.Words(text, kind="heading")

        def hint(text: str) -> controls.Words:
            return controls.Words(text, kind="hint")

        fields = self.fields
        self.file_fields = ipywidgets.VBox([fields[name] for name in ("file", "width", "drawing_unit")])
        return controls.panel(
            heading("The drawing"),
            self.unit,
            fields["drawing"],
            self.file_fields,
            controls.row(self.open),
            self.drawn,
            heading("Turn it"),
            hint("The answer below the sliders comes from closed forms; corners and odd shapes are for the button."),
            fields["bit"],
            fields["pair"],
            *self.sliders.values(),
            fields["limit"],
            self.quick,
            self.line,
            heading("The virtual cut"),
            controls.row(self.work, self.stop, self.progress),
            self.doing,
            self.worked,
            self.pictures["artwork"],
            self.pictures["cut"],
            controls.Fold(
                "cut it open along a line",
                [
                    *(fields[name] for name in ("x_a", "y_a", "x_b", "y_b", "exaggeration")),
                    controls.row(self.cut_through),
                    self.pictures["section"],
                ],
            ),
            heading("What the log says"),
            fields["within"],
            fields["chance"],
            controls.row(self.ask),
            self.log,
            heading("Wood, time and glue"),
            controls.Words(plan.CAUTION, kind="caution"),
            controls.Fold("borders, feeds and film", [fields[n] for n in ("border", "pass_spacing", "feed", "film")]),
            self.cost,
            heading("Drawings at true size"),
            fields["mirror"],
            fields["folder"],
            controls.row(self.write),
        )

    def _slider(self, name: str) -> ipywidgets.FloatSlider:
        slider = ipywidgets.FloatSlider()
        slider.style.description_width = "13em"
        slider.layout.width = "36em"
        slider.layout.max_width = "100%"
        self._scale(name, slider)
        slider.observe(controls.guarded(self.line, lambda change: self._turn(name, change["new"])), "value")
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
        slider.readout_format = {"mm": ".2f", "in": ".4f", "thou": ".1f"}[self.state.unit] if length else ".4g"
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
        lines = plan.quick_lines(state.quick, state.settings, state.unit)
        stale = state.worked is not None and state.worked.settings != state.settings
        self.quick.say("\n".join(lines + (["The pictures below are of earlier settings."] if stale else [])))

    def _show_file(self) -> None:
        self.file_fields.layout.display = None if self.state.form["drawing"].value == MINE else "none"

    def _show_doing(self) -> None:
        state = self.state
        running = state.state == "running"
        self.work.disabled = running
        self.stop.layout.display = self.progress.layout.display = None if running else "none"
        self.progress.value = state.done_share
        words = {
            "idle": "Not drawn yet.",
            "running": f"{100 * state.done_share:.0f} %: {state.doing}",
            "stopped": "Stopped; what was drawn before is still below.",
            "failed": f"This did not work: {state.reason}",
            "done": "",
        }
        self.doing.say(words[state.state], kind="hint")

    def _show_worked(self) -> None:
        state, unit = self.state, self.state.unit
        worked = state.worked
        if worked is None:
            for words in (self.worked, self.cost):
                words.say("")
            for picture in self.pictures.values():
                picture.say("")
            return
        self.worked.say("\n".join(plan.worked_lines(worked, unit)))
        planned = PlannedArtwork(
            polygons=worked.drawing.artwork.polygons, thin=worked.thin, grain_from_x=-worked.settings.rotation
        )
        self.pictures["artwork"].show(planned_artwork(planned, unit=unit))
        self.pictures["cut"].show(virtual_cut(worked.cut, unit=unit, line=self._line_scaled()))
        self._show_cost()
        self._show_section()

    def _line_scaled(self) -> Any:
        try:
            return self.state.line()
        except ValueError:
            return None

    def _show_cost(self) -> None:
        form = self.state.form
        entries = {name: form[name].mm for name in ("pass_spacing", "feed", "border", "film")}
        if any(value is None for value in entries.values()):
            self.cost.say("Type border, spacing, feed and film to see what it takes.", kind="hint")
            return
        self.cost.say("\n".join(plan.cost_lines(self.state.worked, unit=self.state.unit, **entries)))

    def _show_section(self) -> None:
        worked = self.state.worked
        if worked is None:
            self.pictures["section"].say("Draw the virtual cut first.")
            return
        larger = self.state.form["exaggeration"].value or 1.0
        result = CutSection.through(worked.cut, self.state.line(), exaggeration=larger)
        self.pictures["section"].show(cut_section(result, unit=self.state.unit))

    def _open(self) -> None:
        self.line.done("Opening …")
        self.state.open_drawing()
        self._show_worked()
        self.log.say("")
        self.line.done("Opened.")

    def _ask(self) -> None:
        self.line.done("Asking …")
        self.state.ask_the_log()
        state = self.state
        lines = plan.spread_lines(state.spread, state.advice, state.pictures, state.unit)
        self.log.say("\n".join(lines))
        self.line.done("Answered.")

    def _write(self) -> None:
        files = self.state.write()
        self.line.done(f"Wrote {', '.join(path.name for path in files)} to {files[0].parent}.")
