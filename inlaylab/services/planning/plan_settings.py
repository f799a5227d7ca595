"""What a maker can turn while planning an artwork."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Turn:
    """
    One thing that can be turned.

    Parameters
    ----------
    label : str
        As the maker reads it.
    low, high, step : float
        Ends and finest turn of its slider.
    unit : str
        "mm" for lengths (shown in the maker's unit), else a sign.
    """

    label: str
    low: float
    high: float
    step: float
    unit: str = "mm"


TURNS: dict[str, Turn] = {
    "start_depth": Turn(label="start depth", low=0.2, high=12.0, step=0.01),
    "pocket_depth": Turn(label="pocket depth", low=0.5, high=12.0, step=0.01),
    "relief_depth": Turn(label="relief depth", low=0.2, high=6.0, step=0.01),
    "sanded_off": Turn(label="sanded off", low=0.0, high=2.0, step=0.01),
    "path_angle": Turn(label="path angle", low=10.0, high=150.0, step=0.1, unit="°"),
    "true_angle": Turn(label="true angle", low=10.0, high=150.0, step=0.1, unit="°"),
    "tip_flat": Turn(label="tip flat", low=0.0, high=0.6, step=0.01),
    "outline_offset": Turn(label="outline offset", low=0.0, high=0.4, step=0.01),
    "scale": Turn(label="scale", low=10.0, high=400.0, step=1.0, unit="%"),
    "rotation": Turn(label="turn on the insert", low=-90.0, high=90.0, step=1.0, unit="°"),
}
"""What can be turned, in the order of the panel."""


@dataclass(frozen=True, kw_only=True)
class Settings:
    """
    How an artwork is to be cut.

    Parameters
    ----------
    start_depth, pocket_depth, relief_depth, sanded_off, tip_flat, outline_offset : float
        [mm]
    path_angle, true_angle : float
        [degrees]
    scale : float
        1 leaves the artwork as it is drawn.
    rotation : float
        Rotation of the plug on its blank, counter-clockwise as seen on the host. [degrees]
    wall_allowance, crest_loss : float
        What the fit expects; zero without one. [mm]
    """

    start_depth: float = 3.3
    pocket_depth: float = 4.0
    relief_depth: float = 2.0
    sanded_off: float = 0.3
    path_angle: float = 60.0
    true_angle: float = 60.0
    tip_flat: float = 0.0
    outline_offset: float = 0.0
    scale: float = 1.0
    rotation: float = 0.0
    wall_allowance: float = 0.0
    crest_loss: float = 0.0
