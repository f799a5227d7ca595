"""The panel of notebook 8: the section, the bend and the chance, each under the sliders that turn it."""

from __future__ import annotations

from pathlib import Path

import ipywidgets
import traitlets

from inlaylab import units
from inlaylab.figures import figure
from inlaylab.panels.how_it_reckons.state import TurnedState
from inlaylab.panels.shared import controls
from inlaylab.panels.shared.drafts import DraftLine
from inlaylab.panels.shared.length_entries import LengthEntry, LengthsEntry
from inlaylab.panels.tune_the_start_depth.try_settings import ANGLE_STEP, DEEPER, SHALLOWER
from inlaylab.services.find_log import find_log
from inlaylab.wording.answers.by_hand import DEFER
from inlaylab.wording.panels import how_it_reckons as words

#: Title of each part, what it is turned by, the picture it shows, and what it is about.
PARTS = {
    "section": (
        words.SECTION,
        (
            "start_depth", "pocket_depth", "relief_depth", "path_angle", "true_angle", "tip_flat", "crest_loss",
            "host_zero_error", "insert_zero_error", "stroke_widths", "land_width",
        ),
        "section",
        words.SECTION_ABOUT,
    ),
    "bend": (
        words.BEND,
        (),
        "bend",
        words.BEND_ABOUT,
    ),
    "chance": (
        words.CHANCE,
        ("tip_flat_spread", "host_zero_spread", "insert_zero_spread", "angle_spread", "within"),
        "worst_line",
        words.CHANCE_ABOUT,
    ),
}  # fmt: skip


class Turn(ipywidgets.VBox):
    """
    A box to type in, and a slider under it that types for you.

    Parameters
    ----------
    state : TurnedState
        What is turned.
    name : str
        Name of its entry.

    Attributes
    ----------
    field : Field
    slider : ipywidgets.FloatSlider or None
        None for an entry of several lengths.
    """

    def __init__(self, state: TurnedState, name: str):
        self.state, self.name, self.entry = state, name, state.form[name]
        self.field = controls.Field(self.entry, label_width="15em", width="26em")
        self.slider: ipywidgets.FloatSlider | None = None
        self._following = False
        parts: list[ipywidgets.Widget] = [self.field]
        if not isinstance(self.entry, LengthsEntry):
            self.slider = ipywidgets.FloatSlider(description=self.entry.label, readout=False)
            self.slider.style.description_width = "15em"
            self.slider.layout.width = "36em"
            self.slider.layout.max_width = "100%"
            self.slider.add_class("inlaylab-turn")
            self.slider.observe(self._turned, "value")
            parts.append(self.slider)
        super().__init__(parts)
        self.follow()

    def follow(self) -> None:
        """Put the slider's ends and value where the entry has them, in the maker's unit."""
        value = self.entry.mm if isinstance(self.entry, LengthEntry) else self.entry.value
        if self.slider is None or value is None:
            return
        low, high = self._ends(float(value))
        scale = units.UNITS[self.state.unit] if isinstance(self.entry, LengthEntry) else 1.0
        self._following = True
        try:
            length = isinstance(self.entry, LengthEntry)
            self.slider.step = units.SETTING_STEP[self.state.unit] if length else ANGLE_STEP
            self.slider.min = min(self.slider.min, low / scale)
            self.slider.max = max(self.slider.max, high / scale)
            self.slider.value = value / scale
            self.slider.min, self.slider.max = low / scale, high / scale
        finally:
            self._following = False

    def _ends(self, value: float) -> tuple[float, float]:
        low, high = self.entry.lowest, self.entry.highest
        pocket = self.state.form["pocket_depth"].mm
        if self.name == "start_depth" and pocket is not None:
            low, high = max(low, pocket - SHALLOWER), min(high, pocket + DEEPER)
        return min(low, value), max(high, value)

    def _turned(self, change: traitlets.Bunch) -> None:
        if not self._following:
            self.state.turn(self.name, change["new"])


class HowItReckons:
    """
    The view of a `TurnedState`.

    Parameters
    ----------
    log : path, optional
        The maker's log; the sample shop without it.

    Attributes
    ----------
    state : TurnedState
    turns : dict of str to Turn
        By name of the entry.
    words : dict of str to Words
    pictures : dict of str to PictureBox
        Both by part: section, bend, chance.
    again : ipywidgets.Button
        Puts everything back.
    unit : ipywidgets.Dropdown
    draft : DraftLine
    line : MessageLine
    view : ipywidgets.VBox
    """

    def __init__(self, log: str | Path | None = None):
        self.state = TurnedState(find_log(log))
        self.unit = controls.unit_choice(self.state, self.state.path)
        self.line = controls.MessageLine()
        self.again = controls.button(words.AGAIN, hint=words.AGAIN_HINT)
        self.again.on_click(controls.guarded(self.line, lambda _: self.state.draft.throw_away()))
        self.draft = DraftLine(self.state.draft)
        self.turns = {name: Turn(self.state, name) for _, names, _, _ in PARTS.values() for name in names}
        self.words = {part: controls.Words() for part in PARTS}
        self.pictures = {part: controls.PictureBox() for part in PARTS}
        parts: list[ipywidgets.Widget] = []
        for part, (title, names, _, about) in PARTS.items():
            parts += [controls.heading(title), controls.Words(about, kind="hint")]
            parts += [*(self.turns[name] for name in names), self.words[part], self.pictures[part]]
        for box in (*self.words.values(), *(part for part in parts if isinstance(part, controls.Words))):
            box.layout.width = "100%"
        defer = controls.Words(DEFER, kind="hint")
        defer.layout.width = "100%"
        self.view = controls.panel(defer, controls.row(self.unit, self.again), self.draft, self.line, *parts)
        self.state.observe(controls.guarded(self.line, lambda _: self.show()), "turned")
        self.show()

    def show(self) -> None:
        """Show the three answers as they are now, or say what is missing."""
        for turn in self.turns.values():
            turn.follow()
        said = self.state.lines()
        for part, (_, _, name, _) in PARTS.items():
            result = getattr(self.state, part)
            if result is None:
                self.words[part].say(self.state.said, kind="hint")
                self.pictures[part].say("")
            else:
                self.words[part].say(said[part])
                self.pictures[part].show(figure(name)(result, unit=self.state.unit), dpi=96)
