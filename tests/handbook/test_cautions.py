"""Cautions: what they cover, physical relations between published limits, and that nothing is called safe."""

import math

import pytest

from inlaylab.handbook import cautions
from inlaylab.handbook.sources import PRACTICE


def _limits(topic, body):
    found = [each for each in cautions.cautions() if each.topic == topic and body in each.body and each.is_limit]
    return {each.subject: each for each in found}


def test_equal_energy_trade_of_noise_is_3_decibels():
    # SCENIHR (2008), Table 3: 85 dB(A) for 8 h is as much as 94 for 1 h. Physics: the dose is intensity times time.
    (hour,) = (each for each in cautions.cautions() if each.averaging == "1 h")
    assert round(85 + 10 * math.log10(8)) == float(hour.value)
    for level, hours in ((88, 4), (91, 2), (94, 1), (97, 0.5)):
        assert f"{level} for" in hour.note
        assert round(85 + 10 * math.log10(8 / hours)) == level


def test_noise_peaks_of_the_directive_are_its_pressures():
    # Directive 2003/10/EC, Article 3, prints 112, 140 and 200 Pa; decibels are referred to 20 micropascals.
    (peak,) = (each for each in cautions.cautions() if each.averaging == "peak")
    levels = [round(20 * math.log10(pascal / 20e-6)) for pascal in (112, 140, 200)]
    assert levels == [135, 137, 140] and peak.value == "140"
    assert all(text in f"{peak.subject} {peak.value}" for text in map(str, levels))


def test_osha_halves_the_time_every_5_decibels():
    # 29 CFR 1910.95, Table G-16: 90 dB(A) for 8 h, 95 for 4, 100 for 2, 105 for 1.
    limit = _limits("noise", "OSHA")["noise: never more than"]
    for level, hours in ((95, 4), (100, 2), (105, 1)):
        assert f"{level} for {hours} h" in limit.note
        assert float(limit.value) + 5 * math.log2(8 / hours) == level


def test_a_limit_for_part_of_the_dust_is_below_the_limit_for_all_of_it():
    total, lungs = (float(each.value) for each in cautions.cautions() if "dust in general" in each.body)
    assert lungs < total
    directive = [
        float(each.value)
        for each in cautions.cautions()
        if each.body == "European Union" and "hardwood" in each.subject
    ]
    assert directive == sorted(directive)  # in force first: the limit came down from 3 to 2


def test_limits_no_longer_in_force_are_kept_but_not_shown():
    shown = cautions.cautions_about("dust")
    assert not any("vacated" in caution.status or "expired" in caution.status for caution in shown)
    assert any("vacated" in caution.status for caution in cautions.cautions())


def test_every_topic_begins_with_what_to_do():
    # Limits of four countries are for a fold-out: the first lines say what a maker does about it.
    for topic in set(cautions.TOPICS) - {"woods", "rags"}:
        first = next(each for each in cautions.cautions() if each.topic == topic)
        assert not first.is_limit and first.basis == PRACTICE
    assert {each.topic for each in cautions.cautions()} == set(cautions.TOPICS)


@pytest.mark.parametrize(
    ("topic", "words"),
    [
        ("bit", ("never exceed the speed", "unplug the spindle", "eye protection", "loose sleeves")),
        ("work_holding", ("clamp both boards", "reach of the stop")),
        ("backer", ("push blocks", "thrown")),
        ("dust", ("extract the dust", "mask")),
        ("noise", ("hearing protection",)),
        ("solvents", ("open the windows", "flames", "safety data sheet")),
        ("rags", ("never leave oily rags in a pile", "metal container")),
    ],
)
def test_the_usual_cautions_are_there(topic, words):
    told = " ".join(str(each) for each in cautions.cautions_about(topic)).casefold()
    for word in words:
        assert word in told


def test_no_figure_is_called_safe():
    told = " ".join(str(caution) for caution in cautions.cautions()).casefold()
    assert "safe limit" not in told
    assert "is safe" not in told


@pytest.mark.parametrize(
    ("woods", "expected"),
    [
        (("Walnut, black",), "black walnut"),
        (("white oak",), "oak and beech"),
        (("European beech",), "beech"),
        (("hard maple",), "maple"),
        (("wenge", "maple"), "wenge"),
        (("Teak",), "teak"),
        (("Oak, white Quercus alba",), "oak, redwood"),
    ],
)
def test_woods_that_sensitise_are_found_by_the_names_of_a_pair(woods, expected):
    told = [caution.subject.casefold() for caution in cautions.cautions_about("woods", woods=woods)]
    assert any(expected in subject for subject in told)


@pytest.mark.parametrize("name", ["garden plum", "washed pearwood", "soaked pear"])
def test_a_wood_is_meant_by_its_whole_name_only(name):
    # "ash" is not in "washed", nor "oak" in "soaked".
    assert not cautions.cautions_about("woods", woods=(name,))


def test_manual_data_sheets_codes_and_qualified_people_go_first():
    for word in ("machine's manual", "safety data sheets", "local codes", "qualified people"):
        assert word in cautions.DEFER
