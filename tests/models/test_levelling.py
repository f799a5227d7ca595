"""The levelling stack: the trade's example, the passes that would reach the host, and refusals."""

from itertools import pairwise

import numpy.testing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inlaylab.errors import InputError
from inlaylab.models.levelling import levelling_stack

INCH = 25.4
EXAMPLE = {
    "retract": 0.625 * INCH,
    "cut_start": 0.400 * INCH,
    "cut_depth": 0.200 * INCH,
    "pass_depth": 0.050 * INCH,
    "insert_thickness": 0.375 * INCH,
    "start_depth": 0.100 * INCH,
    "relief_depth": 0.050 * INCH,
}


def test_0_625_in_of_retract_0_400_of_start_and_0_200_of_cut_leave_0_025_proud():
    # Common practice, no source.
    stack = levelling_stack(**EXAMPLE)
    npt.assert_allclose(stack.left_proud / INCH, 0.025)
    assert len(stack.passes) == 4
    assert stack.reaches_face is None
    assert not stack.backer_left


def test_the_backer_lies_where_the_boards_say():
    stack = levelling_stack(**EXAMPLE, stand_off=-0.1)
    npt.assert_allclose(stack.backer_top, 0.275 * INCH - 0.1)
    npt.assert_allclose(stack.backer_bottom, 0.050 * INCH - 0.1)
    npt.assert_allclose(stack.air, 0.225 * INCH - stack.backer_top)
    npt.assert_allclose(stack.first_bite, stack.backer_top - 0.175 * INCH)


def test_a_zero_that_was_off_leaves_more_or_less():
    stack = levelling_stack(**EXAMPLE, zero_off=0.5)
    npt.assert_allclose([stack.lowest, stack.highest], [0.635 - 0.5, 0.635 + 0.5])
    assert stack.may_reach_face is None
    worse = levelling_stack(**EXAMPLE, zero_off=0.7)
    assert (worse.reaches_face, worse.may_reach_face) == (None, 4)


def test_a_pass_that_would_reach_the_face_is_named_before_the_cut():
    stack = levelling_stack(**{**EXAMPLE, "cut_depth": 0.260 * INCH})
    assert stack.reaches_face == 5
    assert stack.left_proud < 0


def test_a_cut_that_stops_in_the_backer_says_so():
    assert levelling_stack(**{**EXAMPLE, "cut_depth": 0.150 * INCH}).backer_left


@given(st.floats(5, 30), st.floats(0, 10), st.floats(0, 30), st.floats(0.2, 5), st.floats(0, 1))
def test_passes_go_down_by_no_more_than_a_pass_and_end_at_what_is_left(retract, start, cut, pass_depth, zero_off):
    stack = levelling_stack(
        retract=retract,
        cut_start=start,
        cut_depth=cut,
        pass_depth=pass_depth,
        insert_thickness=12,
        start_depth=3,
        relief_depth=2,
        zero_off=zero_off,
    )
    heights = [retract - start, *stack.passes]
    steps = [high - low for high, low in pairwise(heights)]
    assert all(-1e-9 <= step <= pass_depth + 1e-6 for step in steps)
    if stack.passes:
        npt.assert_allclose(stack.passes[-1], stack.left_proud, atol=1e-6)
        assert (stack.reaches_face is not None) == (stack.left_proud <= 1e-9)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"retract": -1.0}, "the retract must be a length"),
        ({"cut_depth": float("nan")}, "the cut depth must be a length"),
        ({"zero_off": float("inf")}, "the zero off must be a length"),
        ({"pass_depth": 0.0}, "the pass depth must be above zero"),
        ({"insert_thickness": 3.0}, "thinner than its plug"),
    ],
)
def test_what_is_no_stack_is_refused(change, words):
    with pytest.raises(InputError, match=words):
        levelling_stack(**{**EXAMPLE, **change})
