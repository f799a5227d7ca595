"""``read-picture`` through the command line: what is shown, what is saved, and nothing without being asked."""

import io
import json

import pytest
from PIL import Image
from rendered_coupon import Scene, render

from inlaylab.artwork.sheets.coupon import design_coupon
from inlaylab.bench.cuts import Cut
from inlaylab.command_line import main
from inlaylab.log.store import Log


@pytest.fixture(scope="module")
def plan():
    return design_coupon(name="seen", path_angle=60, pocket_depth=4.2, relief_depth=1.6, length=90, width=70, border=9)


@pytest.fixture(scope="module")
def scan(plan, tmp_path_factory):
    """A rendered scan whose file tells who made it."""
    path = tmp_path_factory.mktemp("scan") / "face.jpg"
    scene = Scene(host="tan", insert="pale", line=0.06, seed=3)
    image = Image.open(io.BytesIO(render(plan.layout, scene).file()))
    camera = Image.Exif()
    camera[0x010F] = "made by nobody"
    image.save(path, quality=95, exif=camera)
    return path


@pytest.fixture
def log(plan, sample_log):
    """The sample shop's log with the coupon, and a cut of it without readings."""
    with Log.open(sample_log) as log:
        pair, bit = log.shop().pairs[0].pair, log.shop().bits[0].bit
        depths = {"start_depth": 3.6, "pocket_depth": 4.2, "relief_depth": 1.6, "unit": "mm"}
        log.add([plan.coupon, Cut(cut="seen 1", bit=bit, pair=pair, coupon="seen", **depths)])
    return sample_log


@pytest.mark.long
def test_saving_keeps_readings_and_a_small_copy_as_one_change(capsys, log, scan):
    words = ["read-picture", str(scan), "--log", str(log), "--cut", "seen 1", "--json"]
    assert main([*words, "--save"]) == 0
    answer = json.loads(capsys.readouterr().out)
    with Log.open(log) as opened:
        shop = opened.shop()
    readings, cut = shop.readings_of("seen 1"), shop.cut("seen 1")
    assert answer["saved"] == len(readings) > 8 and answer["picture"] == cut.picture
    lines = [r for r in readings if r.kind == "glue_line"]
    assert lines and all(r.method == "picture" and r.sd > 0 for r in lines)
    small = (log.parent / cut.picture).read_bytes()
    assert len(small) < 1_000_000 and b"made by nobody" in scan.read_bytes() and b"made by nobody" not in small
    assert max(Image.open(io.BytesIO(small)).size) <= 1600
    with Log.open(log) as opened:
        opened.undo()
        assert not opened.shop().readings_of("seen 1") and not opened.shop().cut("seen 1").picture


def test_a_refused_picture_saves_nothing(capsys, log, tmp_path):
    (tmp_path / "face.jpg").write_bytes(b"no picture")
    words = ["read-picture", str(tmp_path / "face.jpg"), "--log", str(log), "--cut", "seen 1", "--save", "--json"]
    assert main(words) == 2
    shown = capsys.readouterr()
    assert shown.out == "" and "face.jpg" in shown.err
    with Log.open(log) as opened:
        assert not opened.shop().readings_of("seen 1")
    assert not (log.parent / "pictures").exists()


@pytest.mark.parametrize("words", [["--save"], ["--save", "--cut", "seen 1"], []])
def test_what_is_missing_is_said(capsys, scan, words):
    assert main(["read-picture", str(scan), *words]) == 2
    assert "--log LOG" in capsys.readouterr().err
