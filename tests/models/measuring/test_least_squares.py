"""The curve solver on certified problems: values and standard deviations, from both starts."""

import csv
from pathlib import Path

import numpy as np
import numpy.testing as npt
import pytest

from inlaylab.errors import InputError
from inlaylab.models.measuring.least_squares import fit_curve
from inlaylab.models.measuring.lines import straight_lines

DATA = Path(__file__).parents[2] / "data"


def _rational(x, p):
    return (p[0] + p[1] * x + p[2] * x**2 + p[3] * x**3) / (1 + p[4] * x + p[5] * x**2 + p[6] * x**3)


MODELS = {
    "misra1a": lambda x, p: p[0] * (1 - np.exp(-p[1] * x)),
    "chwirut2": lambda x, p: np.exp(-p[0] * x) / (p[1] + p[2] * x),
    "hahn1": _rational,
    "thurber": _rational,
    "rat43": lambda x, p: p[0] / (1 + np.exp(p[1] - p[2] * x)) ** (1 / p[3]),
}


def _rows(name):
    with (DATA / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("start", ["start_1", "start_2"])
@pytest.mark.parametrize("name", MODELS)
def test_nist_strd(name, start):
    # NIST Statistical Reference Datasets, nonlinear regression: 6 digits of each parameter and 4 of each standard
    # deviation, from both starts (address in the rows). For Rat43 the file prints 9 degrees of freedom; 11 is right.
    points = [row for row in _rows("nist_strd.csv") if row["dataset"] == name]
    certified = [row for row in _rows("nist_strd_certified.csv") if row["dataset"] == name]
    x, y = (np.array([float(row[column]) for row in points]) for column in ("x", "y"))
    fitted = fit_curve(lambda p: MODELS[name](x, p), [float(row[start]) for row in certified], y)
    npt.assert_allclose(fitted.best, [float(row["certified"]) for row in certified], rtol=1e-6)
    npt.assert_allclose(fitted.uncertainties, [float(row["standard_deviation"]) for row in certified], rtol=1e-4)
    npt.assert_allclose((fitted.residuals**2).sum(), float(certified[0]["residual_sum_of_squares"]), rtol=1e-9)


def test_a_straight_line_comes_out_as_from_the_lines_solver():
    x, y = np.array([1.0, 2.0, 4.0, 7.0]), np.array([2.1, 3.9, 8.2, 13.8])
    line = straight_lines(x, y)
    curve = fit_curve(lambda p: p[0] + p[1] * x, [0.0, 1.0], y)
    npt.assert_allclose(curve.best, [line.intercepts[0], line.slope])
    npt.assert_allclose(curve.covariance, line.covariance, rtol=1e-6)


def test_known_covariance_weighs_the_values():
    fitted = fit_curve(lambda p: np.array([p[0], p[0]]), [0.0], [1.0, 4.0], known_covariance=np.diag([1.0, 0.5]))
    npt.assert_allclose(fitted.best, [3.0])
    npt.assert_allclose(fitted.covariance, [[1 / 3]])


def test_values_that_do_not_settle_the_parameters_are_refused():
    with pytest.raises(InputError, match="too few values to fit"):
        fit_curve(lambda p: p, [1.0], [1.0])
    with pytest.raises(InputError, match="do not settle the parameters"):
        fit_curve(lambda p: (p[0] + p[1]) * np.ones(4), [1.0, 1.0], [1.0, 1.1, 0.9, 1.0])
