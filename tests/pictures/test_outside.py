"""The reader's blur, frame and widths against a standard's definition, OpenCV's own routines, and scipy's."""

import cv2
import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as some
from scipy.signal import peak_widths
from slanted_edge import mtf50, paint, sigma_of, to_light

from inlaylab.pictures.frame import Frame, frame_from_corners, lens_of
from inlaylab.pictures.lines.joint_fit import Beliefs, Problem
from inlaylab.pictures.lines.noise import measure_noise
from inlaylab.pictures.opening import Picture
from inlaylab.pictures.profiles import Bar, bar_profiles, dot_profile

PER_MM = 23.6
HOST, INSERT, GLUE, HOLE = 0.25, 0.55, 0.02, 0.04  # light
DOTS = ((2.0, 8.5), (6.0, 8.5), (10.0, 8.5))  # middles [mm]
DIAMETER, SHRINK = 2.0, 0.12  # [mm]
BAR = Bar(
    name="A1",
    start=np.array([1.0, 2.5]),
    along=np.array([1.0, 0.0]),
    across=np.array([0.0, 1.0]),
    length=10.0,
    width=3.0,
    land_low=2.4,
    land_high=4.0,
)


def turned(degrees, perspective=0.0, per_mm=PER_MM):
    """Homography of a drawing of 12 by 10 mm, turned, its far side shorter by a share; and the picture's size."""
    corners = np.array([(0, 0), (12, 0), (12, 10), (0, 10)], float)
    angle = np.radians(degrees)
    seen = (corners - (6, 5)) @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]]) * per_mm
    seen[:, 0] *= 1 - perspective * seen[:, 1] / np.ptp(seen[:, 1])
    seen += 10 - seen.min(axis=0)
    size = np.ceil(seen.max(axis=0) + 10).astype(int)
    return cv2.getPerspectiveTransform(corners.astype(np.float32), seen.astype(np.float32)), (
        int(size[0]),
        int(size[1]),
    )


def bar_and_dots(line, *, host=HOST, insert=INSERT, glue=GLUE):
    """Light of a stroke with a glue line all round, and of three dots."""
    low, high = BAR.start[1] + SHRINK, BAR.start[1] + BAR.width - SHRINK

    def light_at(x, y):
        side = np.minimum(y - low, high - y)
        light = np.where(side < 0, host, np.where(side < line, glue, insert))
        for middle in DOTS:
            light = np.where(np.hypot(x - middle[0], y - middle[1]) < DIAMETER / 2 - SHRINK, HOLE, light)
        return light

    return light_at


def fitted(values, matrix, *, glue=GLUE, blur=1.2, per_mm=PER_MM):
    """The reader's joint fit of such a picture, from the true frame."""
    frame = Frame(matrix=matrix, **lens_of(values.shape))
    picture = Picture(colors=np.repeat(values[..., None], 3, axis=2), luma=values)
    profiles = bar_profiles(picture, frame, BAR, thin=1.3)
    profiles += [dot_profile(picture, frame, DIAMETER, np.array(middle)) for middle in DOTS]
    beliefs = Beliefs(blur=blur / per_mm, radius=1.4 / per_mm)
    problem = Problem(profiles, measure_noise(profiles), beliefs, np.zeros(len(profiles)))
    tone = np.full(3, glue)
    shared = problem.first_shared()
    return problem.fit(tone, (shared, problem.settle(shared, tone)))


LEAN = np.tan(np.radians(5.0))


@pytest.mark.parametrize("sigma", [0.9, 1.8])
def test_the_blur_is_that_of_a_slanted_edge(sigma):
    """ISO 12233 (its steps from memory): MTF50 of an edge that leans 5 degrees, painted with the same blur."""
    to_middle = np.array([(1.0, 0, 40), (0, 1, 40), (0, 0, 1)])
    edge = paint(lambda x, y: np.where(x + LEAN * y < 0, HOST, INSERT), to_middle, (80, 80), sigma)
    by_standard = sigma_of(mtf50(to_light(edge)))
    assert by_standard == pytest.approx(sigma, rel=0.03)  # the definition finds what was painted
    matrix, size = turned(7.0)
    fit = fitted(paint(bar_and_dots(0.06), matrix, size, sigma), matrix)
    assert float(np.exp(fit.shared[0])) * PER_MM == pytest.approx(by_standard, rel=0.08)


def test_a_frame_maps_as_its_homography_does():
    """Corners under a homography written by hand; OpenCV's findHomography and perspectiveTransform, its own code."""
    known = np.array([(24.0, -3.0, 210.0), (2.5, -23.0, 1900.0), (1e-4, -2e-4, 1.0)])
    corners = np.array([(0, 0), (90, 0), (90, 70), (0, 70)], float)
    by_hand = [
        (known[0] @ (x, y, 1) / (known[2] @ (x, y, 1)), known[1] @ (x, y, 1) / (known[2] @ (x, y, 1)))
        for x, y in corners
    ]
    frame = frame_from_corners(corners, by_hand, shape=(2000, 2500))
    within = np.random.default_rng(1).uniform((0, 0), (90, 70), (50, 2))
    assert frame.pixels(within) == pytest.approx(cv2.perspectiveTransform(within[None], known)[0], abs=0.005)
    fitted_by_cv2, _ = cv2.findHomography(corners, np.array(by_hand))
    assert frame.pixels(within) == pytest.approx(cv2.perspectiveTransform(within[None], fitted_by_cv2)[0], abs=0.005)
    # Pixels a mm: the root of the determinant of the map's derivatives, by differences of OpenCV's map.
    right, up = (cv2.perspectiveTransform(within[None] + step, known)[0] for step in ((0.01, 0), (0, 0.01)))
    here = cv2.perspectiveTransform(within[None], known)[0]
    areas = np.abs(np.cross(np.c_[right - here, np.zeros(50)], np.c_[up - here, np.zeros(50)])[:, 2]) / 0.01**2
    assert frame.scale(within) == pytest.approx(np.sqrt(areas), rel=1e-3)


def seen_across(values):
    """Mean light across an unturned picture, row by row, and the rows' places on the drawing. [mm]."""
    light = to_light(values)[:, 60:-60].mean(axis=1)
    return light, (np.arange(len(light)) - 10) / PER_MM


@pytest.mark.parametrize("line", [0.03, 0.10, 0.30])
def test_a_lines_width_is_its_missing_light(line):
    """
    Equivalent width, as spectroscopy defines it (from memory): light missing, over its depth; no blur changes it.

    A line much wider than the blur has that width at half its depth too, which scipy.signal.peak_widths measures.
    OpenCV has no width of lines finer than a pixel.
    """
    matrix, size = turned(0.0)
    values = paint(bar_and_dots(line, host=0.4, insert=0.4), matrix, size, 1.3)
    fit = fitted(values, matrix)
    light, y = seen_across(values)
    low = (y > BAR.start[1] - 0.6) & (y < BAR.start[1] + 1.4)
    wood = float(np.median(light[low]))
    dip = 1 - light[low] / wood
    missing = float(dip.sum()) / PER_MM / (1 - GLUE / wood)
    assert missing == pytest.approx(line, abs=0.004)
    assert fit.own[:2, 1] == pytest.approx(missing, abs=0.005)
    if line > 4 * 1.3 / PER_MM:
        half = peak_widths(dip, [int(dip.argmax())], rel_height=0.5)[0][0] / PER_MM
        assert fit.own[:2, 1] == pytest.approx(half, abs=0.008)


@pytest.mark.long
@settings(max_examples=4, deadline=None, derandomize=True, phases=[Phase.generate])
@given(
    quarter=some.integers(0, 3),
    degrees=some.floats(3, 87),
    perspective=some.floats(0, 0.05),
    sigma=some.floats(1.0, 2.0),
    host=some.floats(0.15, 0.4),
    insert=some.floats(0.45, 0.8),
    line=some.floats(0.0, 0.25),
)
def test_a_dark_line_is_read_whatever_the_turn_perspective_blur_and_tone(
    quarter, degrees, perspective, sigma, host, insert, line
):
    matrix, size = turned(90 * quarter + degrees, perspective)
    fit = fitted(paint(bar_and_dots(line, host=host, insert=insert), matrix, size, sigma), matrix)
    assert float(fit.own[:2, 1].mean()) == pytest.approx(line, abs=0.006)


@pytest.mark.long
def test_a_sharp_picture_that_lies_along_its_pixels_is_read_without_bias():
    """Every side then falls on the pixels in one way all along, which no averaging hides."""
    rng = np.random.default_rng(5)
    errors = []
    for line in (0.02, 0.05, 0.1, 0.05):
        matrix, size = turned(0.0)
        matrix = np.array([(1, 0, rng.uniform()), (0, 1, rng.uniform()), (0, 0, 1)]) @ matrix
        tones = {"host": float(rng.uniform(0.15, 0.4)), "insert": float(rng.uniform(0.45, 0.8))}
        fit = fitted(paint(bar_and_dots(line, **tones), matrix, size, float(rng.uniform(0.75, 0.95))), matrix)
        errors.append(float(fit.own[:2, 1].mean()) - line)
    assert abs(np.mean(errors)) < 0.004 and np.abs(errors).max() < 0.008
