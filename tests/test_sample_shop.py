"""The sample shop: made again byte for byte, labelled as invented, and with the mistakes that its README admits."""

import importlib.util
import re
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent


@pytest.fixture(scope="module")
def maker():
    spec = importlib.util.spec_from_file_location("make_sample_shop", HERE / "make_sample_shop.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_script_makes_the_same_files(maker, sample_tables, tmp_path):
    maker.write(tmp_path)
    made = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert made == {path.name: path.read_bytes() for path in sample_tables.iterdir()}


def test_another_seed_makes_another_shop(maker, tmp_path, sample_tables):
    maker.write(tmp_path, seed=1)
    assert (tmp_path / "readings.csv").read_bytes() != (sample_tables / "readings.csv").read_bytes()


def test_it_is_the_shop_that_was_asked_for(maker):
    tables = {name: rows for name, (_, rows) in maker.tables().items()}
    assert len(tables["cuts.csv"]) == 26 and len(tables["bits.csv"]) == 3 and len(tables["pairs.csv"]) == 4
    assert {row[-1] for row in tables["cuts.csv"]} == {"mm", "in"}
    assert {row[14].split(";")[0] for row in tables["cuts.csv"]} == {"Mara", "Theo"}
    assert sum(row[2] == "ninety" for row in tables["cuts.csv"]) <= 3, "one bit is new"


def test_the_readme_says_invented_and_lists_the_mistakes_and_rows(maker, root):
    text = (root / "data" / "README.md").read_text(encoding="utf-8")
    assert "sample_shop/ (invented)" in text
    for cut, _, station, _ in maker.MISTAKES:
        assert re.search(rf"\| {cut} \|.*{station}", text)
    for name, (_, rows) in maker.tables().items():
        assert f"| `{name}` | {len(rows)} |" in text


def test_a_perfect_bit_seats_level_and_closes_every_line(maker):
    # The model's plainest case: no flat, no angle error, no zero error, no allowance: level 0 and every line 0.
    maker.BITS["perfect"] = (90.0, 90.0, 0.0, None, 10.0, "")
    maker.PAIRS["perfect"] = ("stone", "stone", 0.0)
    maker.CREST_LOSS["stone"] = 0.0
    cut = dict(bit="perfect", pair="perfect", start=3.0, pocket=4.0, relief=2.0, path_angle=0.0, passes=0.0)
    truth = dict(host_zero=0.0, insert_zero=0.0, shortfall=0.0)
    level, lines = maker.rest(cut, [(0.5, 1.0), (2.0, 0.7), (6.0, 5.0)], truth)
    assert level == pytest.approx(0.0, abs=1e-12)
    assert lines == pytest.approx([0.0, 0.0, 0.0], abs=1e-12)


def test_a_flat_of_a_tenth_sinks_the_plug_until_the_walls_close(maker):
    # Worked case: 0.10 mm of flat on 60 degrees: 0.10 / tan(30 degrees) = 0.173 mm of sink.
    maker.BITS["flat"] = (60.0, 60.0, 0.10, None, 10.0, "")
    maker.PAIRS["perfect"] = ("stone", "stone", 0.0)
    maker.CREST_LOSS["stone"] = 5.0
    cut = dict(bit="flat", pair="perfect", start=4.0, pocket=5.0, relief=3.0, path_angle=0.0, passes=0.0)
    level, lines = maker.rest(cut, [(4.0, 4.0)], dict(host_zero=0.0, insert_zero=0.0, shortfall=0.0))
    assert level == pytest.approx(-0.1732, abs=1e-4)
    assert lines == pytest.approx([0.0], abs=1e-12)
