"""What a maker asks: which bit, which pair, what artwork, how tight, how sure."""

from dataclasses import dataclass

from inlaylab.bench.coupons import Stroke
from inlaylab.bench.cuts import Cut
from inlaylab.errors import InputError
from inlaylab.fitting.model.cut_arrays import PLAIN_PIECE

SHALLOWER = 2.0
"""How far above the pocket's floor start depths are looked for, unless told. [mm]"""
STEP = 0.01
"""Step of the curve, and finest start depth worth setting. [mm]"""


@dataclass(frozen=True, kw_only=True)
class Question:
    """
    What a maker asks.

    Parameters
    ----------
    bit, pair : str
        Names in the log.
    strokes : tuple of Stroke
        Strokes of the artwork; none means an ordinary piece of one thin and one wide bar.
    pocket_depth, relief_depth : float
        As they will be cut. [mm]
    within : float
        Widest glue line that is good enough. [mm]
    chance : float
        How sure to be, between 0 and 1.
    between : (float, float), optional
        Start depths to look between. [mm]
    path_angle_deg : float, optional
        Angle the path is computed for; the bit's nominal angle if left out. [degrees]
    outline_offset, pass_spacing : float
        As they will be cut. [mm]
    coupon : str, optional
        Coupon on which a test cut would be made.

    Raises
    ------
    InputError
        Where a figure makes no sense.

    Examples
    --------
    >>> Question(bit="b", pair="p", pocket_depth=4, relief_depth=1.5, within=0.1, chance=0.9).span
    (2.0, 4.0)
    """

    bit: str
    pair: str
    strokes: tuple[Stroke, ...] = ()
    pocket_depth: float
    relief_depth: float
    within: float
    chance: float = 0.9
    between: tuple[float, float] | None = None
    path_angle_deg: float | None = None
    outline_offset: float = 0.0
    pass_spacing: float = 0.0
    coupon: str | None = None

    def __post_init__(self) -> None:
        for name in ("pocket_depth", "relief_depth", "within"):
            if not 0 < getattr(self, name) < 1000:
                allowed = "above 0 mm and below 1000 mm"
                raise InputError(name.replace("_", " "), value=getattr(self, name), allowed=allowed)
        if not 0 < self.chance < 1:
            raise InputError("chance", value=self.chance, allowed="between 0 and 1, such as 0.9")
        if not self.span[0] < self.span[1]:
            raise InputError("start depths to look between", value=self.between, allowed="the shallower first")

    @property
    def span(self) -> tuple[float, float]:
        """Start depths [mm] to look between."""
        if self.between is not None:
            return self.between
        return float(max(self.pocket_depth - SHALLOWER, STEP)), float(self.pocket_depth)

    @property
    def half_widths(self) -> list[tuple[float, float]]:
        """Half-widths [mm] of strokes and lands."""
        if not self.strokes:
            return [(stroke / 2, land / 2) for stroke, land in PLAIN_PIECE]
        return [(stroke.stroke_width / 2, stroke.land_width / 2) for stroke in self.strokes]

    def cut(self, start_depth: float) -> Cut:
        """Return the cut that the question is about, at a start depth."""
        return Cut(
            cut="planned",
            bit=self.bit,
            pair=self.pair,
            start_depth=start_depth,
            pocket_depth=self.pocket_depth,
            relief_depth=self.relief_depth,
            path_angle_deg=self.path_angle_deg,
            outline_offset=self.outline_offset,
            pass_spacing=self.pass_spacing,
        )
