"""The long way round: many pictures, and a start depth that rests on pictures instead of a loupe."""

from dataclasses import replace

import numpy as np
import pytest
import simulated_shop
from hypothesis import Phase, given, settings
from hypothesis import strategies as some
from rendered_coupon import Scene, render

from inlaylab.artwork.sheets.coupon import design_coupon
from inlaylab.bench.layouts import read_layout
from inlaylab.fitting.advice.start_depth import advise
from inlaylab.fitting.fit import fit_shop
from inlaylab.fitting.predict.likely_question import coupon_strokes
from inlaylab.fitting.predict.question import Question
from inlaylab.fitting.sampling.chains import Recipe
from inlaylab.pictures.opening import decode
from inlaylab.pictures.read import read_picture
from inlaylab.services.picture_readings import readings_of

pytestmark = pytest.mark.long
SHORT = Recipe(chains=8, tuning=200, kept=200, longest=1200)


@settings(max_examples=5, deadline=None, derandomize=True, phases=[Phase.generate])
@given(
    turn=some.floats(-180, 180),
    perspective=some.floats(0, 0.05),
    blur=some.floats(0.8, 1.6),
    glue=some.integers(15, 45),
    host=some.sampled_from(["tan", "brown", "red"]),
    seed=some.integers(0, 99),
)
def test_dark_lines_of_whole_pictures_are_read(layout, turn, perspective, blur, glue, host, seed):
    rng = np.random.default_rng(seed)
    lines = {place.station: float(rng.uniform(0.01, 0.12)) for place in layout.places}
    scene = Scene(
        host=host,
        insert="pale",
        lines=lines,
        turn=turn,
        perspective=perspective,
        blur=blur,
        glue=(glue, glue - 3, glue - 6),
        seed=seed,
    )
    rendered = render(layout, scene)
    reading = read_picture(decode(rendered.file()), layout)
    errors = np.array([one.glue_line - lines[one.station] for one in reading.stations if one.glue_line is not None])
    assert len(errors) >= 6
    assert np.abs(errors).mean() < 0.012
    assert abs(errors.mean()) < 0.010


def picture_of(simulator, n, layout):
    """Picture readings of cut number n: its true gaps with their local openings, rendered and read."""
    shop, truth, rng = simulator.shop, simulator.truth, simulator.rng
    cut = shop.cuts[n]
    section, rest = simulator.section(n)
    level, lines = float(np.ravel(rest.seat_level)[0]), {}
    for station in shop.coupon(cut.coupon).stations:
        if station.kind == "bar":
            gap = simulator.gap(section, level, station.stroke_width / 2, station.land_width / 2)
            lines[station.station] = max(gap + rng.normal(0, truth["opening_sd"]), 0.0)
    narrowing = cut.sanded_off * np.tan(np.radians(30))
    scene = Scene(host="tan", insert="pale", lines=lines, shrink=narrowing, turn=float(rng.uniform(-8, 8)), seed=n + 1)
    reading = read_picture(decode(render(layout, scene).file()), layout)
    return [one for one in readings_of(reading, cut.cut) if one.kind == "glue_line"]


def test_pictures_and_loupe_give_the_same_start_depth():
    """Either answer lies within the other's 5 to 95 %; the two logs differ only in how glue lines were read."""
    plan = design_coupon(name="c1", path_angle=60, pocket_depth=4.0, relief_depth=1.5, length=90, width=70, border=9)
    layout = read_layout(plan.coupon.layout)
    design = simulated_shop.small_design(cuts=5, pairs=1)
    design = replace(
        design,
        coupons=(plan.coupon,),
        cuts=tuple(replace(cut, coupon="c1") for cut in design.cuts),
    )
    rng = np.random.default_rng(11)
    simulator = simulated_shop.Simulator(design, simulated_shop.planted(design, rng), rng)
    by_loupe = simulator.whole()
    others = [reading for reading in by_loupe.readings if reading.kind != "glue_line"]
    pictured = [reading for n in range(len(design.cuts)) for reading in picture_of(simulator, n, layout)]
    assert len(pictured) > 20
    by_picture = by_loupe.with_cuts(by_loupe.cuts, [*others, *pictured])
    strokes = coupon_strokes(by_loupe, "c1")
    question = Question(
        bit="bit1", pair="pair1", strokes=strokes, pocket_depth=4.0, relief_depth=1.5, within=0.1, chance=0.9
    )
    loupe, picture = (
        advise(fit_shop(shop, recipe=SHORT), shop, question, draws=4800) for shop in (by_loupe, by_picture)
    )
    assert loupe.low <= picture.start_depth <= loupe.high
    assert picture.low <= loupe.start_depth <= picture.high
    assert loupe.high - loupe.low < 0.4 and picture.high - picture.low < 0.4  # neither range is so wide that all fits
