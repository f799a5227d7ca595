"""The frame: where each point of the drawing lies in the picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypedDict

import numpy as np

from inlaylab.pictures.lines import light

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]


BESIDE = 5  # around the points that are asked for, so that the window sees its surroundings [pixels]


class Lens(TypedDict):
    """Where a picture's middle lies, and half its diagonal; both in pixels."""

    middle: tuple[float, float]
    reach: float


@dataclass(frozen=True, kw_only=True)
class Frame:
    """
    Maps the drawing to the picture: a homography, then one radial term of the lens.

    Parameters
    ----------
    matrix : array of shape (3, 3)
        Homography from drawing [mm] to picture. [pixels]
    middle : tuple of float
        Column and row of the picture's middle, about which the lens bends. [pixels]
    reach : float
        Half the picture's diagonal. [pixels]
    bend : float
        Share by which a point at `reach` is pushed outwards.
    """

    matrix: Floats
    middle: tuple[float, float]
    reach: float
    bend: float = 0.0

    def pixels(self, points: ArrayLike) -> Floats:
        """
        Columns and rows of points of the drawing.

        Parameters
        ----------
        points : array of shape (..., 2)
            x and y on the drawing. [mm]

        Returns
        -------
        pixels : array of shape (..., 2)
            Column and row; the middle of the first pixel is (0, 0). [pixels]
        """
        points = np.asarray(points, float)
        ahead = points @ self.matrix[:, :2].T + self.matrix[:, 2]
        off = ahead[..., :2] / ahead[..., 2:] - self.middle
        return off * (1 + self.bend * (off**2).sum(axis=-1, keepdims=True) / self.reach**2) + self.middle

    def scale(self, points: ArrayLike) -> Floats:
        """
        Pixels a mm at points of the drawing.

        Parameters
        ----------
        points : array of shape (..., 2)
            x and y on the drawing. [mm]

        Returns
        -------
        scale : array
            Square root of the area that a square mm takes. [pixels/mm]
        """
        points, small = np.asarray(points, float), 0.05
        right, up = np.array([small, 0.0]), np.array([0.0, small])
        dx = (self.pixels(points + right) - self.pixels(points - right)) / (2 * small)
        dy = (self.pixels(points + up) - self.pixels(points - up)) / (2 * small)
        return np.sqrt(np.abs(dx[..., 0] * dy[..., 1] - dx[..., 1] * dy[..., 0]))


def frame_from_corners(drawn: ArrayLike, seen: ArrayLike, *, shape: tuple[int, ...]) -> Frame:
    """
    Frame without a lens term from four points.

    Parameters
    ----------
    drawn : array of shape (4, 2)
        On the drawing. [mm]
    seen : array of shape (4, 2)
        In the picture. [pixels]
    shape : tuple of int
        Rows and columns of the picture.

    Returns
    -------
    frame : Frame
    """
    import cv2

    matrix = cv2.getPerspectiveTransform(np.asarray(drawn, np.float32), np.asarray(seen, np.float32))
    return Frame(matrix=np.asarray(matrix, float), **lens_of(shape))


def lens_of(shape: tuple[int, ...]) -> Lens:
    """Middle and reach of a picture of so many rows and columns."""
    rows, columns = shape[:2]
    return {"middle": ((columns - 1) / 2, (rows - 1) / 2), "reach": float(np.hypot(rows, columns) / 2)}


def sample(picture: NDArray[np.uint8], frame: Frame, points: Floats) -> NDArray[np.float32]:
    """
    Code values at points of the drawing, by linear interpolation.

    Parameters
    ----------
    picture : array of shape (rows, columns) or (rows, columns, 3)
        Code values.
    frame : Frame
        Where the drawing lies in it.
    points : array of shape (n, m, 2)
        x and y on the drawing. [mm]

    Returns
    -------
    values : array of shape (n, m) or (n, m, 3)
        Code values; outside the picture those of its nearest pixel.
    """
    import cv2

    return _looked_up(picture, frame.pixels(points), cv2.INTER_LINEAR)


def brightness(luma: NDArray[np.uint8], frame: Frame, points: Floats) -> Floats:
    """
    Brightness at points of the drawing, as if a pixel stood at each of them.

    Parameters
    ----------
    luma, frame, points
        As in `sample`.

    Returns
    -------
    values : array of shape (n, m)
        Code values.

    Notes
    -----
    By Lanczos' window over eight pixels, in linear light: there a lens that blurs by 0.75 pixels and more has left
    nothing that pixels cannot give back. Linear interpolation blurs by how a side happens to fall on the pixels.
    """
    import cv2

    where = frame.pixels(points)
    rows, columns = luma.shape
    low = np.clip(np.floor(where.min(axis=(0, 1))).astype(int) - BESIDE, 0, (columns - 1, rows - 1))
    high = np.clip(np.ceil(where.max(axis=(0, 1))).astype(int) + BESIDE, 0, (columns - 1, rows - 1))
    part = light.decode(np.arange(256)).astype(np.float32)[luma[low[1] : high[1] + 1, low[0] : high[0] + 1]]
    return light.encode(_looked_up(part, where - low, cv2.INTER_LANCZOS4))


def _looked_up(picture: NDArray[np.uint8] | NDArray[np.float32], where: Floats, window: int) -> NDArray[np.float32]:
    """Values between the pixels; outside the picture those of its nearest pixel."""
    import cv2

    near = where.astype(np.float32)
    values = cv2.remap(picture, near[..., 0], near[..., 1], window, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(values, np.float32)
