"""
The virtual cut: pocket, plug and seat of an artwork, as the real bit would leave them.

Which function do I need? `virtual_cut` answers everything about one set of settings. To turn depths, zero errors and
sanding again and again, keep the `Boards` of an artwork (``boards.swept_boards``): they hold the bit's sweep in both
boards, their ``seat`` answers in a moment, and `finished` draws the picture. Everything is told in the host's
coordinates; the plug is mirrored only in its drawing.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.artwork.cutting.areas import FILLED, OPEN, count_strip, lost_strokes
from inlaylab.artwork.cutting.artwork_seat import CONTACTS, Depths, Seat
from inlaylab.artwork.cutting.boards import Boards, swept_boards
from inlaylab.artwork.cutting.grid import Grid
from inlaylab.errors import InputError, Stopped
from inlaylab.units import in_both

if TYPE_CHECKING:
    from numpy.typing import ArrayLike
    from shapely.geometry.base import BaseGeometry

    from inlaylab.artwork.axis.medial_axis import Axis
    from inlaylab.artwork.polygons import Artwork

__all__ = ["CONTACTS", "FILLED", "OPEN", "Boards", "Depths", "VirtualCut", "finished", "virtual_cut"]

Progress = Callable[[float, float | None, str], None]

MOST_PIXELS = 200_000_000
_COARSER = 5  # times the pixel in a preview
_PREVIEW = 60_000, 3_000  # pixels of a preview, and pieces of each axis that its seat looks at, at most
_STRIP = 1_000_000  # pixels worked on at a time
_LIMITS = {
    "bit_angle": (5.0, 175.0, "degrees"),
    "true_angle": (5.0, 175.0, "degrees"),
    "tip_flat": (0.0, 10.0, "mm"),
    "start_depth": (0.0, 100.0, "mm"),
    "pocket_depth": (0.01, 100.0, "mm"),
    "relief_depth": (0.01, 100.0, "mm"),
    "host_zero_error": (-10.0, 10.0, "mm"),
    "insert_zero_error": (-10.0, 10.0, "mm"),
    "sanded_off": (0.0, 50.0, "mm"),
    "outline_offset": (-5.0, 5.0, "mm"),
    "pixel": (0.005, 5.0, "mm"),
}
_NAMES = {"sanded_off": "depth sanded off"}


@dataclass(frozen=True, kw_only=True)
class VirtualCut:
    """
    What becomes of an artwork.

    Parameters
    ----------
    seat : Seat
        Stand-off, what holds the plug up, and where.
    depths : Depths
        Start depth and zero errors.
    sanded_off : float
        What came off the host's face after levelling. [mm]
    filled_area, open_area, artwork_area, strokes_lost_area : float
        On the finished face: filled; cut but not filled; of the drawing; of strokes that sanding took away. [mm2]
    glue_lines : numpy.ndarray
        Shape (places, 3): x, y and width of the glue line per side along the outline of strokes that are left. [mm]
    grid : Grid
        Pixels of `state`.
    state : numpy.ndarray
        Finished face: 0 host, 1 filled, 2 open; row 0 is the lowest.
    boards : Boards
        The surfaces, for sections and for other depths.
    seconds : float
        How long it took. [s]
    at : tuple of dict
        Exact depths at the points asked for.
    """

    seat: Seat
    depths: Depths
    sanded_off: float
    filled_area: float
    open_area: float
    artwork_area: float
    strokes_lost_area: float
    glue_lines: np.ndarray
    grid: Grid
    state: np.ndarray
    boards: Boards
    seconds: float
    at: tuple[dict[str, float], ...] = field(default=())

    @property
    def stand_off(self) -> float:
        """How high the plug's outline sits above the host's face [mm]."""
        return self.seat.stand_off

    @property
    def held_up_by(self) -> str:
        """Contact that holds the plug up."""
        return self.seat.held_up_by

    @property
    def fill_rate(self) -> float | None:
        """Filled area over the area cut on the finished face; None where sanding left nothing."""
        cut = self.filled_area + self.open_area
        return self.filled_area / cut if cut > 0 else None

    @property
    def worst_glue_line(self) -> float | None:
        """Widest glue line per side; None where sanding left no stroke [mm]."""
        return float(self.glue_lines[:, 2].max()) if len(self.glue_lines) else None

    def section(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """
        Cut both boards open along a line.

        Parameters
        ----------
        points : numpy.ndarray
            Shape (points, 2), along the line. [mm]

        Returns
        -------
        pocket, plug : numpy.ndarray
            Depth of the pocket below the host's face, and of the seated plug's underside below it. [mm]
        """
        pocket = self.depths.pocket(self.boards.pocket.at(points))
        removed = self.depths.plug(self.boards.plug.at(points))
        return pocket, self.depths.start_depth - removed - self.stand_off

    def to_json(self) -> dict[str, object]:
        """
        Give the answer as plain numbers.

        Returns
        -------
        record : dict
            Lengths in mm, areas in mm2.
        """
        return {
            "stand_off": self.stand_off,
            "held_up_by": self.held_up_by,
            "contact_at": list(self.seat.contact_at),
            "fill_rate": self.fill_rate,
            "filled_area": self.filled_area,
            "artwork_area": self.artwork_area,
            "open_area": self.open_area,
            "worst_glue_line": self.worst_glue_line,
            "strokes_lost_area": self.strokes_lost_area,
            "seconds": self.seconds,
            "at": [dict(point) for point in self.at],
        }


def virtual_cut(
    artwork: Artwork | BaseGeometry,
    *,
    bit_angle: float,
    true_angle: float | None = None,
    tip_flat: float = 0.0,
    start_depth: float,
    pocket_depth: float,
    relief_depth: float,
    host_zero_error: float = 0.0,
    insert_zero_error: float = 0.0,
    sanded_off: float = 0.0,
    outline_offset: float = 0.0,
    pixel: float = 0.1,
    at: ArrayLike | None = None,
    axis: Axis | None = None,
    preview: Callable[[VirtualCut], None] | None = None,
    progress: Progress | None = None,
    stop: Callable[[], bool] | None = None,
) -> VirtualCut:
    """
    Cut, seat, level and sand an artwork on paper.

    Parameters
    ----------
    artwork, bit_angle, true_angle, tip_flat, pocket_depth, relief_depth, outline_offset, axis
        As in `boards.swept_boards`. [mm, degrees]
    start_depth, host_zero_error, insert_zero_error : float
        Level of the outline below the insert's face; how much deeper than programmed each board was cut. [mm]
    sanded_off, pixel, at, progress, stop
        As in `finished`. [mm]
    preview : callable, optional
        Given the same cut with coarse pixels, long before the fine ones are done; its seat, from fewer places, may be
        a little low.

    Returns
    -------
    cut : VirtualCut
        Seat, areas, glue lines and surfaces.

    Raises
    ------
    InputError
        For a setting outside of what a bit can do, or more pixels than a picture needs.

    Examples
    --------
    >>> from shapely import box
    >>> cut = virtual_cut(box(0, 0, 20, 6), bit_angle=60, tip_flat=0.1, start_depth=3, pocket_depth=4, relief_depth=3)
    >>> print(f"{cut.stand_off:.3f} {cut.held_up_by}")
    -0.148 crest
    """
    began = time.perf_counter()
    _check({name: value for name, value in locals().items() if name in _LIMITS and value is not None})
    depths = Depths(start_depth=start_depth, host_zero_error=host_zero_error, insert_zero_error=insert_zero_error)
    both = swept_boards(
        artwork,
        bit_angle=bit_angle,
        true_angle=true_angle,
        tip_flat=tip_flat,
        pocket_depth=pocket_depth,
        relief_depth=relief_depth,
        outline_offset=outline_offset,
        deepest_start=start_depth + abs(insert_zero_error) + abs(host_zero_error),
        axis=axis,
    )
    if preview is not None:
        preview(_coarse(both, depths, sanded_off, pixel))
    cut = finished(both, depths, sanded_off=sanded_off, pixel=pixel, at=at, progress=progress, stop=stop)
    return replace(cut, seconds=time.perf_counter() - began)


def _coarse(both: Boards, depths: Depths, sanded_off: float, pixel: float) -> VirtualCut:
    """Look once, quickly: large pixels, few places."""
    left, bottom, right, top = both.polygons.bounds
    least = float(np.sqrt((right - left) * (top - bottom) / _PREVIEW[0]))
    some = [axis.where(np.arange(0, len(axis), 1 + len(axis) // _PREVIEW[1])) for axis in (both.strokes, both.lands)]
    few = replace(both, strokes=some[0], lands=some[1])
    seat = few.seat(depths, climb=False)
    return finished(few, depths, seat=seat, sanded_off=sanded_off, pixel=min(max(_COARSER * pixel, least), 5.0))


def finished(
    both: Boards,
    depths: Depths,
    *,
    seat: Seat | None = None,
    sanded_off: float = 0.0,
    pixel: float = 0.1,
    at: ArrayLike | None = None,
    progress: Progress | None = None,
    stop: Callable[[], bool] | None = None,
) -> VirtualCut:
    """
    Seat, level and sand what the bit has left in two boards.

    Parameters
    ----------
    both : Boards
        From `boards.swept_boards`.
    depths : Depths
        Start depth and zero errors. [mm]
    seat : Seat, optional
        Where the plug rests at these depths, if it is known.
    sanded_off : float
        What comes off the host's face after levelling. [mm]
    pixel : float
        Side of a pixel, for areas and picture only. [mm]
    at : array_like, optional
        Shape (points, 2): where to tell the exact depth of both cuts. [mm]
    progress, stop : callable, optional
        Told the share done, the seconds left and a text; asked whether to stop.

    Returns
    -------
    cut : VirtualCut
        Seat, areas, glue lines and surfaces.

    Raises
    ------
    InputError
        For more pixels than a picture needs.
    Stopped
        When `stop` said so.
    """
    tell = _teller(progress, stop)
    began = time.perf_counter()
    grid = _grid(both, depths, pixel)
    tell(0.05, "seating the plug")
    seat = both.seat(depths) if seat is None else seat
    state, cut_area, filled_area = _finished_face(both, depths, seat, sanded_off, grid, tell)
    lost = lost_strokes(both.polygons, both.path_half_tangent * (sanded_off - depths.host_zero_error))
    return VirtualCut(
        seat=seat,
        depths=depths,
        sanded_off=sanded_off,
        filled_area=filled_area,
        open_area=max(cut_area - filled_area, 0.0),
        artwork_area=float(both.polygons.area),
        strokes_lost_area=float(lost.area),
        glue_lines=_glue_lines(both, depths, seat, sanded_off),
        grid=grid,
        state=state,
        boards=both,
        at=_depths_at(both, depths, at),
        seconds=time.perf_counter() - began,
    )


def _check(settings: dict[str, float]) -> None:
    for name, value in settings.items():
        low, high, unit = _LIMITS[name]
        if not (isinstance(value, (int, float, np.number)) and low <= value <= high):
            raise InputError(
                f"the {_NAMES.get(name, name.replace('_', ' '))} is out of range",
                value=value,
                allowed=f"{low:g} to {high:g} {unit}",
            )


def _teller(progress: Progress | None, stop: Callable[[], bool] | None) -> Callable[[float, str], None]:
    began = time.perf_counter()

    def tell(share: float, text: str) -> None:
        if stop is not None and stop():
            raise Stopped("the virtual cut was stopped")
        if progress is not None:
            spent = time.perf_counter() - began
            progress(share, spent * (1 - share) / share if share > 0.2 else None, text)

    return tell


def _grid(both: Boards, depths: Depths, pixel: float) -> Grid:
    """Pixels over all that can be cut at the host's face, and two more on each side."""
    half, cap = both.pocket.true_half_tangent, both.pocket.path.full_depth
    beyond = cap * max(half - both.path_half_tangent, 0.0) + max(depths.host_zero_error, 0.0) * half
    margin = beyond + both.pocket.tip_flat / 2 + 3 * pixel
    left, bottom, right, top = both.polygons.bounds
    columns, rows = (int(np.ceil((span + 2 * margin) / pixel)) for span in (right - left, top - bottom))
    if columns * rows > MOST_PIXELS:
        least = np.sqrt((right - left) * (top - bottom) / MOST_PIXELS)
        allowed = f"{in_both(least * 1.01, 'fine')} or more"
        raise InputError("the pixel is too small for this artwork", value=in_both(pixel, "fine"), allowed=allowed)
    return Grid(left=left - margin, bottom=bottom - margin, pixel=pixel, columns=columns, rows=rows)


def _finished_face(
    both: Boards, depths: Depths, seat: Seat, sanded_off: float, grid: Grid, tell: Callable[[float, str], None]
) -> tuple[np.ndarray, float, float]:
    """Picture, area cut and area filled, strip by strip."""
    state = np.zeros((grid.rows, grid.columns), dtype=np.uint8)
    cut = filled = 0.0
    tall = max(64, _STRIP // grid.columns // 64 * 64)
    for first in range(0, grid.rows, tall):
        tell(0.4 + 0.6 * first / grid.rows, "finding what is filled")
        last = min(first + tall, grid.rows)
        strip = count_strip(both.pocket, both.plug, depths, seat.stand_off, sanded_off, grid.strip(first, last))
        state[first:last] = strip.state
        cut, filled = cut + strip.cut, filled + strip.filled
    return state, cut, filled


def _glue_lines(both: Boards, depths: Depths, seat: Seat, sanded_off: float) -> np.ndarray:
    """Clearance between both walls along the outline, level, per side; zero where they touch."""
    samples = both.samples
    depth = (
        np.minimum(samples.half_width / both.path_half_tangent, both.pocket.path.full_depth) + depths.host_zero_error
    )
    shown = samples.outline & (depth > sanded_off)
    level = depths.start_depth + depths.insert_zero_error + depths.host_zero_error
    gap = (seat.stand_off + level - depths.start_depth + samples.pocket + samples.plug) * both.pocket.true_half_tangent
    return np.column_stack([samples.points, np.maximum(gap, 0.0)])[shown]


def _depths_at(both: Boards, depths: Depths, at: ArrayLike | None) -> tuple[dict[str, float], ...]:
    if at is None:
        return ()
    points = np.asarray(at, dtype=float).reshape(-1, 2)
    if not np.isfinite(points).all():
        raise InputError("a point is not a number", where="points", allowed="finite millimetres")
    pocket, plug = depths.pocket(both.pocket.at(points)), depths.plug(both.plug.at(points))
    rows = zip(points, pocket, plug, strict=True)
    return tuple({"x": float(p[0]), "y": float(p[1]), "pocket": float(a), "plug": float(b)} for p, a, b in rows)
