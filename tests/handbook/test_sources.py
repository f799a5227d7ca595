"""Every source is a publication that a library can be asked for, and what was not looked up carries none."""

import re

import pytest

from inlaylab.handbook import cautions, gluing, woods
from inlaylab.handbook.sources import BASES, FOUND, rows_of, sources

ADDRESS = re.compile(r"https?:|www\.|\w\.(?:com|org|net|gov|edu|info|store|fr|nl|uk|de)\b|wiki|blog", re.IGNORECASE)
TABLES = ("woods.csv", "gluing.csv", "cautions.csv")
SHOWN = [
    *(value for wood in woods.all_woods() for value in wood.values.values()),
    *gluing.figures(),
    *(caution for caution in cautions.cautions() if caution.basis != BASES["practice"]),
]


@pytest.mark.parametrize("source", sources().values(), ids=lambda source: source.key)
def test_a_source_has_title_edition_and_place_and_is_no_address(source):
    for part in (source.title, source.edition, source.place):
        assert len(part) >= 4
    assert not ADDRESS.search(str(source))
    assert source.copy in ("", "typed copy")
    assert "transcription" not in str(source)


@pytest.mark.parametrize("table", TABLES)
def test_no_table_holds_an_address_and_each_source_is_listed(table):
    used = set()
    for row in rows_of(table):
        assert not ADDRESS.search(" ".join(row.values())), row
        for column, text in row.items():
            if column.startswith("basis"):
                source = row[column.replace("basis", "source")]
                assert BASES[text] == FOUND or not source, row  # from memory or practice: nothing to cite
                assert text != "found" or source in sources(), row
                used.add(source)
    assert used - {""}


def test_every_listed_source_is_used():
    tables = " ".join(text for table in TABLES for row in rows_of(table) for text in (*row.values(), ""))
    kept = {"wood handbook 4-2", "wood handbook 13-2", "iarc 100c"}  # said in sentences about moisture and dust
    assert not [key for key in sources() if key not in kept and key not in tables]


@pytest.mark.parametrize("shown", SHOWN, ids=lambda shown: str(shown)[:50])
def test_a_figure_says_its_publication_or_that_it_is_from_memory(shown):
    told = str(shown)
    assert (shown.source is not None) == (shown.basis == FOUND)
    assert str(shown.source) in told if shown.source else "from memory, not looked up" in told
    if getattr(shown, "note", ""):  # a note that qualifies a value stands wherever the value does
        assert shown.note in told
