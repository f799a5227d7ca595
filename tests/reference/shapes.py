"""Shapes that many tests of the artwork room use: plain ones, ugly ones, and random ones for hypothesis."""

import numpy as np
import shapely
from hypothesis import strategies as st

UGLY = {  # each is to be mended, and then to behave like any artwork
    "bow tie": "POLYGON ((0 0, 10 8, 10 0, 0 8, 0 0))",
    "shared edge": "MULTIPOLYGON (((0 0, 5 0, 5 6, 0 6, 0 0)), ((5 0, 12 0, 12 6, 5 6, 5 0)))",
    "hair of a gap": "MULTIPOLYGON (((0 0, 5 0, 5 6, 0 6, 0 0)), ((5.000003 0, 12 0, 12 6, 5.000003 6, 5.000003 0)))",
    "spike": "POLYGON ((0 0, 10 0, 10 5, 20 5, 10 5, 10 10, 0 10, 0 0))",
    "T-junction": "MULTIPOLYGON (((0 0, 10 0, 10 5, 0 5, 0 0)), ((3 5, 6 5, 6 12, 3 12, 3 5)))",
    "hole on a side": "POLYGON ((0 0, 10 0, 10 10, 0 10, 0 0), (0 3, 0 7, 5 7, 5 3, 0 3))",
    "hole touching a side": "POLYGON ((0 0, 10 0, 10 10, 0 10, 0 0), (0 5, 4 3, 4 7, 0 5))",
    "needle": "POLYGON ((0 0, 20 0.02, 0 0.04, 0 0))",
    "drawn twice": "MULTIPOLYGON (((0 0, 5 0, 5 6, 0 6, 0 0)), ((0 0, 5 0, 5 6, 0 6, 0 0)))",
    "touching corners": "MULTIPOLYGON (((0 0, 5 0, 5 5, 0 5, 0 0)), ((5 5, 9 5, 9 9, 5 9, 5 5)))",
    "corner twice": "POLYGON ((0 0, 8 0, 8 0, 8 5, 0 5, 0 0))",
    "straight corners": "POLYGON ((0 0, 4 0, 8 0, 8 5, 4 5, 0 5, 0 2, 0 0))",
}


def star(points=5, outer=10.0, inner=4.0):
    turn = np.arange(2 * points) * np.pi / points
    radius = np.where(np.arange(2 * points) % 2 == 0, outer, inner)
    return shapely.Polygon(np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=1))


def letters(text="Rye & Oak", size=16.0):
    """Outlines of a word in the font that matplotlib carries, with their curves flattened."""
    from matplotlib.textpath import TextPath

    shape = shapely.Polygon()
    for ring in TextPath((0, 0), text, size=size).to_polygons(closed_only=True):
        shape = shape.symmetric_difference(shapely.make_valid(shapely.Polygon(ring)))
    return shape


def ring(radius, corners):
    turn = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    reach = radius(turn)
    return shapely.Polygon(np.stack([reach * np.cos(turn), reach * np.sin(turn)], axis=1))


def emblem(corners=14_000):
    """A round emblem of 200 mm: rims, a nine-leaved band and twelve flowers, about so many corners in all."""
    share = corners / 14_140
    count = [max(40, int(n * share)) for n in (4000, 3000, 3500, 2200, 120)]
    shape = ring(lambda a: 100 - 2 * np.cos(40 * a) ** 2, count[0]) - ring(
        lambda a: 94 + 1.5 * np.cos(24 * a), count[1]
    )
    shape |= ring(lambda a: 60 + 25 * np.cos(9 * a), count[2]) - ring(lambda a: 55 + 25 * np.cos(9 * a), count[3])
    for k in range(12):
        flower = ring(lambda a, k=k: 5 + 1.5 * np.cos(5 * a + k), count[4])
        shape |= shapely.affinity.translate(flower, 30 * np.cos(k * np.pi / 6), 30 * np.sin(k * np.pi / 6))
    return shape


@st.composite
def blobs(draw):
    """Random star-shaped outlines, sometimes with a hole, sometimes beside a box: sharp, blunt and hollow corners."""
    count = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(2.0, 9.0), min_size=count, max_size=count))
    turn = (np.arange(count) + draw(st.floats(0, 0.9))) * 2 * np.pi / count
    shape = shapely.Polygon(np.stack([radii * np.cos(turn), radii * np.sin(turn)], axis=1))
    if draw(st.booleans()):
        shape -= shapely.affinity.scale(shape, 0.4, 0.4, origin=(0, 0))
    if draw(st.booleans()):
        left, wide, tall = draw(st.floats(-3, 11)), draw(st.floats(0.8, 6)), draw(st.floats(0.8, 9))
        shape |= shapely.box(left, 2.0, left + wide, 2.0 + tall)
    return shape
