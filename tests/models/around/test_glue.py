"""Glue films, wall areas and volumes against solid geometry; forces against definitions."""

import csv
import math
from pathlib import Path

import numpy.testing as npt
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from inlaylab.models import walls
from inlaylab.models.around import glue

DATA = Path(__file__).parents[2] / "data"
with (DATA / "geometry_checks.csv").open(encoding="utf-8") as file:
    GEOMETRY = list(csv.DictReader(file))
PERIMETER = math.pi * 6.35  # of a round pocket [mm]


def _rows(quantity):
    return [pytest.param(row, id=row["check_id"]) for row in GEOMETRY if row["quantity"] == quantity]


@pytest.mark.parametrize("row", _rows("normal_gap_from_axial_offset"))
def test_geometry_checks_normal_gap(row):
    # Computed rows of solid geometry: walls raised by 0.1 mm.
    angle = float(row["included_angle_deg"])
    gap = walls.wall_gap(stroke_depth=4, land_depth=3, path_angle=angle, true_angle=angle, tip_flat=0, seat_level=0.1)
    npt.assert_allclose(glue.film_thickness(gap, angle), float(row["value"]), atol=6e-7)


@pytest.mark.parametrize("row", _rows("truncated_cone_wall_area"))
def test_geometry_checks_wall_area(row):
    found = glue.wall_area(perimeter=PERIMETER, depth=1.5, true_angle=float(row["included_angle_deg"]))
    npt.assert_allclose(found, float(row["value"]), rtol=1e-7)


@given(st.floats(30, 110), st.floats(0.1, 1.0))
def test_walls_of_a_ring_agree_with_shrunk_shapes(angle, depth):
    # A ring turns round once outside and once back: the turns cancel. Shrunk shapes are shapely's.
    ring = shapely.Point(0, 0).buffer(20, 256).difference(shapely.Point(0, 0).buffer(10, 256))
    slope = walls.half_tangent(angle)
    middle = ring.buffer(-slope * depth / 2, 256)
    area = glue.wall_area(perimeter=ring.length, depth=depth, true_angle=angle, turns=0)
    npt.assert_allclose(area, middle.length * depth / math.cos(math.radians(angle / 2)), rtol=1e-3)


def test_joint_volume_adds_walls_and_floor_void():
    npt.assert_allclose(glue.joint_volume(wall_area=2000, film_thickness=0.05), 100)
    npt.assert_allclose(glue.joint_volume(wall_area=0, film_thickness=0, floor_area=900, floor_gap=0.5), 450)


def test_a_pound_force_on_every_square_inch():
    # Exact definitions: one pound-force on each square inch of a 10 by 10 inch board is 100 pounds-force.
    pound, inch, gravity = 0.45359237, 0.0254, 9.80665
    force = glue.clamping_force(pressure=pound * gravity / inch**2 / 1000, area=(10 * 25.4) ** 2)
    npt.assert_allclose(force, 100 * pound * gravity)
