"""Propagated uncertainties: the GUM's end gauge and its correlated resistance."""

import csv
import math
from pathlib import Path

import numpy as np
import numpy.testing as npt

from inlaylab.models.grooves import expected_sink, measure_bit
from inlaylab.models.measuring.uncertainty import propagate

DATA = Path(__file__).parents[2] / "data"


def _columns(name, *columns):
    with (DATA / name).open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return [np.array([float(row[column]) for row in rows]) for column in columns]


def _length(inputs):
    standard, d0, d1, d2, expansion, warmth, alpha, mean, cyclic = inputs
    return standard + d0 + d1 + d2 - standard * (expansion * (mean + cyclic) + alpha * warmth)


def test_gum_h1_end_gauge():
    # JCGM 100:2008, Annex H.1: l = 50.000838 mm, u_c 31.66 nm (32 as printed).
    estimates, spread = _columns("gum_h1_end_gauge.csv", "estimate", "standard_uncertainty")
    length, variance = propagate(_length, estimates, spread)
    npt.assert_allclose(length[0], 50_000_838, atol=0.5)
    npt.assert_allclose(math.sqrt(variance[0, 0]), 31.6638, atol=2e-3)
    parts = [
        math.sqrt(propagate(_length, estimates, np.where(np.arange(9) == n, spread, 0))[1][0, 0]) for n in range(9)
    ]
    npt.assert_allclose(parts, [25, 5.8, 3.9, 6.7, 2.88679, 16.599, 0, 0, 0], atol=2e-3)


def test_gum_h2_resistance():
    # JCGM 100:2008, Annex H.2: R 127.732(71), X 219.847(295), Z 254.260(236), and their correlations. The printed
    # u(X) is 0.295; raw readings give 0.2956.
    volts, amperes, phase = _columns("gum_h2_resistance.csv", "voltage_V", "current_A", "phase_rad")
    readings = np.array([volts, amperes, phase])

    def impedance(values):
        v, i, p = values
        return np.array([v * np.cos(p) / i, v * np.sin(p) / i, v / i])

    results, covariance = propagate(impedance, readings.mean(axis=1), np.cov(readings) / readings.shape[1])
    spread = np.sqrt(np.diag(covariance))
    npt.assert_allclose(results, [127.732, 219.847, 254.260], atol=6e-4)
    npt.assert_allclose(spread, [0.071, 0.295, 0.236], atol=6.5e-4)
    correlation = covariance / np.outer(spread, spread)
    npt.assert_allclose([correlation[0, 1], correlation[0, 2], correlation[1, 2]], [-0.588, -0.485, 0.993], atol=6e-4)


def test_the_sink_of_a_bit_keeps_the_correlation_of_angle_and_flat():
    rng = np.random.default_rng(8)
    depths = np.array([0.6, 2.0, 4.0])
    sinks, stated = [], []
    for _ in range(400):
        zero = rng.normal(0, 0.05)
        widths = 0.1 + 2 * (depths + zero) * math.tan(math.radians(30)) + rng.normal(0, 0.02, 3)
        sink, uncertainty = expected_sink(measure_bit(depths, widths, tip_flat=0.1 + rng.normal(0, 0.05)))
        sinks.append(sink)
        stated.append(uncertainty)
    npt.assert_allclose(np.mean(sinks), 0.1 / math.tan(math.radians(30)), atol=0.015)
    npt.assert_allclose(np.std(sinks), np.mean(stated), rtol=0.15)
