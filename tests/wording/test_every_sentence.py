"""Every sentence of the wording rooms in millimetres, inches and thousandths: units, names and plain words."""

import importlib
import inspect
import pkgutil
import re
from collections.abc import Mapping

import pytest
from wording.samples import answers, artwork, commands, figures, findings, panels, quantities

import inlaylab.wording
from inlaylab.units import UNITS

SAMPLES = {
    f"{say.__module__.removeprefix('inlaylab.wording.')}.{say.__name__}": sample
    for room in (quantities, answers, artwork, commands, panels, figures, findings)
    for say, sample in room.SAMPLES.items()
}
NOT_SAID = {
    "an idiom carried over from another language": r"setting-up|to be mended|\bis no (?:length|number|angle)|none of "
    r"the words for it|first first|turn it yourself|chance is in it|good to\b|what may happen|holds in\b|depth serves|"
    r"below nothing|closed means|may lie here|bare numbers|not yet known|for people",
    "a statistics word": r"standard deviation|standard uncertaint|correlation|posterior|\bpriors?\b|quantile|credible|"
    r"\bresiduals?\b|leverage|\bsigma\b|r-hat(?! [\d.]+ \(1 is perfect)|converge|"
    r"nine[- ](?:in|of)[- ]ten|nine times in ten",
    "a chance that nobody can know": r"(?<![\d.])(?:0|100) ?% (?:chance|sure|certain)|chance of (?:0|100) ?%|or less",
    "a value that was not there": r"(?<!= )\bnone\b(?! of them| at all| yet)|\bnan\b|\binf\b",
    "a word twice": r"(?<![\w-])([a-z]+) \1\b",
    "one of many": r"(?<![\d.,/])(?<!notebook )1 (?!mm|in|thou|is|was|has|glass|pass|species)[a-z]+s\b",
    "many of one": r"(?<![\d.,/])(?:0|[2-9]|[1-9]\d+) (?:test cut|cut|station|reading|bit|coupon|groove|file|shop|"
    r"picture|pair|line|metre|stroke)\b(?! (?:depth|out))",
    "a raw name": r"(?<![\w./`])[a-z]+(?:_[a-z]+)+\b(?!\.)",
    "digits that say nothing": r"\d\.\d{6,}|[1-9]\d*\.\d{5,}|\d\.\d{4,} mm|[1-9]\d*\.\d{2,} thou|\d[eE][-+]\d",
    "a slip of the pen": r"  |\.\.(?!\.)| ,| \.(?!\w)|\(\)|,,|;;|with almost",
}
"""What no sentence holds, whatever its case."""


def _rooms():
    yield inlaylab.wording
    for module in pkgutil.walk_packages(inlaylab.wording.__path__, "inlaylab.wording."):
        yield importlib.import_module(module.name)


def _sentences():
    """Every function that says something, by its name below the room."""
    for room in _rooms():
        for name, function in inspect.getmembers(room, inspect.isfunction):
            if function.__module__ == room.__name__ and not name.startswith("_"):
                yield f"{room.__name__.removeprefix('inlaylab.wording.')}.{name}"


def _constants():
    """Every fixed piece of text, by its module."""
    for room in _rooms():
        own = {
            name: value
            for name, value in vars(room).items()
            if name.isupper() and getattr(value, "__module__", room.__name__) == room.__name__
        }
        for name, value in own.items():
            for text in _texts(value):
                yield f"{room.__name__}.{name}", text


def _texts(value):
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for each in value.values():
            yield from _texts(each)
    elif isinstance(value, tuple | list):
        for each in value:
            yield from _texts(each)


def complaints(text):
    """Say what a maker would stumble over in a text."""
    return [f"{what}: {text}" for what, rule in NOT_SAID.items() if re.search(rule, text.strip(), re.IGNORECASE)]


def wrong_unit(text, unit):
    """Give the lengths that are told in a unit that is not the reader's, outside brackets."""
    plain = re.sub(r"\([^()]*\)", "", text)
    others = {"mm": r"\d (?:in|thou)\b", "in": r"\d mm\b|(?<![\d.])[1-9]\d* thou\b", "thou": r"\d (?:mm|in)\b"}[unit]
    return re.findall(rf".{{0,20}}{others}(?! 20\b|/| each| all| the| a )", plain)


def _lines(told):
    return [told] if isinstance(told, str) else list(told)


def test_every_sentence_has_a_sample():
    assert set(_sentences()) == set(SAMPLES)


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("name", SAMPLES)
def test_it_reads_well_in_the_readers_unit(name, unit):
    lines = _lines(SAMPLES[name](unit))
    assert lines and all(isinstance(line, str) for line in lines)
    found = [fault for line in lines for fault in complaints(line)]
    found += [f"not in {unit}: {words}" for line in lines for words in wrong_unit(line, unit)]
    assert not found, "\n".join(found)


def test_fixed_texts_read_well():
    texts = list(_constants())
    found = [f"{name}: {fault}" for name, text in texts for fault in complaints(text)]
    assert len(texts) > 50 and not found, "\n".join(found)


@pytest.mark.parametrize(
    "text",
    [
        "one zero is good to 0.04 mm", "cut cut 1 sat lower", "1 bits", "2 cut", "backer_gap", "0.01181102362204 in",
        "3.80000 mm", "a 100% chance", "None", "give or take one standard deviation", "12.25 thou",
    ],
)  # fmt: skip
def test_a_bad_sentence_is_seen(text):
    assert complaints(text)


def test_a_length_in_another_unit_is_seen():
    assert wrong_unit("start depth 3.40 mm", "in") and wrong_unit("0.134 in deep", "mm")
    assert not wrong_unit("start depth 0.134 in (3.40 mm)", "in") and not wrong_unit("1 in 20 cuts", "mm")


def test_the_same_lengths_are_said_in_every_unit():
    told = {unit: SAMPLES["lengths.both"](unit) for unit in UNITS}
    assert told == {"mm": "4.32 mm (0.170 in)", "in": "0.170 in (4.32 mm)", "thou": "170 thou (4.32 mm)"}
