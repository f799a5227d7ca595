"""The worst glue line at every start depth: against plugs seated one by one, and against a scan."""

import numpy as np
import numpy.testing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_sections import closed_form, random_section

from inlaylab.models import seating
from inlaylab.models.start_depths import Steps, worst_line

HAIR = 0.01
ZEROS = ("host_zero_error", "insert_zero_error", "seat_shortfall")


def seated(section, start_depth):
    """Widest glue line of the section when its plug is seated at a start depth."""
    return float(seating.seat(**section, start_depth=start_depth).glue_line.max())


def some_section(rng):
    """One of the sections that are checked against the brute-force envelope elsewhere, with a seat shortfall."""
    section = closed_form(random_section(rng)) | {"seat_shortfall": float(rng.exponential(0.02))}
    section.pop("start_depth")
    return section, worst_line(
        {name: value for name, value in section.items() if name not in ZEROS},
        **{name: [[section[name]]] for name in ZEROS},
    )


def test_the_worst_line_is_that_of_the_seated_plug_at_500_random_sections():
    rng = np.random.default_rng(5)
    for _ in range(500):
        section, law = some_section(rng)
        for start_depth in section["pocket_depth"] + rng.uniform(-1.5, 0.3, 3):
            assert law.at(start_depth)[0, 0] == pytest.approx(seated(section, start_depth), abs=1e-9)


def test_the_bend_is_where_the_seated_plug_begins_to_open_at_500_random_sections():
    rng, free = np.random.default_rng(6), 0
    for _ in range(500):
        section, law = some_section(rng)
        low = max(0.05, section["pocket_depth"] - 2)
        bend, before = law.bend(low, hair=HAIR)[0, 0], seated(section, low)
        if np.isinf(bend):
            free += 1
            assert seated(section, 50.0) <= before + HAIR + 1e-9
        else:
            assert bend >= low
            assert seated(section, bend - 1e-6) <= before + HAIR + 1e-9 < seated(section, bend + 1e-5)
    assert 50 < free < 400  # sections in which only thin strokes could stand are among them


settings = st.fixed_dictionaries(
    {
        "true_angle": st.floats(58.5, 61.5),
        "tip_flat": st.floats(0, 0.3),
        "wall_allowance": st.floats(-0.02, 0.06),
        "crest_loss": st.floats(0, 0.4),
        "host_zero_error": st.floats(-0.1, 0.1),
        "insert_zero_error": st.floats(-0.1, 0.1),
        "seat_shortfall": st.floats(0, 0.1),
        "outline_offset": st.floats(-0.05, 0.1),
        "pass_spacing": st.sampled_from([0.0, 0.2]),
    }
)


@given(settings, st.floats(0, 0.2))
def test_the_deepest_start_depth_within_a_limit_equals_a_scan(drawn, within):
    section = {**drawn, "pocket_depth": 4.5, "relief_depth": 3.0, "path_angle": 60.0}
    section |= {"stroke_half_width": np.array([0.4, 1.5, 6.0]), "land_half_width": np.array([0.5, 3.0, 9.0])}
    law = worst_line(
        {name: value for name, value in section.items() if name not in ZEROS},
        **{name: [[section[name]]] for name in ZEROS},
    )
    deepest = law.deepest(within)[0, 0]
    tried = np.linspace(2.5, 5.0, 501)[:, None]
    good = (seating.seat(start_depth=tried, **section).glue_line <= within + 1e-9).all(axis=-1)
    assert (np.diff(good.astype(int)) <= 0).all()  # once too deep, always too deep
    if not good.any():
        assert deepest < 2.5 + 1e-6
    else:
        npt.assert_allclose(np.clip(deepest, 2.5, 5.0), tried[good].max(), atol=0.005 + 1e-6)


def test_draws_are_answered_at_once():
    flats = np.array([[0.0], [0.1], [0.3]])
    section = {"pocket_depth": 5, "relief_depth": 3, "stroke_half_width": [6.0, 9.0], "land_half_width": 9.0}
    law = worst_line(section | {"path_angle": 90, "true_angle": 90, "tip_flat": flats})
    # each 0.1 mm of flat at 90 degrees sinks 0.1 mm, and 0.02 mm of line allow 0.02 mm more
    npt.assert_allclose(law.deepest(0.02)[:, 0], [5.02, 4.92, 4.72])


def test_no_start_depth_helps_where_a_wrong_angle_spreads_the_lines():
    section = {"pocket_depth": 5, "relief_depth": 3, "stroke_half_width": [0.5, 9.0], "land_half_width": 9.0}
    law = worst_line(section | {"path_angle": 60, "true_angle": 62, "tip_flat": 0.1})
    assert law.deepest(0.01)[0, 0] == -np.inf


def test_steps_equal_the_plain_maximum():
    rng = np.random.default_rng(7)
    level, ridge = rng.normal(size=(2, 20, 9))
    steps, lift = Steps.of(level, ridge, shape=(20, 9)), rng.normal(size=(20, 30))
    plain = np.minimum(lift[..., None] + level[:, None], ridge[:, None]).max(axis=-1)
    npt.assert_allclose(steps.asked(lift), plain, atol=1e-15)
    room = steps.room(lift)
    asked = steps.asked(np.where(np.isfinite(room), room, 50.0))
    assert (asked <= lift + 1e-12).all()
    beyond = steps.asked(np.where(np.isfinite(room), room + 1e-6, -50.0))
    assert (beyond[np.isfinite(room)] > lift[np.isfinite(room)]).all()


def test_steps_keep_no_stroke_that_another_one_always_outdoes():
    level, ridge = np.array([[0.1, 0.3, 0.2], [0.0, 0.4, 0.3]]), np.array([[0.5, 0.6, 0.9], [0.5, 0.6, 0.5]])
    steps = Steps.of(level, ridge, shape=(2, 3))
    assert steps.ridge.shape == (2, 2)  # the first stroke asks for less than the second, with a lower ridge, in both
    lifts = np.linspace(-1, 1, 41)
    plain = np.minimum(lifts[None, :, None] + level[:, None], ridge[:, None]).max(axis=2)
    npt.assert_array_equal(steps.asked(np.tile(lifts, (2, 1))), plain)
