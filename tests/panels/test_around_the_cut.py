"""Notebook 6's panel: every page answers, in both units the same, and says its sources."""

import re

import pytest

from inlaylab.handbook import cautions
from inlaylab.panels.around_the_cut.cutting import levelling_reckoning, tram_reckoning
from inlaylab.panels.around_the_cut.state import read_temperature
from inlaylab.panels.around_the_cut.view import AroundState, AroundTheCut
from inlaylab.panels.around_the_cut.woods import glue_reckoning, moisture_reckoning, wood_lines


@pytest.fixture
def panel(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return AroundTheCut()


@pytest.mark.long
def test_every_page_answers_at_once_and_after_a_change_of_unit(panel):
    for unit in ("mm", "in", "thou", "mm"):
        panel.unit.value = unit
        for name, page in panel.pages.items():
            assert page.reckoning.result is not None, f"{name}: {page.answer.text}"
            assert page.line.error is None


def test_a_change_of_unit_changes_no_answer(panel):
    def stack():
        return panel.pages["levelling"].reckoning.result.drawn

    metric = stack()
    panel.unit.value = "in"
    assert stack().left_proud == pytest.approx(metric.left_proud, abs=1e-9)
    assert stack().passes == pytest.approx(metric.passes, abs=1e-9)


def test_a_bad_entry_leaves_the_page_and_says_why(panel):
    page = panel.pages["levelling"]
    page.fields["cut_depth"].box.value = "a lot"
    assert "✗" in page.fields["cut_depth"].beside.value
    assert "Please fix" in page.answer.text
    page.fields["cut_depth"].box.value = "6.4 mm"
    assert "left proud" in page.answer.text


def test_levelling_says_before_the_cut_when_a_pass_would_reach_the_host():
    # Common practice, no source: 0.625 in up, 0.400 in of air, 0.200 in down in passes of 0.050 in leaves 0.025 in.
    reckoning = levelling_reckoning(unit="in")
    depths = {
        "retract": "0.625",
        "cut_start": "0.4",
        "cut_depth": "0.2",
        "pass_depth": "0.05",
        "insert_thickness": "0.3",
    }
    for name, text in {**depths, "start_depth": "0.1", "relief_depth": "0.05"}.items():
        reckoning.form[name].typed = f"{text} in"
    assert reckoning.result.drawn.left_proud == pytest.approx(0.025 * 25.4)
    assert reckoning.result.warning == ""
    reckoning.form["cut_depth"].typed = "0.26 in"
    assert reckoning.result.warning == "Pass 5 would reach the host's face: do not run it."
    reckoning.form["cut_depth"].typed = "0.225 in"
    assert reckoning.result.warning.startswith("Pass 5 would reach")
    reckoning.form["cut_depth"].typed = "0.223 in"
    assert "if the zero is off as stated" in reckoning.result.warning


def test_levelling_opens_without_a_warning():
    assert levelling_reckoning(unit="mm").result.warning == ""


def test_air_outside_the_handbooks_table_is_said():
    reckoning = moisture_reckoning(unit="mm")
    assert reckoning.result.warning == ""
    reckoning.form["damp"].typed = "97"
    assert "97% lies outside the handbook's table" in reckoning.result.warning
    assert "meant for 6 to 14%" in " ".join(reckoning.result.lines)
    reckoning.form["damp"].typed, reckoning.form["warm"].typed = "65", "-10 °C"
    assert reckoning.result.warning.startswith("-10 °C lies outside")


def test_moisture_names_its_sources_and_what_is_missing():
    reckoning = moisture_reckoning(unit="mm")
    told = "\n".join(reckoning.result.lines)
    assert "Wood Handbook: Wood as an Engineering Material, FPL-GTR-190, 2010, Table 13-5" in told
    assert "1 to 2 points" in told
    reckoning.form["insert"].typed = "garden plum"
    assert "nothing is published here" in "\n".join(reckoning.result.lines)
    assert "nobody can tell how the woods move" in reckoning.result.warning
    reckoning.form["insert"].typed = "oak"
    assert "fits several woods" in reckoning.said


def test_one_wood_laid_with_its_own_grain_does_not_move_and_crosswise_it_does():
    reckoning = moisture_reckoning(unit="mm", host="black cherry", insert="black cherry")
    growths = reckoning.result.drawn.growths
    assert max(abs(g).max() for g in growths.values()) == pytest.approx(0, abs=1e-12)
    reckoning.form["laid"].typed = "across the host's grain"
    assert min(abs(g).max() for g in reckoning.result.drawn.growths.values()) > 0.1


def test_values_from_memory_are_never_shown_with_a_source():
    for line in wood_lines("maple red"):
        if "from memory" in line:
            assert "Handbook" not in line.partition("(from memory")[2]
    assert any("from memory, not looked up" in line for line in wood_lines("maple red"))


def test_glue_quotes_its_pressure_with_the_basis_and_refuses_walls_that_meet():
    reckoning = glue_reckoning(unit="mm")
    assert "from memory" in reckoning.result.lines[-2] and "data sheet" in reckoning.result.lines[-2]
    assert "Wood Doctor" in reckoning.result.lines[-1]
    reckoning.form["outline"].typed = "5000 mm"
    assert "walls that long would meet" in reckoning.said


def test_clamping_force_of_the_quoted_pressure():
    reckoning = glue_reckoning(unit="mm")
    reckoning.form["length"].typed, reckoning.form["width"].typed = "100 mm", "100 mm"
    newtons = [float(n) for n in re.findall(r"(\d+) N", reckoning.result.lines[2])]
    assert newtons[:2] == pytest.approx([7000, 17000])  # 700 and 1700 kPa on 0.01 m2


def test_tram_mirrors_across_the_worse_lean():
    reckoning = tram_reckoning(unit="mm")
    assert "a line along x, across the worse lean" in reckoning.result.lines[1]
    reckoning.form["along_x"].typed = "-1 mm"
    assert "a line along y, across the worse lean" in reckoning.result.lines[1]


def test_every_caution_in_force_stands_once_in_full_and_names_who_says_so(panel):
    told = panel.tabs.children[-1].text
    for caution in cautions.cautions():
        if caution.in_force:
            assert told.count(str(caution)) == 1
    assert cautions.DEFER in told
    assert "vacated" not in told


def test_sensitising_woods_are_named_where_they_are_used():
    reckoning = moisture_reckoning(unit="mm", host="wenge", insert="African padauk")
    assert any("padauk" in wood.casefold() for wood in reckoning.result.woods)


@pytest.mark.parametrize(("text", "celsius"), [("20", 20), ("68 F", 20), ("68°F", 20), ("20 °C", 20), ("-4F", -20)])
def test_temperatures_in_either_scale(text, celsius):
    assert read_temperature(text) == pytest.approx(celsius)


@pytest.mark.parametrize("text", ["hot", "200", "200 F"])
def test_temperatures_that_are_none_are_refused(text):
    with pytest.raises(ValueError, match=r"temperature|number"):
        read_temperature(text)


def test_a_wood_that_is_not_listed_is_told_by_its_shrinkage(panel):
    page = panel.pages["moisture"]
    page.fields["host"].box.value = "Gnarlwood of the lower valley"
    assert "type its tangential shrinkage" in page.answer.text and "how the woods move" in page.warning.text
    page.fields["host_shrinkage"].box.value = "7.8"
    # from the definition: linear below 30 %, referred to the size at 10 %, so 1 / (3000 / 7.8 - 20)
    assert "0.00274 worked out" in page.answer.text and "7.8% that you typed" in page.answer.text
    assert not page.warning.text
    page.fields["host_shrinkage"].box.value = "a lot"
    assert "Please fix" in page.answer.text


@pytest.mark.long
def test_what_was_typed_on_any_page_comes_back_until_it_is_thrown_away(panel):
    panel.unit.value = "in"
    panel.unit.value = "mm"
    assert not AroundTheCut().draft.words.text, "another unit is nothing typed"
    panel.pages["levelling"].fields["cut_depth"].box.value = "6.0 mm"
    panel.pages["glue"].fields["clamps"].box.value = "six"
    again = AroundTheCut()
    assert "is back in the form" in again.draft.words.text
    assert again.pages["levelling"].fields["cut_depth"].box.value == "6.0 mm"
    assert again.pages["glue"].fields["clamps"].box.value == "six"
    again.draft.throw_away.click()
    assert again.pages["glue"].fields["clamps"].box.value == "4"
    assert not AroundTheCut().draft.words.text


def test_an_own_wood_is_offered_and_keeps_its_shrinkage(tmp_path, blank_log):
    from inlaylab.bench.cuts import Pair
    from inlaylab.log.store import Log

    with Log.open(blank_log) as log:
        log.add(Pair(pair="mine", host="plum from the garden", insert="holly"))
    form = AroundState(blank_log).reckonings["moisture"].form
    assert form["host"].offers[:2] == ("plum from the garden", "holly") and "Walnut, black" in form["host"].offers
    form["host_shrinkage"].typed = "9.5"
    form["host"].typed = "Walnut, black"
    assert form["host_shrinkage"].typed == ""
    again = AroundState(blank_log).reckonings["moisture"].form
    again["host"].typed = "Plum from the  garden"
    assert again["host_shrinkage"].value == 9.5
    again["host_sawn"].typed = "quarter-sawn (radial)"
    assert again["host_shrinkage"].typed == ""
