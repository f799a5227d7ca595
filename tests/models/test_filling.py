"""Chances that thin strokes fill: order, sums and a published logistic curve."""

import csv
from pathlib import Path

import numpy as np
import numpy.testing as npt
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.special import xlogy
from scipy.stats import chi2

from inlaylab.models import filling

DATA = Path(__file__).parents[1] / "data"
widths = st.floats(-5, 50)
positive = st.floats(0.005, 3)


@given(widths, st.floats(0, 3), positive, st.floats(-1, 1), st.floats(0, 1), st.floats(0, 2))
def test_chances_are_chances_for_any_stroke(width, half, softness, shift, across, step):
    found = filling.chances(width, half, softness, shift, across, step)
    assert (found >= 0).all()
    npt.assert_allclose(found.sum(), 1, atol=1e-12)


def test_wider_strokes_fill_better_and_a_shift_asks_for_more_width():
    grid = np.linspace(0, 2, 50)
    along = filling.filled_chance(grid, 0.5, 0.1, across_shift=0.1, across=0)
    across = filling.filled_chance(grid, 0.5, 0.1, across_shift=0.1, across=1)
    assert (np.diff(along) > 0).all()
    assert (across < along).all()
    npt.assert_allclose(filling.chances(0.4, 0.5, 0.1, step=0.1)[0], 0.5)


def test_a_tiny_step_keeps_its_own_small_chance():
    # Written as a difference of two curves this would be lost in rounding.
    npt.assert_allclose(filling.chances(0.5, 0.5, 0.1, step=1e-15)[1], 0.25e-14, rtol=1e-6)


def test_bliss_beetles_1935_logit_curve():
    # Bliss (1935), carbon disulphide and flour beetles. Published for the logit fit: its deviance has a chance of
    # 0.08145881 on 6 degrees of freedom (found in a public run of the Dobson and Barnett example). The two
    # coefficients, a -60.717 and b 34.270 (Dobson, Table 7.4), are from memory. The fit starts far from them.
    with (DATA / "bliss_beetles.csv").open() as file:
        rows = list(csv.DictReader(file))
    dose, exposed, killed = (
        np.array([float(row[name]) for row in rows]) for name in ("log10_dose_cs2_mg_per_l", "n_exposed", "n_killed")
    )

    def half_deviance(curve):
        missing, _, filled = filling.chances(dose, half_filled_width=curve[0], softness=curve[1]).T
        return (
            xlogy(killed, killed / exposed / filled) + xlogy(exposed - killed, (1 - killed / exposed) / missing)
        ).sum()

    fitted = minimize(half_deviance, [dose.max(), 0.1], method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-9})
    npt.assert_allclose(chi2.sf(2 * fitted.fun, 6), 0.08145881, rtol=1e-6)
    npt.assert_allclose([-fitted.x[0] / fitted.x[1], 1 / fitted.x[1]], [-60.717, 34.270], atol=1e-3)
