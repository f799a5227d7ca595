"""Straight lines: the GUM's calibration example, known lines, and refusals."""

import csv
from pathlib import Path

import numpy as np
import numpy.testing as npt
import pytest
from scipy import stats

from inlaylab.errors import InputError
from inlaylab.models.measuring.lines import straight_lines

DATA = Path(__file__).parents[2] / "data"


def _thermometer():
    with (DATA / "gum_h3_thermometer.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return [np.array([float(row[name]) for row in rows]) for name in ("reading_degC", "observed_correction_degC")]


def test_gum_h3_thermometer():
    # JCGM 100:2008, Annex H.3: y1 -0.1712(29), y2 0.00218(67), r -0.930, b(30 degC) -0.1494(41).
    lines = straight_lines(*_thermometer(), reference=20.0)
    npt.assert_allclose([lines.intercepts[0], lines.uncertainties[0]], [-0.1712, 0.0029], atol=5e-5)
    npt.assert_allclose([lines.slope, lines.uncertainties[-1]], [0.00218, 0.00067], atol=5e-6)
    npt.assert_allclose(lines.correlation, [-0.930], atol=5e-4)
    npt.assert_allclose(lines.at(30.0), [-0.1494, 0.0041], atol=5e-5)
    npt.assert_allclose((lines.residuals**2).sum(), 0.000110096583109, rtol=1e-8)
    assert lines.degrees_of_freedom == 9


def test_one_line_agrees_with_scipy():
    rng = np.random.default_rng(4)
    x = rng.uniform(0, 10, 12)
    y = 2 + 0.5 * x + rng.normal(0, 0.1, 12)
    known, lines = stats.linregress(x, y), straight_lines(x, y)
    npt.assert_allclose([lines.slope, lines.intercepts[0]], [known.slope, known.intercept])
    npt.assert_allclose(lines.uncertainties[::-1], [known.stderr, known.intercept_stderr])


def test_parallel_lines_give_back_planted_intercepts():
    rng = np.random.default_rng(5)
    groups = np.repeat(["monday", "tuesday"], 400)
    x = rng.uniform(0, 5, 800)
    y = np.where(groups == "monday", 1.0, 1.3) + 0.7 * x + rng.normal(0, 0.05, 800)
    lines = straight_lines(x, y, groups=groups)
    assert lines.groups == ("monday", "tuesday")
    pulls = (np.append(lines.intercepts, lines.slope) - [1.0, 1.3, 0.7]) / lines.uncertainties
    assert (np.abs(pulls) < 3.5).all()
    npt.assert_allclose(lines.residual_sd, 0.05, rtol=0.1)
    npt.assert_allclose(lines.at(2.0, "tuesday")[0], lines.intercepts[1] + 2 * lines.slope)


def test_uncertainties_shrink_as_a_stated_reading_does():
    coarse, fine = (straight_lines([1, 2, 3], [2, 4, 6], y_uncertainty=u) for u in (0.1, 0.01))
    npt.assert_allclose(coarse.uncertainties, 10 * fine.uncertainties)


def test_points_at_one_x_are_refused():
    with pytest.raises(InputError, match="do not settle a straight line"):
        straight_lines([1, 1, 1], [2, 3, 4])


def test_two_points_need_a_stated_uncertainty():
    with pytest.raises(InputError, match="no point is left over"):
        straight_lines([1, 2], [2, 3])
    assert np.isnan(straight_lines([1, 2], [2, 3], y_uncertainty=0.1).residual_sd)
