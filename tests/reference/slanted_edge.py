"""
Blur of a slanted edge as ISO 12233 defines it (steps from memory), and small pictures painted to a known blur.

The steps: rows of the edge in linear light, each row's edge found by the centroid of its differences, a straight line
through them, every pixel's distance from that line sorted into bins of a quarter of a pixel (edge spread), differences
of neighbouring bins (line spread), a Hann window, and the size of its Fourier transform (modulation transfer), made 1
at frequency 0. It shares no code with `inlaylab.pictures`.
"""

import cv2
import numpy as np

FINE = 8  # painted cells a pixel, in each direction
BINS = 4  # of the edge spread, a pixel


def to_light(values):
    """Linear light of code values: the curve of IEC 61966-2-1 (sRGB), constants from memory."""
    share = np.asarray(values, float) / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def to_values(light):
    """Code values of linear light, rounded as a file stores them."""
    light = np.clip(light, 0, 1)
    share = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)
    return np.round(255 * share).astype(np.uint8)


def paint(light_at, matrix, size, sigma):
    """
    Code values of a grey drawing seen through a homography, with a blur of known standard deviation.

    ``light_at(x, y)`` is the linear light at points of the drawing [mm]; ``size`` is columns and rows; ``sigma`` is
    that of pixels (a box one pixel wide has a variance of 1/12) and lens together. [pixels]

    Each cell is looked up at a random place within it, so that an edge along the cells is not moved to their borders;
    the lens blurs before the pixels add up.
    """
    columns, rows = size
    rng = np.random.default_rng(0)
    within = rng.random((2, rows * FINE, columns * FINE), dtype=np.float32)
    u = (np.arange(columns * FINE)[None, :] + within[0]) / FINE - 0.5
    v = (np.arange(rows * FINE)[:, None] + within[1]) / FINE - 0.5
    back = np.linalg.inv(matrix)
    x, y, w = (back[n, 0] * u + back[n, 1] * v + back[n, 2] for n in range(3))
    light = light_at(x / w, y / w).astype(np.float32)
    light = cv2.GaussianBlur(light, (0, 0), FINE * float(np.sqrt(sigma**2 - 1 / 12)))
    return to_values(cv2.resize(light, size, interpolation=cv2.INTER_AREA))


def modulation(light):
    """Frequencies [cycles/pixel] and modulation of an edge that leans a few degrees from the columns."""
    rows, columns = light.shape
    steps = np.abs(np.diff(light, axis=1))
    places = (steps * (np.arange(columns - 1) + 0.5)).sum(axis=1) / steps.sum(axis=1)
    slope, start = np.polyfit(np.arange(rows), places, 1)
    off = (np.arange(columns)[None, :] - (start + slope * np.arange(rows)[:, None])) / np.hypot(1, slope)
    reach = int(min(-off[:, 0].max(), off[:, -1].min())) - 1
    inside = np.abs(off) < reach
    number = np.floor((off[inside] + reach) * BINS).astype(int)
    spread = np.bincount(number, light[inside]) / np.bincount(number)
    line = np.diff(spread)
    line = line * np.hanning(len(line))
    size = np.abs(np.fft.rfft(line, 4096))
    frequency = np.fft.rfftfreq(4096, 1 / BINS)
    # Differences of bins 1/BINS apart see a sine weaker by sinc(f/BINS), and so does each bin's own width.
    return frequency, size / size[0] / np.sinc(frequency / BINS) ** 2


def mtf50(light):
    """Frequency at which half of the modulation is left. [cycles/pixel]."""
    frequency, size = modulation(light)
    first = int(np.argmax(size < 0.5))
    share = (size[first - 1] - 0.5) / (size[first - 1] - size[first])
    return float(frequency[first - 1] + share * (frequency[first] - frequency[first - 1]))


def sigma_of(frequency):
    """Standard deviation of the Gaussian blur with that MTF50: exp(-2 (pi sigma f)^2) = 1/2. [pixels]."""
    return float(np.sqrt(np.log(2) / 2) / (np.pi * frequency))
