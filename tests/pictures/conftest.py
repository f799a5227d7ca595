"""A small coupon, drawn once, and what a reader makes of it."""

import pytest

from inlaylab.artwork.sheets.coupon import design_coupon


@pytest.fixture(scope="session")
def layout():
    plan = design_coupon(name="c1", path_angle=60, pocket_depth=4.2, relief_depth=1.6, length=90, width=70, border=9)
    return plan.layout


@pytest.fixture(scope="session")
def other_layout():
    plan = design_coupon(name="c2", path_angle=90, pocket_depth=3.1, relief_depth=1.1, length=90, width=70, border=9)
    return plan.layout
