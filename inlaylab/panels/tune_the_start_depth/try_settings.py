"""Turn a depth and see at once where the plug would come to rest: closed forms, no fit needed."""

from __future__ import annotations

from typing import Any

import ipywidgets
import traitlets

from inlaylab import units
from inlaylab.figures.section import section
from inlaylab.panels.shared.controls import MessageLine, PictureBox, guarded
from inlaylab.panels.shared.entries import Held
from inlaylab.services.by_hand.section import Section
from inlaylab.wording.panels import tune_the_start_depth as words

#: What can be set, between which lengths. Our choice: wider than usual inlay work. [mm]
TURNS = {
    "start_depth": ("start depth", 0.2, 12.0),
    "pocket_depth": ("pocket depth", 0.5, 12.0),
    "relief_depth": ("relief depth", 0.2, 6.0),
    "tip_flat": ("tip flat", 0.0, 0.6),
    "insert_zero_error": (words.TOO_DEEP, -0.4, 0.4),
    "outline_offset": ("outline offset", 0.0, 0.4),
}
#: Finest step of a length [mm] and of an angle [degrees]: our choice, finer than a machine is set.
STEP, ANGLE_STEP = 0.01, 0.1
#: How far from the pocket depth the start depth can be set: as far as answers look (``Question``). [mm]
SHALLOWER, DEEPER = 2.0, 0.5


class ExplorerState(traitlets.HasTraits):
    """
    One plug at settings that can be turned.

    Attributes
    ----------
    start_depth, pocket_depth, relief_depth, tip_flat, insert_zero_error, outline_offset : float
        [mm]
    true_angle, path_angle : float
        [degrees]
    wall_allowance, crest_loss : float
        What the fit expects, zero without one. [mm]
    stroke_widths : tuple of float
        [mm]
    land_width : float
        [mm]
    result : services.by_hand.section.Section
        Where the plug rests.

    Examples
    --------
    >>> state = ExplorerState()
    >>> state.tip_flat = 0.1
    >>> print(f"{state.result.seat.stand_off:.3f} {state.result.seat.held_up_by}")
    -0.087 crest
    """

    start_depth = traitlets.Float(3.5)
    pocket_depth = traitlets.Float(4.0)
    relief_depth = traitlets.Float(1.5)
    tip_flat = traitlets.Float(0.0)
    insert_zero_error = traitlets.Float(0.0)
    outline_offset = traitlets.Float(0.0)
    true_angle = traitlets.Float(60.0)
    path_angle = traitlets.Float(60.0)
    wall_allowance = traitlets.Float(0.0)
    crest_loss = traitlets.Float(0.0)
    stroke_widths = traitlets.Tuple((1.2, 6.0))
    land_width = traitlets.Float(3.0)
    result: Held[Section] = Held()

    _settings = (
        "start_depth",
        "pocket_depth",
        "relief_depth",
        "tip_flat",
        "insert_zero_error",
        "outline_offset",
        "true_angle",
        "path_angle",
        "crest_loss",
    )

    @traitlets.default("result")
    def _first(self) -> Section:
        return self._seat()

    @traitlets.observe(*_settings, "wall_allowance", "stroke_widths", "land_width")
    def _turned(self, change: traitlets.Bunch) -> None:
        self.result = self._seat()

    def take(self, **values: Any) -> None:
        """Set several at once, to the finest turn; the plug is seated once."""
        with self.hold_trait_notifications():
            for name, value in values.items():
                step = STEP if name in TURNS else ANGLE_STEP if name.endswith("angle") else 0.0
                setattr(self, name, round(round(value / step) * step, 6) if step else value)
        self.result = self._seat()

    def _seat(self) -> Section:
        settings = {name: getattr(self, name) for name in self._settings}
        strokes = {"stroke_widths": tuple(self.stroke_widths), "land_width": self.land_width}
        return Section.seated(**settings, **strokes, wall_allowance=self.wall_allowance)


class Explorer(ipywidgets.VBox):
    """
    Sliders beside the section that they change.

    Parameters
    ----------
    state : ExplorerState
        What is turned.
    unit : str
        The maker's unit.

    Attributes
    ----------
    sliders : dict of str to ipywidgets.FloatSlider
        By name of what they turn.
    angle : ipywidgets.FloatSlider
    picture : PictureBox
    line : MessageLine
    """

    def __init__(self, state: ExplorerState, *, unit: str = "mm"):
        self.state, self.unit = state, unit
        self.line = MessageLine()
        self.picture = PictureBox()
        self.sliders = {name: self._slider(name) for name in TURNS}
        self.angle = ipywidgets.FloatSlider(
            value=state.true_angle,
            min=10.0,
            max=150.0,
            step=ANGLE_STEP,
            description=words.TRUE_ANGLE,
            readout_format=".1f",
        )
        self.angle.observe(guarded(self.line, lambda c: setattr(state, "true_angle", c["new"])), "value")
        for slider in (*self.sliders.values(), self.angle):
            slider.style.description_width = "13em"
            slider.layout.width = "36em"
            slider.layout.max_width = "100%"
        super().__init__([*self.sliders.values(), self.angle, self.line, self.picture])
        self._following = False
        state.observe(self._follow, "result")
        self._follow()

    def set_unit(self, unit: str) -> None:
        """Show everything in another unit."""
        self.unit = unit
        self._following = True
        try:
            for name, slider in self.sliders.items():
                self._scale(name, slider)
        finally:
            self._following = False
        self._follow()

    def _slider(self, name: str) -> ipywidgets.FloatSlider:
        slider = ipywidgets.FloatSlider()
        self._scale(name, slider)
        slider.observe(guarded(self.line, lambda change: self._turn(name, change["new"])), "value")
        return slider

    def _scale(self, name: str, slider: ipywidgets.FloatSlider) -> None:
        """Put the slider's ends and value where the state wants them, in the maker's unit."""
        label, low, high = TURNS[name]
        value, scale = getattr(self.state, name), units.UNITS[self.unit]
        if name == "start_depth":
            low, high = max(low, self.state.pocket_depth - SHALLOWER), self.state.pocket_depth + DEEPER
        low, high = min(low, value) / scale, max(high, value) / scale
        slider.description = f"{label} [{self.unit}]"
        slider.readout_format = f".{units.decimals(self.unit, 'setting')}f"
        slider.step = units.SETTING_STEP[self.unit]
        slider.min, slider.max = min(slider.min, low), max(slider.max, high)
        slider.value = value / scale
        slider.min, slider.max = low, high

    def _turn(self, name: str, value: float) -> None:
        if not self._following:
            setattr(self.state, name, value * units.UNITS[self.unit])

    def _follow(self, change: traitlets.Bunch | None = None) -> None:
        self._following = True
        try:
            for name, slider in self.sliders.items():
                self._scale(name, slider)
            self.angle.value = self.state.true_angle
        finally:
            self._following = False
        self.picture.show(section(self.state.result, unit=self.unit), dpi=96)
