"""Measuring a bit: geometry, the uncertainties' honesty, and what a further groove buys."""

import csv
import re
from pathlib import Path

import numpy as np
import numpy.testing as npt
import pytest

from inlaylab.errors import InputError
from inlaylab.models.grooves import further_groove, groove_width, measure_bit
from inlaylab.models.measuring.lines import straight_lines

DATA = Path(__file__).parents[1] / "data"
with (DATA / "geometry_checks.csv").open(encoding="utf-8") as file:
    WIDTHS = [row for row in csv.DictReader(file) if row["quantity"] == "width_from_depth"]


@pytest.mark.parametrize("row", WIDTHS, ids=lambda row: row["check_id"])
def test_geometry_checks_width_from_depth(row):
    # Computed rows of solid geometry.
    depth = float(re.search(r"depth=([\d.]+)", row["inputs"])[1])
    width = groove_width(depth=depth, true_angle=float(row["included_angle_deg"]), tip_flat=0)
    npt.assert_allclose(width, float(row["value"]), atol=6e-7)


def test_exact_grooves_give_the_bit_back():
    depths = np.array([0.5, 1.5, 3.0, 5.0])
    widths = groove_width(depth=depths, true_angle=61.2, tip_flat=0.13)
    found = measure_bit(depths, widths)
    npt.assert_allclose([found.true_angle, found.tip_flat], [61.2, 0.13], atol=1e-9)
    with_loupe = measure_bit(depths, widths, tip_flat=0.13)
    npt.assert_allclose([with_loupe.true_angle, with_loupe.tip_flat], [61.2, 0.13], atol=1e-9)
    assert with_loupe.tip_flat_uncertainty < found.tip_flat_uncertainty


def test_the_line_under_a_bit_is_the_calibration_line():
    # The same function that reproduces JCGM 100:2008, Annex H.3 in test_lines; without a stated
    # uncertainty of one width the scatter counts alone, as there.
    depths, widths = np.array([1.0, 2.0, 3.0, 4.0, 5.0]), np.array([1.27, 2.40, 3.58, 4.71, 5.88])
    line = straight_lines(depths, widths)
    found = measure_bit(depths, widths, width_uncertainty=None)
    tangent = np.tan(np.radians(found.true_angle) / 2)
    npt.assert_allclose(2 * tangent, line.slope)
    expected = np.degrees(2 / (1 + tangent**2)) * line.uncertainties[-1] / 2
    npt.assert_allclose(found.true_angle_uncertainty, expected)
    npt.assert_allclose(found.residuals, line.residuals)


def test_uncertainties_cover_what_they_say():
    # Planted bits, zeros, loupe and grooves: one standard uncertainty must cover about 68 %, the correlation included.
    rng = np.random.default_rng(9)
    depths, days = np.array([0.6, 2.0, 4.0, 1.0, 5.0]), ["mon", "mon", "mon", "tue", "tue"]
    pulls = []
    for _ in range(600):
        angle, flat = rng.uniform(40, 80), rng.uniform(0.02, 0.2)
        zeros = np.repeat(rng.normal(0, 0.05, 2), [3, 2])
        widths = groove_width(depth=depths, true_angle=angle, tip_flat=flat, zero_error=zeros)
        found = measure_bit(
            depths,
            widths + rng.normal(0, 0.02, 5),
            settings_up=days,
            tip_flat=flat + rng.normal(0, 0.05),
            zero_uncertainty=0.05,
        )
        off = np.array(
            [
                (found.true_angle - angle) / found.true_angle_uncertainty,
                (found.tip_flat - flat) / found.tip_flat_uncertainty,
            ]
        )
        assert set(found.zero_errors) == {"mon", "tue"}
        matrix = np.array([[1, found.correlation], [found.correlation, 1]])
        pulls.append([*off, off @ np.linalg.inv(matrix) @ off])
    pulls = np.array(pulls)
    inside = (np.abs(pulls[:, :2]) < 1).mean(axis=0)
    assert ((inside > 0.62) & (inside < 0.82)).all()
    assert 1.4 < pulls[:, 2].mean() < 2.2  # two degrees of freedom


def test_a_deeper_groove_buys_more_angle_than_a_shallow_one():
    depths = np.array([1.0, 2.0, 3.0])
    measure = measure_bit(depths, groove_width(depth=depths, true_angle=60, tip_flat=0.1), tip_flat=0.1)
    left = further_groove(depths, [0.5, 2.0, 6.0, 9.0], measure=measure, tip_flat=0.1)
    assert (left[:, 0] < measure.true_angle_uncertainty).all()
    assert left[3, 0] < left[2, 0] < left[1, 0]
    # What was promised is what a real further groove gives.
    more = np.append(depths, 6.0)
    after = measure_bit(more, groove_width(depth=more, true_angle=60, tip_flat=0.1), tip_flat=0.1)
    npt.assert_allclose(left[2], [after.true_angle_uncertainty, after.tip_flat_uncertainty], rtol=1e-6)


def test_inch_and_millimetre_makers_measure_the_same_bit():
    inches = np.array([0.050, 0.100, 0.200])
    widths = groove_width(depth=inches * 25.4, true_angle=60.5, tip_flat=0.08)
    npt.assert_allclose(measure_bit(inches * 25.4, widths).true_angle, 60.5, atol=1e-9)


@pytest.mark.parametrize(
    ("depths", "widths", "options", "words"),
    [
        ([1, 1], [2, 2], {}, "do not settle a straight line"),
        ([1, 2, 3], [3, 2, 1], {}, "deeper grooves must be wider"),
        ([1, 2], [1, 2], {"width_uncertainty": None}, "no point is left over"),
        ([1, 2, 3], [1, 2, 3], {"zero_uncertainty": 0.0}, "zero uncertainty must be above zero"),
        ([1, 2, 3], [1, 2, 3], {"width_uncertainty": float("nan")}, "width uncertainty must be above zero"),
    ],
)
def test_grooves_that_say_nothing_are_refused(depths, widths, options, words):
    with pytest.raises(InputError, match=words):
        measure_bit(depths, widths, **options)
