"""Which way round the coupon lies, and whether it is this coupon at all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.errors import PictureError
from inlaylab.pictures.frame import Frame, frame_from_corners, lens_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from inlaylab.bench.layouts import Layout, Ring

    Floats = NDArray[np.float64]

GRAIN = 5.0  # pixels a mm of the straightened picture
LEAST_CONTRAST = 2.5
LEAST_MATCH = 0.55
NOT_THIS = "check that the layout belongs to this coupon and that the finished face is shown"


@dataclass(frozen=True, kw_only=True)
class Contrast:
    """
    What tells insert from host in this picture.

    Parameters
    ----------
    direction : array of shape (3,)
        Weights of red, green, blue code values; the host's middle gives 0, the insert's 1.
    level : float
        Taken off the weighted sum.
    strength : float
        Distance of the two woods, in standard deviations of their texture.
    """

    direction: Floats
    level: float
    strength: float

    def of(self, values: NDArray[np.floating]) -> Floats:
        """0 for the host, 1 for the insert, from code values with colours last."""
        return np.asarray(values @ self.direction - self.level, float)


def find_turn(picture: NDArray[np.uint8], corners: Floats, layout: Layout) -> tuple[Frame, Contrast]:
    """
    Lay the drawing on the board in the way that tells strokes from host best.

    Parameters
    ----------
    picture : array of shape (rows, columns, 3)
        Red, green, blue code values.
    corners : array of shape (4, 2)
        Of the board, going round so that x turns towards y. [pixels]
    layout : Layout
        The drawing.

    Returns
    -------
    frame : Frame
        Good to about half a mm.
    contrast : Contrast
        What tells insert from host.

    Raises
    ------
    PictureError
        Where no turn fits, two fit alike, or a mirror image fits best.
    """
    inside, outside = _masks(layout)
    drawn = np.array([(0, 0), (0, layout.width), (layout.length, layout.width), (layout.length, 0)], float)
    small, shrink = _smaller(picture)
    found: list[tuple[float, bool, Frame, Contrast]] = []
    for mirrored, around in ((False, drawn), (True, drawn[::-1])):
        for turn in range(4):
            frame = frame_from_corners(np.roll(around, turn, axis=0), corners, shape=picture.shape)
            contrast = _contrast(_straighten(small, frame, layout, shrink), inside, outside)
            found.append((contrast.strength, mirrored, frame, contrast))
    found.sort(key=lambda one: -one[0])
    (best, mirrored, frame, contrast), second = found[0], found[1][0]
    if best < LEAST_CONTRAST:
        raise PictureError(
            "the coupon's strokes cannot be told from the host where the drawing has them",
            remedy=NOT_THIS + "; woods that look alike cannot be read",
        )
    if best < 1.25 * second:
        raise PictureError("the drawing fits the picture in two ways about equally well", remedy=NOT_THIS)
    if mirrored:
        raise PictureError(
            "the picture is a mirror image of the coupon", remedy="take it from above, without mirroring"
        )
    return _slide(small, frame, contrast, layout, shrink, picture.shape), contrast


def _slide(
    small: NDArray[np.uint8], frame: Frame, contrast: Contrast, layout: Layout, shrink: float, shape: tuple[int, ...]
) -> Frame:
    """Move the frame until the drawing lies on the strokes (enhanced correlation coefficient)."""
    import cv2

    seen = np.clip(contrast.of(_straighten(small, frame, layout, shrink).astype(float)), -0.5, 1.5).astype(np.float32)
    drawn = cv2.GaussianBlur(
        _painted([p.polygon for p in layout.places] + _rings(layout), layout).astype(np.float32), (0, 0), 2.0
    )
    rules = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 80, 1e-5)
    try:
        still = np.eye(2, 3, dtype=np.float32)
        _, move = cv2.findTransformECC(drawn, cv2.GaussianBlur(seen, (0, 0), 2.0), still, cv2.MOTION_TRANSLATION, rules)
        start = np.vstack([move, [0, 0, 1]]).astype(np.float32)
        match, whole = cv2.findTransformECC(
            drawn, cv2.GaussianBlur(seen, (0, 0), 1.0), start, cv2.MOTION_HOMOGRAPHY, rules
        )
    except cv2.error:
        match, whole = 0.0, np.eye(3)
    if match < LEAST_MATCH:
        raise PictureError(
            "the picture does not match the coupon's drawing", value=f"match {match:.2f}", remedy=NOT_THIS
        )
    cells = _cells(layout)
    return Frame(matrix=frame.matrix @ np.linalg.inv(cells) @ np.asarray(whole, float) @ cells, **lens_of(shape))


def _smaller(picture: NDArray[np.uint8]) -> tuple[NDArray[np.uint8], float]:
    import cv2

    shrink = min(1.0, 1600 / max(picture.shape))
    return np.asarray(cv2.resize(picture, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)), shrink


def _cells(layout: Layout) -> Floats:
    """From drawing [mm] to cells of the straightened picture, whose rows run down."""
    return np.array([[GRAIN, 0, -0.5], [0, -GRAIN, layout.width * GRAIN - 0.5], [0, 0, 1]])


def _straighten(small: NDArray[np.uint8], frame: Frame, layout: Layout, shrink: float) -> NDArray[np.uint8]:
    import cv2

    scaled = np.array([[shrink, 0, (shrink - 1) / 2], [0, shrink, (shrink - 1) / 2], [0, 0, 1]])
    to_cells = _cells(layout) @ np.linalg.inv(scaled @ frame.matrix)
    size = (round(layout.length * GRAIN), round(layout.width * GRAIN))
    return np.asarray(cv2.warpPerspective(small, to_cells, size, flags=cv2.INTER_LINEAR), np.uint8)


def _rings(layout: Layout) -> list[Ring]:
    return [ring for shape in layout.other for ring in shape.rings]


def _painted(rings: Iterable[Ring], layout: Layout) -> NDArray[np.uint8]:
    """Drawn shapes, holes left open, as cells of 0 and 1."""
    import cv2

    cells, mask = _cells(layout), np.zeros((round(layout.width * GRAIN), round(layout.length * GRAIN)), np.uint8)
    outlines = [np.round((np.array(r) @ cells[:2, :2].T + cells[:2, 2]) * 16).astype(np.int32) for r in rings]
    if outlines:
        cv2.fillPoly(mask, outlines, 1, shift=4)
    return mask


def _masks(layout: Layout) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Cells surely inside strokes, and host beside them."""
    import cv2

    strokes = _painted([p.polygon for p in layout.places] + _rings(layout), layout)
    labels = cv2.dilate(_painted([s.exterior for s in layout.marks], layout), np.ones((7, 7), np.uint8))
    inside = cv2.erode(strokes, np.ones((5, 5), np.uint8)) > 0
    near, wide = (cv2.dilate(strokes, np.ones((n, n), np.uint8)) > 0 for n in (5, 31))
    return inside, wide & ~near & (labels == 0)


def _contrast(values: NDArray[np.uint8], inside: NDArray[np.bool_], outside: NDArray[np.bool_]) -> Contrast:
    """Fisher's discriminant between cells inside and outside."""
    one, two = values[inside].astype(float), values[outside].astype(float)
    apart = one.mean(axis=0) - two.mean(axis=0)
    within = (np.cov(one.T) + np.cov(two.T)) / 2 + 4.0 * np.eye(3)
    direction = np.linalg.solve(within, apart)
    strength = float(np.sqrt(max(apart @ direction, 0.0)))
    direction = direction / max(apart @ direction, 1e-9)
    return Contrast(direction=direction, level=float(np.median(two @ direction)), strength=strength)
