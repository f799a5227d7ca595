"""The compiled loops against the plain array formula that they repeat."""

import numpy as np
import numpy.testing as npt
import pytest
import shapely
from shapes import letters, star

from inlaylab.artwork.cutting.boards import swept_boards
from inlaylab.artwork.cutting.grid import Grid, surface
from inlaylab.artwork.winding import winding

BITS = [
    {"bit_angle": 60, "true_angle": 61.0, "tip_flat": 0.12},
    {"bit_angle": 90, "true_angle": 89.0, "tip_flat": 0.0},
]


@pytest.fixture(scope="module", params=BITS, ids=["flat tip", "sharp tip"])
def sweeps(request):
    shape = shapely.MultiPolygon([star(), shapely.box(14, -3, 16.5, 9)]) | shapely.affinity.translate(letters(), 20, 0)
    both = swept_boards(shape, pocket_depth=3.2, relief_depth=1.7, **request.param)
    return both.pocket, both.plug


def over_all_runs(sweep, points):
    """Deepest cut by the definition: every run at every point, no cell and nothing left out."""
    runs = np.arange(len(sweep.runs.x))
    deepest = [sweep.heights(runs, x, y).max() for x, y in points]
    flat = sweep.on_flat_ground(points)
    return np.where(flat, sweep.path.full_depth, deepest)


def test_scattered_points_are_cut_as_deep_as_any_run_cuts_them(sweeps):
    points = np.random.default_rng(5).uniform([-14, -14], [90, 16], size=(400, 2))
    for sweep in sweeps:
        npt.assert_allclose(sweep.at(points), over_all_runs(sweep, points), rtol=0, atol=1e-12)
        npt.assert_array_equal(sweep.at(points, floor=-1.0), np.maximum(-1.0, sweep.at(points)))
        assert sweep.at(np.empty((0, 2))).shape == (0,)


def test_pixels_are_cut_as_deep_as_any_run_cuts_their_middles(sweeps):
    grid = Grid(left=-11.0, bottom=-11.0, pixel=0.13, columns=201, rows=173)  # cells of 64 that stick out
    x, y = np.meshgrid(grid.x, grid.y)
    points = np.stack([x, y], axis=-1).reshape(-1, 2)
    some = np.random.default_rng(6).choice(len(points), 300, replace=False)
    for sweep in sweeps:
        exact = over_all_runs(sweep, points[some])
        depths = surface(sweep, grid, floor=-0.5).reshape(-1)
        npt.assert_allclose(depths[some], np.maximum(exact, -0.5), rtol=0, atol=1e-12)
        capped = surface(sweep, grid, floor=-0.5, ceiling=0.4).reshape(-1)  # told apart in between only
        npt.assert_allclose(np.clip(capped[some], -0.5, 0.4), np.clip(exact, -0.5, 0.4), rtol=0, atol=1e-12)


def test_flat_ground_is_what_its_rim_winds_around(sweeps):
    points = np.random.default_rng(7).uniform([-14, -14], [90, 16], size=(2000, 2))
    for sweep in sweeps:
        npt.assert_array_equal(sweep.on_flat_ground(points), winding(sweep.path.rim, points) > 0)
