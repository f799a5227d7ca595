"""
The kit's defaults, examples and data are a scenario of its own.

Two sets of depths are facts of the trade, common practice without a source: 0.150, 0.100 and 0.050 in for pocket, start
and relief (3.8, 2.5 and 1.3 mm when rounded), and 0.625, 0.400, 0.200 and 0.025 in for levelling. They may stand in
tests as check values that say so, and nowhere that a maker reads or that a panel opens with.
"""

import csv
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
LENGTHS = re.compile(
    r"(?<![\d./])0?\.(?:150?|10{0,2}|050?|625|40{0,2}|20{0,2}|025) ?in\b"
    r"|(?<![\d.])(?:3\.81?|1\.27|1\.3)\s?mm\b|(?<![\d.])(?:150|100|50|625|400|200|25)\s?thou\b"
)
DEPTHS = re.compile(r"(?:start|pocket|relief)_depth[\"']?\s*[:=]\s*(?:3\.81?|2\.54?|1\.27|1\.3)\b(?!\.?\d)")
OBJECTS = re.compile(r"\bbox(?:es)? lid|\bcoasters?\b|\bdoor sign|signs, boxes", re.IGNORECASE)
READ = [
    *sorted((ROOT / "inlaylab").rglob("*.py")),
    *sorted((ROOT / "notebooks").glob("*.ipynb")),
    *sorted((ROOT / "data").rglob("*.md")),
    *sorted((ROOT / "data").rglob("*.csv")),
    ROOT / "README.md",
]


@pytest.mark.parametrize("path", READ, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_no_depth_of_the_trade_sets_and_no_other_objects(path):
    text = path.read_text(encoding="utf-8")
    for pattern in (LENGTHS, DEPTHS, OBJECTS):
        assert not pattern.search(text), pattern.search(text)[0]


def test_the_patterns_find_what_they_are_for():
    for text in ("0.150 in", "0.1in", ".05 in", "3.8 mm", "0.625in", "50 thou"):
        assert LENGTHS.search(text), text
    for text in ("0.170 in", "4.2 mm", "13.8 mm", "0.0150 in", "1.35 mm", "0.15 mm", "5/32 in"):
        assert not LENGTHS.search(text), text
    assert (
        DEPTHS.search('"pocket_depth": 3.8')
        and DEPTHS.search("start_depth=2.5")
        and not DEPTHS.search("start_depth=2.55")
    )


def test_the_sample_shop_has_depths_and_pairs_of_its_own():
    with (ROOT / "data" / "sample_shop" / "cuts.csv").open(encoding="utf-8") as file:
        cuts = list(csv.DictReader(file))
    for cut in cuts:
        assert float(cut["pocket_depth"]) not in (0.15, 3.8, 3.81) and float(cut["relief_depth"]) not in (
            0.05,
            1.3,
            1.27,
        )
    with (ROOT / "data" / "sample_shop" / "pairs.csv").open(encoding="utf-8") as file:
        for pair in csv.DictReader(file):
            assert not ("oak" in f"{pair['host']} {pair['insert']}" and "walnut" in f"{pair['host']} {pair['insert']}")


def test_panels_and_commands_open_with_depths_of_their_own(tmp_path, monkeypatch):
    from inlaylab.commands import advise, coupon, virtual_cut
    from inlaylab.panels.around_the_cut.cutting import (
        levelling_reckoning,
        sanding_reckoning,
        tram_reckoning,
        workload_reckoning,
    )
    from inlaylab.panels.around_the_cut.woods import glue_reckoning

    for make in (levelling_reckoning, sanding_reckoning, tram_reckoning, workload_reckoning, glue_reckoning):
        for unit in ("mm", "in", "thou"):
            for name, entry in make(unit=unit).form.entries.items():
                assert not LENGTHS.search(str(entry.typed)), (name, entry.typed)
    for module in (advise, coupon, virtual_cut):
        for command in module.COMMANDS:
            assert not LENGTHS.search(" ".join(command.examples)), command.name
