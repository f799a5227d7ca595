"""
The virtual cut against the closed form, which knows no polygons: each is the other's test.

Bars have round ends and rings no ends at all, so that no corner is there that the closed form leaves out.
"""

import numpy as np
import pytest
import shapely
from cases import few_of

from inlaylab.artwork.cutting.virtual_cut import virtual_cut
from inlaylab.models.contacts import wall_contact
from inlaylab.models.seating import seat
from inlaylab.models.walls import path_depth

AGREE = 0.01  # [mm]
FAR = 60.0  # [mm] half-width of the open land around a piece


def bar(left: float, width: float, length: float = 30.0) -> shapely.Polygon:
    middle = left + width / 2
    return shapely.LineString([(middle, 0), (middle, length)]).buffer(width / 2, quad_segs=48)


def comb(widths, gaps):
    """Round-ended bars side by side, and each bar's section with either land beside it."""
    lefts = np.concatenate([[0], np.cumsum(np.add(widths[:-1], gaps))])
    lands = [FAR, *[gap / 2 for gap in gaps], FAR]
    halves = [FAR, *[width / 2 for width in widths], FAR]
    rows = []
    for i, half in enumerate(halves[1:-1]):
        left, right = lands[i], lands[i + 1]
        rows += [(half, right, left, halves[i + 2] if i + 1 < len(widths) else half)]
        rows += [(half, left, right, halves[i] if i > 0 else half)]
    shape = shapely.union_all([bar(*each) for each in zip(lefts, widths, strict=True)])
    return shape, dict(zip(SECTION, np.array(rows).T, strict=True))


SECTION = ("stroke_half_width", "land_half_width", "other_land_half_width", "other_stroke_half_width")


def both(shape, section, *, angle, true_angle, **settings):
    picture = virtual_cut(shape, bit_angle=angle, true_angle=true_angle, pixel=1.0, **settings)
    form = seat(**section, path_angle=angle, true_angle=true_angle, **settings)
    return picture, max(form.stand_off, end_walls(section, angle, true_angle, **settings)), form


def end_walls(section, angle, true_angle, *, tip_flat, outline_offset=0.0, pocket_depth, relief_depth, **settings):
    """Stand-off that the walls at the bars' ends ask for, which look at the open land."""
    widest = path_depth(half_width=section["stroke_half_width"], depth_cap=pocket_depth, path_angle=angle)
    level = wall_contact(
        stroke_depth=np.array([widest.min(), widest.max()]),
        land_depth=relief_depth,
        path_angle=angle,
        true_angle=true_angle,
        tip_flat=tip_flat,
        outline_offset=outline_offset,
    )
    return np.max(level) - settings.get("host_zero_error", 0) - settings.get("insert_zero_error", 0)


def random_settings(rng):
    pocket_depth = rng.uniform(2, 6)
    angle = float(rng.choice([30.0, 60.0, 90.0]))
    return {
        "angle": angle,
        "true_angle": angle + rng.uniform(-1.5, 1.5),
        "tip_flat": float(rng.choice([0.0, 0.05, 0.1, 0.2])),
        "start_depth": pocket_depth + rng.uniform(-1, 0.3),
        "pocket_depth": pocket_depth,
        "relief_depth": rng.uniform(1, 4),
        "host_zero_error": rng.normal(0, 0.06),
        "insert_zero_error": rng.normal(0, 0.06),
        "outline_offset": float(rng.choice([0.0, 0.0, 0.05, 0.1])),
    }


@pytest.mark.parametrize("seed", few_of(range(24), quick=4))
def test_combs_of_any_bars_rest_where_the_closed_form_says(seed):
    rng = np.random.default_rng(seed)
    bars = rng.integers(1, 4)
    shape, section = comb(rng.uniform(0.6, 9, bars), rng.uniform(1.0, 8, bars - 1))
    picture, stand_off, _ = both(shape, section, **random_settings(rng))
    assert picture.stand_off == pytest.approx(stand_off, abs=AGREE)


@pytest.mark.parametrize("seed", few_of(range(8)))
def test_rings_rest_where_the_closed_form_says(seed):
    rng = np.random.default_rng(100 + seed)
    settings = random_settings(rng)
    inner, width = rng.uniform(8, 14), rng.uniform(0.8, 8)
    shape = shapely.Point(3, 4).buffer(inner + width, quad_segs=200) - shapely.Point(3, 4).buffer(inner, quad_segs=200)
    section = {"stroke_half_width": [width / 2] * 2, "land_half_width": [FAR, inner]}
    picture, stand_off, _ = both(shape, section, **settings)
    assert picture.stand_off == pytest.approx(stand_off, abs=AGREE)


@pytest.mark.parametrize("angle", [30.0, 60.0, 90.0])
@pytest.mark.parametrize("half_angle", [2.0, 8.0, 30.0])
def test_the_branch_into_a_corner_lowers_the_tip_by_its_taper(angle, half_angle):
    # The model, section 4, trap b: h = -(t/(2T)) (1 + sin(beta)) where the half-width grows to full depth.
    flat, length = 0.1, 8 / np.tan(np.radians(half_angle))
    far = shapely.Point(length, 0).buffer(8 / np.cos(np.radians(half_angle)), quad_segs=64)
    drop = shapely.convex_hull(shapely.union(far.intersection(far), shapely.Point(0, 0)))
    depths = {"start_depth": 1.5, "pocket_depth": 2.0, "relief_depth": 2.0}
    picture = virtual_cut(drop, bit_angle=angle, tip_flat=flat, pixel=2.0, **depths)
    corner = shapely.get_coordinates(drop)
    ahead = corner[np.argsort(corner[:, 0])[1]]
    sine = np.sin(np.arctan2(abs(ahead[1]), ahead[0]))
    half = np.tan(np.radians(angle / 2))
    assert picture.stand_off == pytest.approx(-flat / (2 * half) * (1 + sine), abs=1e-3)
    assert picture.held_up_by == "crest"


@pytest.mark.long
@pytest.mark.parametrize("angle", [30.0, 60.0, 90.0, 120.0])
def test_a_wide_round_piece_sinks_until_its_walls_close(angle):
    # The model, section 3: h = -t/T for an outline without corners or thin strokes.
    depths = {"start_depth": 1.0, "pocket_depth": 2.0, "relief_depth": 1.0}
    disc = shapely.Point(0, 0).buffer(15, quad_segs=300)
    picture = virtual_cut(disc, bit_angle=angle, tip_flat=0.1, pixel=2.0, **depths)
    assert picture.stand_off == pytest.approx(-0.1 / np.tan(np.radians(angle / 2)), abs=1e-3)
    assert picture.held_up_by == "wall"
    assert picture.worst_glue_line < 1e-3


@pytest.mark.long
def test_the_contact_is_named_as_in_the_closed_form():
    named = set()
    for seed in range(16):
        rng = np.random.default_rng(1000 + seed)
        shape, section = comb(rng.uniform(1, 9, 2), rng.uniform(1.5, 8, 1))
        settings = random_settings(rng) | {"start_depth": 3.0, "pocket_depth": float(rng.choice([2.9, 3.5]))}
        picture, stand_off, form = both(shape, section, **settings)
        if stand_off > form.stand_off + AGREE:
            form = None  # held by the walls at the bars' ends
        named.add(picture.held_up_by)
        assert picture.held_up_by == (form.held_up_by if form else "wall")
    assert {"wall", "floor"} <= named


def test_the_worst_glue_line_is_the_closed_forms_widest():
    shape, section = comb([6.0, 1.0], [5.0])
    settings = {"angle": 60.0, "true_angle": 61.0, "tip_flat": 0.05, "pocket_depth": 4.0, "relief_depth": 3.0}
    picture, stand_off, form = both(shape, section, start_depth=3.5, **settings)
    widest = np.max(form.glue_line) + max(stand_off - form.stand_off, 0) * np.tan(np.radians(61 / 2))
    assert picture.worst_glue_line == pytest.approx(widest, abs=2e-3)
