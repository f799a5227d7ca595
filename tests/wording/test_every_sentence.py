"""Every sentence of the wording room in millimetres, inches and thousandths: units, names and plain words."""

import importlib
import inspect
import pkgutil
import re
import sys
from dataclasses import fields
from pathlib import Path

import pytest

import inlaylab.wording
from inlaylab.bench.bits import Bit
from inlaylab.bench.coupons import Coupon, Station
from inlaylab.bench.cuts import Cut
from inlaylab.bench.readings import KINDS
from inlaylab.units import UNITS

sys.path.insert(0, str(Path(__file__).parent))
from samples import SAMPLES

RAW = {f.name for record in (Bit, Coupon, Station, Cut) for f in fields(record) if "_" in f.name} | {
    kind for kind in KINDS if "_" in kind
}
NOT_SAID = re.compile(
    r"setting-up|[Tt]o be mended|is no (?:length|number)|first first|bare numbers|nine in ten|not yet known"
    r"|chance is in it|good to\b|what may happen|depth serves|below nothing|closed means|may lie here"
    r"|standard deviation|standard uncertaint|correlation|\bNone\b|\bnan\b|cut cut "
    r"|(?<![\d.])1 (?!mm|in|thou|is|was|has)[a-z]+s\b"
)
LONG_DECIMAL = re.compile(r"\d\.\d{5,}")


def _sentences_with_a_unit():
    for module in pkgutil.iter_modules(inlaylab.wording.__path__):
        room = importlib.import_module(f"inlaylab.wording.{module.name}")
        for name, function in inspect.getmembers(room, inspect.isfunction):
            own = function.__module__ == room.__name__ and not name.startswith("_")
            if own and "unit" in inspect.signature(function).parameters:
                yield f"{module.name}.{name}"


def _lines(told):
    return [told] if isinstance(told, str) else list(told)


def test_every_sentence_with_a_unit_has_a_sample():
    assert set(_sentences_with_a_unit()) == set(SAMPLES)


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("name", SAMPLES)
def test_it_reads_well_in_the_readers_unit(name, unit):
    lines = _lines(SAMPLES[name](unit))
    assert lines
    told = "\n".join(lines)
    assert not NOT_SAID.search(told), told
    assert not LONG_DECIMAL.search(told), told
    assert not [raw for raw in RAW if re.search(rf"\b{raw}\b", told)], told
    if unit != "thou":  # a length is never said in a unit that the reader did not choose, but mm beside inches
        assert not re.search(r"\d thou\b", told), told
    if unit == "mm":
        assert not re.search(r"\d in\b(?!\))", told), told


def test_the_same_lengths_are_said_in_every_unit():
    told = {unit: SAMPLES["lengths.both"](unit) for unit in UNITS}
    assert told == {"mm": "4.32 mm (0.170 in)", "in": "0.170 in (4.32 mm)", "thou": "170 thou (4.32 mm)"}
