"""Time and wood of hand-countable pieces."""

import math

import numpy.testing as npt
import pytest

from inlaylab.errors import InputError
from inlaylab.models.around import workload


def test_clearing_a_square_takes_its_rim_and_its_rows():
    # 20 by 20 mm cleared by rows 0.5 mm apart: 40 rows of 20 mm, and 80 mm of rim.
    length = workload.path_length(outline_length=80, flat_area=400, pass_spacing=0.5)
    npt.assert_allclose(length, 80 + 40 * 20)
    npt.assert_allclose(workload.cutting_time(path_length=length, feed=880, passes=3), 3)


@pytest.mark.parametrize(("depth", "each", "count"), [(5, 2, 3), (4, 2, 2), (0.1, 2, 1), (0.3, 0.1, 3)])
def test_passes_needed(depth, each, count):
    assert workload.passes_needed(depth=depth, pass_depth=each) == count


def test_a_pass_of_no_depth_is_refused():
    with pytest.raises(InputError, match="pass depth must be above zero"):
        workload.passes_needed(depth=1, pass_depth=0)


def test_blanks_leave_border_ground_backer_and_floor():
    host, insert = workload.blanks(
        artwork_length=80,
        artwork_width=40,
        start_depth=2.5,
        pocket_depth=3,
        relief_depth=2,
        path_slope=math.tan(math.radians(30)),
        border=10,
        backer=4,
        floor=5,
    )
    assert (host.length, host.width, host.thickness) == (100, 60, 8)
    npt.assert_allclose(insert.width, 60 + 4 * math.tan(math.radians(30)))
    npt.assert_allclose(insert.thickness, 8.5)
    npt.assert_allclose(host.volume, 48_000)
