"""A section through a row of strokes: where the plug rests, and the corners of pockets and plugs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from inlaylab.models.seating import Seat


@dataclass(frozen=True, kw_only=True)
class Section:
    """
    A row of strokes cut by one bit, and how the plug rests in them.

    Parameters
    ----------
    start_depth, pocket_depth, relief_depth : float
        The maker's depths. [mm]
    stroke_widths : tuple of float
        Full widths of the strokes, left to right. [mm]
    land_width : float
        Full width of the land on either side of each stroke. [mm]
    path_angle, true_angle : float
        Included angles. [degrees]
    tip_flat : float
        [mm]
    seat : models.seating.Seat
        Where the plug rests; its glue lines are those of `stroke_widths`.
    outline_offset, crest_loss, host_zero_error, insert_zero_error, sanded_off : float
        [mm]
    """

    start_depth: float
    pocket_depth: float
    relief_depth: float
    stroke_widths: tuple[float, ...]
    land_width: float
    path_angle: float
    true_angle: float
    tip_flat: float
    seat: Seat
    outline_offset: float = 0.0
    crest_loss: float = 0.0
    host_zero_error: float = 0.0
    insert_zero_error: float = 0.0
    sanded_off: float = 0.0

    @classmethod
    def seated(cls, *, wall_allowance: float = 0.0, **settings: Any) -> Section:
        """Ask `models.seating` where the plug rests with these settings; fields as above, without the seat."""
        import numpy as np

        from inlaylab.models.seating import seat

        cut = {
            name: value for name, value in settings.items() if name not in ("stroke_widths", "land_width", "sanded_off")
        }
        rest = seat(
            **cut,
            wall_allowance=wall_allowance,
            stroke_half_width=np.array(settings["stroke_widths"]) / 2,
            land_half_width=settings["land_width"] / 2,
        )
        return cls(**settings, seat=rest)

    @property
    def slopes(self) -> tuple[float, float]:
        """Half tangents of path and bit."""
        return math.tan(math.radians(self.path_angle / 2)), math.tan(math.radians(self.true_angle / 2))

    def pocket(self, middle: float, width: float) -> list[tuple[float, float]]:
        """Give the corners of one pocket at a stroke, left to right, in mm."""
        path_slope, slope = self.slopes
        depth = min(self.pocket_depth, width / 2 / path_slope)
        low = depth + self.host_zero_error
        flat = max(0.0, width / 2 - depth * path_slope) + self.tip_flat / 2
        wide = flat + low * slope
        return [(middle - wide, 0.0), (middle - flat, low), (middle + flat, low), (middle + wide, 0.0)]

    def plug(self, middle: float, width: float) -> list[tuple[float, float]]:
        """Give the corners of one plug with the ground on both sides, left to right, in mm."""
        path_slope, slope = self.slopes
        half_land = max(0.0, self.land_width / 2 - self.outline_offset)
        depth = min(self.relief_depth, half_land / path_slope)
        deep = self.start_depth + depth + self.insert_zero_error
        flat = max(0.0, half_land - depth * path_slope) + self.tip_flat / 2
        reach = width / 2 + self.land_width / 2 - flat
        stand_off = float(self.seat.stand_off)
        face, ground = self.start_depth - stand_off, self.start_depth - stand_off - deep
        nose = reach - deep * slope
        if nose > 0:
            tip = [(middle - nose, face), (middle + nose, face)]
        else:
            ridge = ground + max(0.0, reach / slope - self.crest_loss)
            blunt = min(self.crest_loss * slope, reach)
            tip = [(middle - blunt, ridge), (middle + blunt, ridge)]
        return [(middle - reach, ground), *tip, (middle + reach, ground)]
