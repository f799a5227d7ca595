"""What a picture gives: readings with their uncertainty, and how they came about."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inlaylab.pictures.frame import Frame

TRIED = "tried on rendered pictures only: compare with a loupe before you rely on it"


@dataclass(frozen=True, kw_only=True)
class Curve:
    """
    A side as seen and as fitted.

    Parameters
    ----------
    kind : {"low", "high", "both"}
        Which side of the stroke, or both of a thin one.
    x : array
        Distance from the drawn edge into the stroke. [mm]
    seen, fitted : array
        Brightness. [code values]
    edges : tuple of float
        Where the glue line begins and ends; four numbers where it is both sides. [mm]
    """

    kind: str
    x: NDArray[np.float64]
    seen: NDArray[np.float64]
    fitted: NDArray[np.float64]
    edges: tuple[float, ...]


@dataclass(frozen=True, kw_only=True)
class StationReading:
    """
    What the picture says of a station; None where it says nothing.

    Parameters
    ----------
    station : str
        Its name.
    kind : {"bar", "wedge"}
        Of the station.
    glue_line, sd : float or None
        Mean of the two sides and its standard deviation. [mm]
    closed_chance : float or None
        Chance that the line is below 0.05 mm.
    low, high : float or None
        The line on either side. [mm]
    fill : {"filled", "partly", "missing"} or None
        Of a bar.
    fill_chance : float or None
        Chance that this is right.
    wedge_stop : float or None
        Finished width at which filling stops. [mm]
    why : str
        Why something is not read; blank where all is.
    curves : tuple of Curve
        The profiles behind the line.
    """

    station: str
    kind: str
    glue_line: float | None = None
    sd: float | None = None
    closed_chance: float | None = None
    low: float | None = None
    high: float | None = None
    fill: str | None = None
    fill_chance: float | None = None
    wedge_stop: float | None = None
    why: str = ""
    curves: tuple[Curve, ...] = ()


@dataclass(frozen=True, kw_only=True)
class PictureReading:
    """
    All that a picture says.

    Parameters
    ----------
    stations : tuple of StationReading
        In the layout's order.
    pixels_per_mm : float
        At the coupon's middle.
    drawing_fit : float
        Median distance of the outlines from the drawing laid over them. [mm]
    shrink : float
        How far finished sides lie inside the drawn ones. [mm]
    blur : float
        Standard deviation of the picture's blur. [mm]
    warnings : tuple of str
        What to know before trusting it.
    frame : Frame
        Where the drawing lies in the picture.
    """

    stations: tuple[StationReading, ...]
    pixels_per_mm: float
    drawing_fit: float
    shrink: float
    blur: float
    warnings: tuple[str, ...]
    frame: Frame

    def record(self) -> dict[str, object]:
        """The answer as the command line gives it: lengths in mm, None where there is no answer."""
        return {
            "pixels_per_mm": round(self.pixels_per_mm, 3),
            "drawing_fit_mm": round(self.drawing_fit, 4),
            "sanded_narrower_mm": round(self.shrink, 4),
            "blur_mm": round(self.blur, 4),
            "warnings": list(self.warnings),
            "stations": [
                {
                    "station": one.station,
                    "glue_line": _rounded(one.glue_line),
                    "sd": _rounded(one.sd),
                    "closed_chance": _rounded(one.closed_chance, 3),
                    "sides": {"low": _rounded(one.low), "high": _rounded(one.high)},
                    "fill": one.fill,
                    "fill_chance": _rounded(one.fill_chance, 3),
                    "wedge_stop": _rounded(one.wedge_stop),
                    "why": one.why,
                }
                for one in self.stations
            ],
        }


def _rounded(value: float | None, digits: int = 4) -> float | None:
    return None if value is None else round(float(value), digits)
