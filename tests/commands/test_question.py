"""A question on the command line becomes a question to the fit, or is refused with what is allowed."""

import pytest

from inlaylab.bench.habits import Habits
from inlaylab.command_line import read
from inlaylab.commands import question
from inlaylab.errors import InputError, TableError
from inlaylab.log.tables.import_export import read_folder

WORDS = ("advise", "shop.inlay", "--bit", "sixty", "--pair", "ash-walnut", "--within", "4thou")


@pytest.fixture(scope="module")
def shop(root):
    return read_folder(root / "data" / "sample_shop")


@pytest.fixture
def strokes(tmp_path):
    path = tmp_path / "strokes.csv"
    path.write_text("stroke_width,land_width,unit\n0.25,0.1,in\n3,2.5,mm\n")
    return path


def ask(shop, *words):
    return question.ask(read([*WORDS, *map(str, words)]), shop)


def test_lengths_of_every_unit_become_millimetres(shop, strokes):
    asked = ask(shop, "--strokes", strokes, "--pocket-depth", "5/32in", "--relief-depth", "1.5mm", "--chance", "95%")
    assert (asked.bit, asked.pair, asked.chance) == ("sixty", "ash-walnut", 0.95)
    assert asked.pocket_depth == pytest.approx(3.96875) and asked.within == pytest.approx(0.1016)
    assert [stroke.stroke_width for stroke in asked.strokes] == pytest.approx([6.35, 3.0])
    assert (asked.between, asked.path_angle_deg, asked.outline_offset, asked.pass_spacing) == (None, None, 0.0, 0.0)


def test_every_setting_reaches_the_question(shop, strokes):
    words = [
        "--pocket-depth",
        "4mm",
        "--relief-depth",
        "1.5mm",
        "--between",
        "3mm",
        "0.16in",
        "--path-angle-deg",
        "60.5",
    ]
    words += ["--outline-offset", "2thou", "--pass-spacing", "0.2mm", "--coupon", "inch ladder"]
    asked = ask(shop, "--strokes", strokes, *words)
    assert asked.between == pytest.approx((3.0, 4.064)) and asked.path_angle_deg == 60.5
    assert asked.outline_offset == pytest.approx(0.0508) and asked.pass_spacing == 0.2 and asked.coupon == "inch ladder"


def test_the_logs_habits_stand_in_for_depths(shop, strokes):
    import dataclasses

    with pytest.raises(InputError, match="--pocket-depth is missing"):
        ask(shop, "--strokes", strokes)
    stated = dataclasses.replace(shop, habits=Habits(pocket_depth=4.2, relief_depth=1.4))
    asked = ask(stated, "--strokes", strokes)
    assert (asked.pocket_depth, asked.relief_depth) == (4.2, 1.4)


@pytest.mark.parametrize(
    "option, name, said",
    [("--bit", "fifty", "sixty, thirty, ninety"), ("--pair", "elm", "walnut-maple"), ("--coupon", "c", "ladder")],
)
def test_a_name_that_is_not_in_the_log_is_refused_with_those_that_are(shop, strokes, option, name, said):
    words = ["--strokes", strokes, "--pocket-depth", "4mm", "--relief-depth", "1mm", option, name]
    with pytest.raises(InputError, match=f'{option}: "{name}"; allowed: .*{said}'):
        ask(shop, *words)


def test_a_table_of_strokes_that_cannot_be_is_refused_with_its_place(shop, tmp_path):
    path = tmp_path / "strokes.csv"
    path.write_text("stroke_width,land_width,unit\n3,2,mm\n-3,2,mm\n")
    with pytest.raises(TableError, match=r"strokes\.csv, row 3, column stroke_width"):
        ask(shop, "--strokes", path, "--pocket-depth", "4mm", "--relief-depth", "1mm")


def test_the_shallower_depth_comes_first(shop, strokes):
    with pytest.raises(InputError, match="the shallower first"):
        ask(shop, "--strokes", strokes, "--pocket-depth", "4mm", "--relief-depth", "1mm", "--between", "4mm", "3mm")


def test_findings_take_a_whole_question_or_none(shop, strokes):
    assert question.asked(read(["findings", "shop.inlay", "--out", "f.html"]), shop) is None
    with pytest.raises(InputError, match="only a part of a question; allowed: --pair"):
        question.asked(read(["findings", "shop.inlay", "--out", "f.html", "--bit", "sixty"]), shop)
