"""``virtual-cut``: every option reaches the cut, JSON has its keys, a fault is one sentence and exit status 2."""

import json

import numpy as np
import pytest

from inlaylab.artwork.cutting.virtual_cut import virtual_cut
from inlaylab.command_line import main

KEYS = {
    "stand_off", "held_up_by", "contact_at", "fill_rate", "filled_area", "artwork_area", "open_area", "worst_glue_line",
    "strokes_lost_area", "seconds", "at",
}  # fmt: skip
DEPTHS = ["--bit-angle", "60", "--start-depth", "3mm", "--pocket-depth", "3.6mm", "--relief-depth", "0.1in"]


@pytest.fixture
def answer(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bar.wkt").write_text("POLYGON ((0 0, 20 0, 20 6, 0 6, 0 0))")
    (tmp_path / "points.csv").write_text("x,y,unit\n10,3,mm\n0.1,0.05,in\n")

    def run(*words):
        status = main(["virtual-cut", *words])
        out, error = capsys.readouterr()
        return status, out, error

    return run


def test_every_option_reaches_the_cut(answer):
    import shapely

    rough = {
        "--true-angle": 60.7, "--tip-flat": 0.1, "--host-zero-error": -0.04, "--insert-zero-error": 0.03,
        "--sanded-off": 0.3, "--outline-offset": 0.05, "--pixel": 0.2,
    }  # fmt: skip
    words = [word for name, v in rough.items() for word in (name, f"{v}" if name == "--true-angle" else f"{v}mm")]
    status, out, _ = answer("bar.wkt", *DEPTHS, *words, "--at", "points.csv", "--json")
    record = json.loads(out)
    wanted = virtual_cut(
        shapely.box(0, 0, 20, 6),
        bit_angle=60,
        start_depth=3,
        pocket_depth=3.6,
        relief_depth=2.54,
        at=[(10, 3), (2.54, 1.27)],
        **{name.strip("-").replace("-", "_"): value for name, value in rough.items()},
    ).to_json()
    assert status == 0 and set(record) >= KEYS
    for key in KEYS - {"seconds", "at", "held_up_by"}:
        np.testing.assert_allclose(record[key], wanted[key], rtol=1e-9)
    assert record["held_up_by"] == wanted["held_up_by"]
    assert [set(point) for point in record["at"]] == [{"x", "y", "pocket", "plug"}] * 2
    assert record["at"][1]["pocket"] == pytest.approx(wanted["at"][1]["pocket"])


def test_the_text_tells_what_holds_the_plug_up_and_what_was_mended(answer, tmp_path):
    (tmp_path / "tie.wkt").write_text("POLYGON ((0 0, 20 16, 20 0, 0 16, 0 0))")
    status, out, _ = answer("tie.wkt", *DEPTHS, "--tip-flat", "4thou", "--unit", "in")
    assert status == 0
    assert "Fixed in tie.wkt" in out and "held up by:" in out and " in " in out and "fills" in out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["missing.svg", *DEPTHS], "cannot be opened"),
        (["bar.wkt", *DEPTHS, "--pixel", "0.001mm"], "pixel is out of range"),
        (["bar.wkt", *DEPTHS, "--at", "missing.csv"], "no such file"),
        (["bar.wkt", *DEPTHS, "--width", "40mm"], "own size"),
        (["bar.wkt", *DEPTHS, "--drawing-unit", "mm"], "only a DXF"),
        (["bar.wkt", *DEPTHS, "--outline-offset", "-4mm"], "leaves nothing"),
    ],
)
def test_a_fault_is_one_sentence_and_status_two(answer, words, told):
    status, out, error = answer(*words)
    assert status == 2 and out == "" and told in error and error.count("\n") == 1


@pytest.mark.parametrize("length", ["3", "-1mm", "nan mm", "1e9mm"])
def test_a_depth_without_unit_or_sense_is_refused(answer, capsys, length):
    with pytest.raises(SystemExit) as left:
        answer("bar.wkt", *DEPTHS, "--tip-flat", length)
    assert left.value.code == 2
    assert "--tip-flat" in capsys.readouterr().err
