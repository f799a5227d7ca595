"""The likelihood: against finite differences, scipy, and a plug seated stroke by stroke."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import numpy.testing as npt
import pytest
import simulated_shop
from scipy import stats
from scipy.integrate import quad

from inlaylab.bench.bits import Groove
from inlaylab.bench.readings import Reading
from inlaylab.fitting.model import laws, likelihood
from inlaylab.fitting.model.cut_seats import seat_levels
from inlaylab.fitting.model.laws import censored_log_density, interval_log_chance
from inlaylab.fitting.model.likelihood import expected_values, log_density, reading_terms
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import draw_prior, log_prior, values


@pytest.fixture(scope="module")
def whole(small_shop):
    """The small shop with everything that can be in a log: grooves, flats, outcomes, offsets, ridges, doubles."""
    cuts = list(small_shop.cuts)
    cuts[1] = replace(cuts[1], outline_offset=0.05, path_angle_deg=60.4)
    cuts[2] = replace(cuts[2], pass_spacing=0.3)
    alone = [replace(cuts[0], cut=f"o{n}", coupon=None, outcome=o) for n, o in enumerate(("tight", "hairline", "open"))]
    double = next(r for r in small_shop.readings if r.station == "B1" and r.kind == "glue_line")
    return replace(
        small_shop,
        bits=(replace(small_shop.bits[0], tip_flat=0.12),),
        grooves=tuple(Groove(bit="bit1", depth=d, width=0.13 + 1.17 * d, unit="mm") for d in (1, 2, 3)),
        cuts=(*cuts, *alone),
        readings=(*small_shop.readings, replace(double, station="B3", state=None, value=0.2, limit=None)),
    )


def _density(shop):
    seen = observe(shop)
    layout = seen.names.layout()
    return seen, layout, lambda z: log_density(z, seen=seen, layout=layout)


@pytest.fixture(scope="module")
def traced(whole):
    """Layout, density in numpy, and density with its gradient as compiled by jax."""
    import jax

    jax.config.update("jax_enable_x64", True)
    _, layout, density = _density(whole)
    return layout, density, jax.jit(jax.value_and_grad(density))


@pytest.mark.long
def test_jax_and_numpy_give_the_same_density(traced):
    layout, density, compiled = traced
    points = draw_prior(layout, np.random.default_rng(1), 6)
    npt.assert_allclose([compiled(z)[0] for z in points], [density(z) for z in points], rtol=1e-9)


@pytest.mark.long
def test_gradient_agrees_with_finite_differences(traced):
    layout, density, compiled = traced
    compared = 0
    for z in draw_prior(layout, np.random.default_rng(2), 4, wide=0.5):
        exact = np.asarray(compiled(z)[1])
        steps = 1e-6 * np.eye(layout.size)
        up, down, there = (np.array([density(z + s * step) for step in steps]) for s in (1, -1, 0))
        smooth = np.abs((up - there) + (down - there)) < 1e-6  # elsewhere a contact changes within the step
        npt.assert_allclose(exact[smooth], ((up - down) / 2e-6)[smooth], rtol=2e-4, atol=2e-4)
        compared += smooth.sum()
    assert compared > 0.98 * 4 * layout.size


def test_density_is_prior_plus_every_reading(whole):
    seen, layout, density = _density(whole)
    z = draw_prior(layout, np.random.default_rng(3), 1)[0]
    fitted = values(layout.split(z), nominal_angles=seen.nominal_angles)
    level = seat_levels(fitted, seen.cuts)
    parts = log_prior(layout.split(z)) + sum(mixed.sum() for mixed, _ in reading_terms(fitted, seen, level).values())
    parts += np.sum(likelihood.outcome_terms(fitted, seen, level)) + likelihood._flat_term(fitted, seen)
    npt.assert_allclose(density(z), parts, rtol=1e-12)


@pytest.mark.parametrize("seed", range(3))
def test_seats_and_lines_are_those_of_a_plug_seated_alone(seed):
    design, rng = simulated_shop.small_design(cuts=8, bits=2, pairs=3), np.random.default_rng(seed)
    cuts = list(design.cuts)
    cuts[3] = replace(cuts[3], coupon=None)
    design = design.with_cuts(cuts)
    seen = observe(design)
    layout = seen.names.layout()
    fitted = values(layout.split(draw_prior(layout, rng, 1)[0]), nominal_angles=seen.nominal_angles)
    alone = simulated_shop.Simulator(design, fitted, rng)
    seats = [alone.section(n) for n in range(8)]
    levels = np.array([np.ravel(rest.seat_level)[0] for _, rest in seats])
    npt.assert_allclose(seat_levels(fitted, seen.cuts), levels, atol=1e-12)
    readings = [
        Reading(cut=cut.cut, kind="glue_line", station=f"B{n + 1}", value=0.1, unit="mm")
        for cut in cuts
        if cut.coupon
        for n in range(4)
    ]
    rows = observe(design.with_cuts(cuts, readings)).rows["glue_line"]
    lines = expected_values("glue_line", fitted, seen.cuts, rows, seat_levels(fitted, seen.cuts))
    by_hand = [rest.wall_gap[:4] for (_, rest), cut in zip(seats, cuts, strict=True) if cut.coupon]
    npt.assert_allclose(lines, np.ravel(by_hand), atol=1e-12)


def test_what_gauges_read_by_hand(small_shop):
    seen = observe(small_shop)
    layout = seen.names.layout()
    fitted = values(layout.split(np.zeros(layout.size)), nominal_angles=seen.nominal_angles)
    fitted["host_zero_error"], fitted["insert_zero_error"] = np.full(6, 0.07), np.full(6, -0.02)
    level = np.full(6, -0.05)  # stand-off -0.10

    def mean(kind):
        return expected_values(kind, fitted, seen.cuts, seen.rows[kind], level)

    npt.assert_allclose(mean("backer_gap"), 1.5 - 0.02 - 0.10)  # F + e_p + h
    npt.assert_allclose(mean("floor_gap")[0], 0.05 + 0.07 - 0.10)  # P - S + e_h + h
    npt.assert_allclose(mean("pocket_depth"), 4.07)
    npt.assert_allclose(mean("plug_depth")[0], 3.95 + 1.5 - 0.02)


def test_a_censored_law_is_scipys():
    value, mean, sd, limit = np.array([0.1, 0.2, np.nan, np.nan]), 0.15, np.array(0.04), np.array([0, 0, 0.05, 0.2])
    closed = np.isnan(value)
    expected = np.where(closed, stats.norm.logcdf(limit, mean, sd), stats.norm.logpdf(value, mean, sd))
    npt.assert_allclose(censored_log_density(value, mean, sd, limit=limit, censored=closed), expected, rtol=1e-12)


def test_an_interval_law_is_scipys_and_its_parts_make_one():
    mean, sd = np.linspace(-0.3, 0.5, 17), np.array(0.03)
    edges = [-np.inf, 0.05, 0.15, np.inf]
    logs = [interval_log_chance(low, high, mean, sd) for low, high in pairwise(edges)]
    npt.assert_allclose(np.exp(logs).sum(axis=0), 1.0, rtol=1e-9)
    middle = stats.norm.cdf(0.15, mean, sd) - stats.norm.cdf(0.05, mean, sd)
    npt.assert_allclose(np.exp(logs[1]), middle, rtol=1e-9, atol=1e-12)


def test_a_mistaken_length_is_a_density():
    sd = np.array(0.03)
    total = 0.0
    for low, high in ((1e-3, 0.02), (0.02, 1), (1, 12), (12, 40)):
        total += quad(lambda x: float(np.exp(laws.mistaken_length(x, np.array(0.3), sd))), low, high, limit=400)[0]
    npt.assert_allclose(total, 1.0, atol=1e-4)


@pytest.mark.parametrize(("factor", "likely"), [(1 / 25.4, True), (25.4, True), (1.0, False)])
def test_slips_of_unit_are_likely_mistakes(factor, likely):
    mean, sd, value = np.array(0.8), np.array(0.03), 0.81 * factor
    good = laws.normal_log_density(value, mean, sd)
    _, odds = laws.with_mistakes(good, laws.mistaken_length(value, mean, sd), laws.logit(0.03))
    assert (odds > 3) if likely else (odds < -3)


def test_a_mistake_costs_a_bounded_amount(small_shop):
    # however far a reading is off, the density falls no further than a mistake's
    row = next(i for i, r in enumerate(small_shop.readings) if r.kind == "backer_gap")
    found = []
    for off in (0.0, 3.0, 30.0):
        readings = list(small_shop.readings)
        readings[row] = replace(readings[row], value=1.5 + off)
        _, layout, density = _density(replace(small_shop, readings=tuple(readings)))
        found.append(density(np.zeros(layout.size)))
    assert 0 < found[1] - found[2] < 5
    assert found[0] - found[2] < 25


def test_a_shop_without_cuts_has_its_priors_density():
    _, layout, density = _density(simulated_shop.small_design(cuts=0))
    z = np.linspace(-1, 1, layout.size)
    npt.assert_allclose(density(z), log_prior(layout.split(z)))


@pytest.mark.parametrize(("outcome", "better"), [("tight", -0.1), ("open", 0.2)])
def test_an_outcome_prefers_the_seat_that_explains_it(outcome, better):
    design = simulated_shop.small_design(cuts=1, coupons=False)
    seen = observe(design.with_cuts([replace(design.cuts[0], outcome=outcome)]))
    layout = seen.names.layout()
    fitted = values(layout.split(np.zeros(layout.size)), nominal_angles=seen.nominal_angles)
    other = 0.1 - better
    terms = [np.sum(likelihood.outcome_terms(fitted, seen, np.array([level]))) for level in (better, other)]
    assert terms[0] > terms[1] + 1
