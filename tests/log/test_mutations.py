"""Any mutation of valid tables is taken with the same meaning, or refused in one sentence; nothing is lost in silence.

A tenth of the long run by default; ``INLAYLAB_LONG=1`` tries 9,000 inputs, ``--hypothesis-seed`` repeats a run.
"""

import csv
import io
import os
import shutil
import tempfile
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inlaylab.bench.fields import specs
from inlaylab.errors import TableError
from inlaylab.log.tables.import_export import TABLES, import_folder, read_folder, write_folder

TRIES = 3000 if os.environ.get("INLAYLAB_LONG") else 300
FACTORS = {"mm": Fraction(1), "in": Fraction(254, 10), "thou": Fraction(254, 10_000)}
PIECES = st.sampled_from([b",", b'"', b"\n", b"\r", b";", b"\0", b".", b"-"])
relaxed = settings(max_examples=TRIES, deadline=None, suppress_health_check=list(HealthCheck))
WORDS = [
    "0",
    "-1",
    "1.5",
    "1,5",
    "1e3",
    "1e-3",
    "NaN",
    "inf",
    "1e400",
    "1/8",
    "0x1",
    "in",
    "mm",
    "b1",
    "k2",
    "c1",
    "B1",
    "closed",
    "filled",
    "tight",
    "2026-03-05",
    "=1+1",
    "٣",
    "\u202e",
]
CELLS = st.one_of(
    st.sampled_from([*WORDS, "", " ", "2 mm", '"', "a\nb", "x" * 30_000, "1" * 70]),
    st.decimals(-5, 600, places=3).map(str),
    st.floats().map(repr),
    st.text(st.characters(codec="utf-8"), max_size=12),
)


@pytest.fixture(scope="module")
def folder(small_shop):
    """The small shop's tables as bytes, by file."""
    with tempfile.TemporaryDirectory() as place:
        write_folder(small_shop, Path(place) / "tables")
        return {path.name: path.read_bytes() for path in (Path(place) / "tables").glob("*.csv")}


@pytest.fixture(scope="module", autouse=True)
def _no_waiting_for_the_drive():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", lambda place: None)
        yield


def put(folder, place):
    for name, data in folder.items():
        (place / name).write_bytes(data)


def one_sentence(fault):
    text = str(fault)
    assert text.endswith(".") and "\n" not in text and len(text) < 1500
    assert fault.file.endswith(".csv") or "folder" in text
    return True


def rows_of(folder):
    """How many rows with content each table has, counted apart from the reader under test."""
    counts = {}
    for name, data in folder.items():
        rows = csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""))
        next(rows, None)
        counts[name.removesuffix(".csv")] = sum(any(cell.strip() for cell in row) for row in rows)
    return counts


def read(folder):
    """Read tables; check what may be said of any that are taken."""
    with tempfile.TemporaryDirectory() as place:
        put(folder, Path(place))
        shop = read_folder(place)
        shutil.rmtree(place)
        write_folder(shop, place, habits=shop.habits)
        assert read_folder(place) == shop
    stations = [station for coupon in shop.coupons for station in coupon.stations]
    found = {"coupons": len(stations), **{t: len(getattr(shop, t)) for t in TABLES if t not in ("coupons", "habits")}}
    assert {name: found[name] for name in rows_of(folder)} == rows_of(folder)
    return shop


@pytest.mark.long
@given(st.data())
@relaxed
def test_any_cell(folder, data):
    name = data.draw(st.sampled_from(sorted(folder)))
    rows = list(csv.reader(io.StringIO(folder[name].decode(), newline="")))
    row = data.draw(st.integers(1, len(rows) - 1))
    column = data.draw(st.sampled_from(rows[0]))
    cell = data.draw(CELLS)
    rows[row][rows[0].index(column)] = cell
    out = io.StringIO(newline="")
    csv.writer(out).writerows(rows)
    mutated = {**folder, name: out.getvalue().encode("utf-8", "surrogatepass")}
    try:
        shop = read(mutated)
    except TableError as fault:
        assert one_sentence(fault)
        return
    except UnicodeDecodeError:
        pytest.fail("a file that is not UTF-8 was read")
    table = name.removesuffix(".csv")
    records = [s for c in shop.coupons for s in c.stations] if table == "coupons" else getattr(shop, table)
    record, spec = records[row - 1], specs(TABLES[table])[column]
    taken = getattr(record, column)
    if spec.kind == "length" and cell.strip():
        exact = Fraction(Decimal(cell.strip())) * FACTORS[record.unit]
        assert taken == pytest.approx(float(exact), rel=1e-15, abs=1e-9)
    elif spec.kind == "number" and cell.strip():
        assert taken == float(cell)
    elif spec.kind in ("name", "text") and cell.isascii():
        assert (taken or "") == cell.replace("\r\n", "\n").replace("\r", "\n").strip()
    elif not cell.strip():
        assert taken in (None, "", "mm")


@pytest.mark.long
@given(st.data())
@relaxed
def test_any_bytes(folder, data):
    name = data.draw(st.sampled_from(sorted(folder)))
    content = bytearray(folder[name])
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(content)))
        piece = data.draw(
            st.one_of(st.binary(max_size=3), st.sampled_from([b",", b'"', b"\n", b"\r", b";", b"\0", b".", b"-"]))
        )
        content[at : at + data.draw(st.integers(0, 3))] = piece
    try:
        read({**folder, name: bytes(content)})
    except TableError as fault:
        assert one_sentence(fault)


def _drop_column(rows, place):
    return [row[:place] + row[place + 1 :] for row in rows]


def _double_column(rows, place):
    return [[*row, row[place]] for row in rows]


SHAPES = {
    "drop a row": lambda rows, i, j: rows[:i] + rows[i + 1 :],
    "double a row": lambda rows, i, j: [*rows, rows[i]],
    "drop a column": lambda rows, i, j: _drop_column(rows, j),
    "double a column": lambda rows, i, j: _double_column(rows, j),
    "cut a row short": lambda rows, i, j: [*rows[:i], rows[i][:j], *rows[i + 1 :]],
    "make a row longer": lambda rows, i, j: [*rows[:i], [*rows[i], "more"], *rows[i + 1 :]],
    "blank a row": lambda rows, i, j: [*rows[:i], [""] * len(rows[i]), *rows[i + 1 :]],
    "swap two columns' names": lambda rows, i, j: [[*rows[0][:j], *rows[0][j:][::-1]], *rows[1:]],
    "rename a column": lambda rows, i, j: [[*rows[0][:j], rows[0][j].upper(), *rows[0][j + 1 :]], *rows[1:]],
    "header again": lambda rows, i, j: [*rows, rows[0]],
    "no rows": lambda rows, i, j: rows[:1],
    "no header": lambda rows, i, j: rows[1:],
}


@pytest.mark.long
@given(st.data())
@relaxed
def test_any_shape(folder, data):
    name = data.draw(st.sampled_from(sorted(folder)))
    rows = list(csv.reader(io.StringIO(folder[name].decode(), newline="")))
    row, column = data.draw(st.integers(1, len(rows) - 1)), data.draw(st.integers(0, len(rows[0]) - 1))
    rows = SHAPES[data.draw(st.sampled_from(sorted(SHAPES)))](rows, row, column)
    out = io.StringIO(newline="")
    csv.writer(out).writerows(rows)
    mutated = {**folder, name: out.getvalue().encode()}
    for gone in data.draw(st.sets(st.sampled_from(sorted(folder)), max_size=1)):
        if len(mutated) > 1:
            del mutated[gone]
    try:
        read(mutated)
    except TableError as fault:
        assert one_sentence(fault)


def test_a_refused_import_changes_nothing(folder, tmp_path, log_path):
    """The same promise through a real log: each refusal leaves the log's file byte for byte, and makes none."""
    before = log_path.read_bytes()
    spoils = [b"nan", b"-1", b'"', b"\0", b"\xff", b",,", b"x" * 30_000]
    refused = 0
    for number, (name, spoil) in enumerate((name, spoil) for name in sorted(folder) for spoil in spoils):
        place = tmp_path / f"folder {number}"
        place.mkdir()
        content = folder[name]
        cut = content.index(b"\n") + 1
        put({**folder, name: content[: cut + 3] + spoil + content[cut + 3 :]}, place)
        for target in (log_path, tmp_path / f"new {number}.db"):
            try:
                import_folder(target, place)
            except TableError:
                refused += 1
                assert target == log_path or not target.exists()
            assert target != log_path or log_path.read_bytes() == before
            if target != log_path:
                target.unlink(missing_ok=True)
    assert refused >= 60


def test_the_oracle_of_these_tests_reads_numbers_its_own_way():
    assert Fraction(Decimal("1e-3")) == Fraction(1, 1000)
    with pytest.raises(InvalidOperation):
        Decimal("1,5")
