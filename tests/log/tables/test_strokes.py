import pytest

from inlaylab.bench.coupons import Stroke
from inlaylab.errors import InputError, TableError
from inlaylab.log.tables.strokes import read_points, read_strokes


def test_strokes_and_points(tmp_path):
    path = tmp_path / "strokes.csv"
    path.write_text("stroke_width,land_width,unit,name\n0.1,0.2,in,stem\n3,4,mm,\n")
    assert [(s.stroke_width, s.land_width) for s in read_strokes(path)] == [(2.54, 5.08), (3.0, 4.0)]
    assert isinstance(read_strokes(path)[0], Stroke)
    path.write_text("stroke_width,land_width,unit\n")
    with pytest.raises(TableError, match="there is no stroke"):
        read_strokes(path)
    path.write_text("stroke_width,land_width\n1,2\n")
    with pytest.raises(TableError, match="unit is missing"):
        read_strokes(path)
    with pytest.raises(InputError, match="no such file"):
        read_strokes(tmp_path / "none.csv")
    path.write_text("x,y,unit\n-1,2.5,mm\n1,0,in\n")
    assert read_points(path) == ((-1.0, 2.5), (25.4, 0.0))
