"""Wall gaps and path depths: published depth factors, thread geometry, hand cases and any bit."""

import csv
import math
import re
from pathlib import Path

import numpy as np
import numpy.testing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inlaylab.models import walls

DATA = Path(__file__).parents[1] / "data"
with (DATA / "geometry_checks.csv").open(encoding="utf-8") as file:
    GEOMETRY = {row["check_id"]: row for row in csv.DictReader(file)}

angles = st.floats(15, 150)


def _rows(*quantities):
    return [pytest.param(row, id=name) for name, row in GEOMETRY.items() if row["quantity"] in quantities]


def _angle(row):
    return float(row["included_angle_deg"])


def _number(row, pattern):
    return float(re.search(pattern, row["inputs"])[1])


@pytest.mark.parametrize("row", _rows("depth_over_diameter"))
def test_geometry_checks_depth_factor_table(row):
    # Published table of depth factors, 4 decimals (address in the row); half a unit of its last digit, and the
    # row says where the table itself rounds the other way (G05: 0.41955 printed as 0.4195).
    factor = walls.path_depth(half_width=0.5, depth_cap=math.inf, path_angle=_angle(row))
    npt.assert_allclose(factor, float(row["value"]), atol=6e-7)
    if row["published_value"]:
        assert row["basis"] == "found"
        npt.assert_allclose(factor, float(row["published_value"]), atol=5.1e-5)


@pytest.mark.parametrize("row", _rows("depth_from_diameter", "depth_from_diameter_flat_tip"))
def test_geometry_checks_depth_from_diameter(row):
    # Computed rows of solid geometry; the flat-tip formula stands beside the published table.
    width = _number(row, r"D=([\d.]+)") - (0.1 if "T=0.1" in row["inputs"] else 0.0)
    depth = walls.path_depth(half_width=width / 2, depth_cap=math.inf, path_angle=_angle(row))
    npt.assert_allclose(depth, float(row["value"]), atol=6e-7)


@pytest.mark.parametrize("row", _rows("surface_gap_from_axial_offset"))
def test_geometry_checks_surface_gap(row):
    gap = walls.wall_gap(
        stroke_depth=4, land_depth=3, path_angle=_angle(row), true_angle=_angle(row), tip_flat=0, seat_level=0.1
    )
    npt.assert_allclose(gap, float(row["value"]), atol=6e-7)


@pytest.mark.parametrize("row", _rows("iso_thread_triangle_height", "iso_thread_depth_5H_8"))
def test_geometry_checks_iso_68_1_triangle(row):
    # ISO 68-1's 60-degree triangle; published values from memory, not looked up.
    assert row["basis"] == "from_memory"
    height = walls.path_depth(half_width=_number(row, r"P=([\d.]+)") / 2, depth_cap=math.inf, path_angle=60)
    if row["quantity"].endswith("5H_8"):
        height = height * 5 / 8
    npt.assert_allclose(height, float(row["published_value"]), atol=6e-7)


@pytest.mark.parametrize("row", _rows("iso_pitch_diameter", "iso_minor_diameter"))
def test_geometry_checks_iso_724_m6(row):
    # ISO 724's row for M6 x 1, from memory, printed to 0.001.
    assert row["basis"] == "from_memory"
    height = walls.path_depth(half_width=0.5, depth_cap=math.inf, path_angle=60)
    share = 0.75 if row["quantity"] == "iso_pitch_diameter" else 1.25
    npt.assert_allclose(6 - share * height, float(row["published_value"]), atol=5.1e-4)


@given(st.floats(0, 10), st.floats(0, 10), angles)
def test_a_perfect_bit_closes_every_wall(stroke_depth, land_depth, angle):
    gap = walls.wall_gap(
        stroke_depth=stroke_depth, land_depth=land_depth, path_angle=angle, true_angle=angle, tip_flat=0, seat_level=0
    )
    assert abs(gap) < 1e-12


@given(angles, st.floats(0, 0.3), st.floats(-0.3, 0.3), st.floats(-0.2, 0.2))
def test_sinking_offset_and_flat_trade_against_each_other(angle, flat, level, offset):
    section = {"stroke_depth": 4, "land_depth": 3, "path_angle": angle, "true_angle": angle}
    gap = walls.wall_gap(**section, tip_flat=flat, seat_level=level, outline_offset=offset)
    npt.assert_allclose(gap, flat - offset + level * math.tan(math.radians(angle / 2)), atol=1e-12)


def test_an_angle_error_grows_with_the_depths():
    gaps = walls.wall_gap(
        stroke_depth=np.array([1.0, 2.0, 4.0]), land_depth=1.0, path_angle=60, true_angle=61, tip_flat=0, seat_level=0
    )
    slope = walls.half_tangent(61) - walls.half_tangent(60)
    npt.assert_allclose(np.diff(gaps), [slope, 2 * slope])


def test_glue_line_is_never_negative_and_takes_its_local_opening():
    section = {"stroke_depth": 4, "land_depth": 3, "path_angle": 90, "true_angle": 90, "tip_flat": 0}
    npt.assert_allclose(walls.glue_line(**section, seat_level=[-0.2, 0.1]), [0, 0.1])
    npt.assert_allclose(walls.glue_line(**section, seat_level=-0.1, local_opening=[0.05, 0.3]), [0, 0.2])


def test_path_depth_stops_at_its_cap_and_at_nothing():
    npt.assert_allclose(walls.path_depth(half_width=[-1, 0, 0.5, 9], depth_cap=4, path_angle=90), [0, 0, 0.5, 4])
