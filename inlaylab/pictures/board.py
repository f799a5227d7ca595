"""Find the coupon in a picture: a board with four straight sides on a plain table."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from inlaylab.errors import PictureError

if TYPE_CHECKING:
    from numpy.typing import NDArray

WORKING_SIZE = 1200  # longest side of the small picture that the board is sought in [pixels]
LEAST_SHARE = 0.08  # of the picture that the board must fill
FAR = 20.0  # Lab distance from which everything is surely board
LAB_WEIGHTS = (0.5, 1.2, 1.2)  # lightness counts less: shadows beside the board are dark, not coloured
STRAIGHT = "lay the coupon on a plain sheet of another colour, hold the phone straight above, fill the frame"


def find_board(picture: NDArray[np.uint8]) -> NDArray[np.float64]:
    """
    Corners of the board.

    Parameters
    ----------
    picture : array of shape (rows, columns, 3)
        Red, green, blue code values.

    Returns
    -------
    corners : array of shape (4, 2)
        Column and row of each, going round so that x turns towards y. [pixels]

    Raises
    ------
    PictureError
        Where no board stands out from the table, or a part of it is outside the picture.

    Notes
    -----
    The table's colour is fitted as a quadratic over the picture's border, so uneven light does no harm; what differs
    from it by more than Otsu's threshold is board.
    """
    import cv2

    rows, columns = picture.shape[:2]
    scale = min(1.0, WORKING_SIZE / max(rows, columns))
    small = cv2.resize(picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    mask = _board_mask(np.asarray(small, np.uint8))
    outlines, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    largest = max(outlines, key=cv2.contourArea, default=None)
    outline = None if largest is None else np.asarray(largest, np.int32)
    if outline is None or cv2.contourArea(outline) < LEAST_SHARE * mask.size:
        raise PictureError("no coupon was found in the picture", remedy=STRAIGHT)
    _refuse_cropped(outline, mask.shape)
    corners = _four_corners(outline)
    if corners is None:
        raise PictureError("what was found in the picture does not have four straight sides", remedy=STRAIGHT)
    return (corners + 0.5) / (np.array(small.shape[1::-1]) / [columns, rows]) - 0.5


def _board_mask(small: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Pixels that differ from the table."""
    import cv2

    lab = cv2.cvtColor(cv2.GaussianBlur(small, (0, 0), 1.5), cv2.COLOR_RGB2LAB).astype(np.float32)
    rows, columns = lab.shape[:2]
    y, x = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j].astype(np.float32)
    powers = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)
    edge = np.zeros((rows, columns), bool)
    rim = max(4, round(0.02 * max(rows, columns)))
    edge[:rim] = edge[-rim:] = edge[:, :rim] = edge[:, -rim:] = True
    keep = edge
    for _ in range(4):
        fit = np.linalg.lstsq(powers[keep], lab[keep], rcond=None)[0]
        distance = np.sqrt((((lab - powers @ fit) * LAB_WEIGHTS) ** 2).sum(axis=-1))
        near = distance <= 2.5 * max(float(np.median(distance[keep])), 0.5)
        keep = edge & near if (edge & near).sum() > 0.3 * edge.sum() else keep
    # Inserts may differ far more from the table than the host does: beyond FAR they all count alike.
    level, _ = cv2.threshold((np.clip(distance / FAR, 0, 1) * 255).astype(np.uint8), 0, 255, cv2.THRESH_OTSU)
    threshold = level / 255 * FAR
    if threshold < 3 * max(float(np.median(distance[keep])), 0.5):
        raise PictureError("no coupon was found in the picture", remedy=STRAIGHT)
    mask = (distance > threshold).astype(np.uint8)
    mask = cv2.morphologyEx(mask, cv2.MORPH_CLOSE, np.ones((9, 9), np.uint8))
    return np.asarray(cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((9, 9), np.uint8)), np.uint8)


def _refuse_cropped(outline: NDArray[np.int32], shape: tuple[int, ...]) -> None:
    points = outline[:, 0]
    at_edge = (points <= 1).any(axis=1) | (points >= np.array(shape[1::-1]) - 2).any(axis=1)
    if at_edge.sum() > 0.005 * len(points):
        raise PictureError(
            "part of the coupon is outside the picture", remedy="show the whole coupon, with some table all round"
        )


def _four_corners(outline: NDArray[np.int32]) -> NDArray[np.float64] | None:
    """Corners where straight lines through the four sides meet; None where it is no quadrilateral."""
    import cv2

    hull = cv2.convexHull(outline)
    around = cv2.arcLength(hull, closed=True)
    for share in (0.01, 0.02, 0.03, 0.05, 0.08):
        rough = cv2.approxPolyDP(hull, share * around, closed=True)[:, 0].astype(float)
        if len(rough) <= 4:
            break
    if len(rough) != 4:
        return None
    points = outline[:, 0].astype(float)
    lines = [_line(points, start, end) for start, end in zip(rough, np.roll(rough, -1, axis=0), strict=True)]
    sides = [line for line in lines if line is not None]
    if len(sides) < 4:
        return None
    corners = np.array([np.cross(sides[n - 1], sides[n]) for n in range(4)])
    corners = corners[:, :2] / corners[:, 2:]
    area = float(cv2.contourArea(corners.astype(np.float32)))
    if not 0.93 < float(cv2.contourArea(hull)) / max(area, 1e-9) < 1.07:
        return None
    (ax, ay), (bx, by) = corners[1] - corners[0], corners[2] - corners[1]
    return corners if ax * by > ay * bx else corners[::-1]


def _line(
    points: NDArray[np.float64], start: NDArray[np.float64], end: NDArray[np.float64]
) -> NDArray[np.float64] | None:
    """Line (a, b, c), a x + b y + c = 0, through the points along the middle of a side."""
    along = (end - start) / np.hypot(*(end - start))
    across = np.array([-along[1], along[0]])
    length = float(np.hypot(*(end - start)))
    for reach in (0.03 * length + 2, 4.0, 2.0):
        far, off = (points - start) @ along, (points - start) @ across
        side = (far > 0.08 * length) & (far < 0.92 * length) & (np.abs(off) < reach)
        if side.sum() < 10:
            return None
        slope, level = np.polyfit(far[side], off[side], 1)
        start = start + across * level
        along = along + across * slope
        along /= np.hypot(*along)
        across = np.array([-along[1], along[0]])
    return np.array([across[0], across[1], -float(across @ start)])
