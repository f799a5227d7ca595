"""
CSV files as rows of text, each with its place: bounded, strict, nothing guessed.

Row numbers are those of a spreadsheet: the header is row 1.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from inlaylab.errors import TableError, shown

LARGEST_FILE = 20_000_000
MOST_ROWS = 200_000
MOST_COLUMNS = 100
LONGEST_CELL = 20_000

NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """
    One CSV file, read but not yet understood.

    Parameters
    ----------
    file : str
        Its name, for messages.
    columns : tuple of str
        The header.
    rows : tuple of (int, dict)
        Row number and cells by column, outer blanks taken off; rows without any content are left out.
    """

    file: str
    columns: tuple[str, ...]
    rows: tuple[tuple[int, dict[str, str]], ...]


def read_sheet(path: Path) -> Sheet:
    """
    Read a CSV file: UTF-8, commas, one header row.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    sheet : Sheet
        Its cells as text.

    Raises
    ------
    TableError
        Naming file, row and column.
    """
    file = path.name
    records = _records(read_text(path), file)
    header = next(records, (1, []))[1]
    columns = _columns(header, file)
    rows: list[tuple[int, dict[str, str]]] = []
    for row, cells in records:
        if not any(cell.strip() for cell in cells):
            continue
        if len(rows) >= MOST_ROWS:
            raise TableError("the table is too long", file=file, row=row, allowed=f"up to {MOST_ROWS} rows")
        if len(cells) != len(columns):
            raise TableError("the number of cells", value=len(cells), file=file, row=row, allowed=f"{len(columns)}")
        rows.append((row, _cells(columns, cells, file, row)))
    return Sheet(file=file, columns=tuple(c for c in columns if c), rows=tuple(rows))


def read_text(path: Path) -> str:
    """
    Read a file of a folder of tables.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    text : str
        Its text.

    Raises
    ------
    TableError
        If it is no ordinary file, larger than `LARGEST_FILE`, or not UTF-8.
    """
    try:
        if not path.is_file():
            raise TableError("this is no ordinary file", file=path.name)
        with path.open("rb") as stream:
            data = stream.read(LARGEST_FILE + 1)
    except OSError as fault:
        raise TableError(f"the file cannot be read ({fault.strerror})", file=path.name) from None
    if len(data) > LARGEST_FILE:
        allowed = f"up to {LARGEST_FILE // 1_000_000} MB"
        raise TableError("the file is too large", file=path.name, allowed=allowed)
    return decoded(data, path.name)


def decoded(data: bytes, file: str) -> str:
    """
    Return the text of a UTF-8 file.

    Parameters
    ----------
    data : bytes
        Content, with or without a byte order mark.
    file : str
        Its name, for messages.

    Returns
    -------
    text : str
        The text.

    Raises
    ------
    TableError
        Naming the row where it is not UTF-8, or holds a NUL.
    """
    allowed = "UTF-8 text"
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise TableError("the file is UTF-16", file=file, allowed=allowed)
    if b"\0" in data:
        row = data[: data.index(b"\0")].count(b"\n") + 1
        raise TableError("the file holds a NUL", file=file, row=row, allowed=allowed)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        row = data[: fault.start].count(b"\n") + 1
        value = " ".join(f"{byte:02x}" for byte in data[fault.start : fault.start + 4])
        raise TableError("the file is not UTF-8, byte", value=value, file=file, row=row, allowed=allowed) from None


def _records(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    row = 0
    try:
        for cells in csv.reader(io.StringIO(text, newline=""), strict=True):
            row += 1
            yield row, cells
    except csv.Error as fault:
        problem = "a quoted cell does not end" if "end of data" in str(fault) else f"the quoting is wrong ({fault})"
        if "field limit" in str(fault):
            problem = "a cell is too long"
        raise TableError(problem, file=file, row=row + 1, allowed="cells as RFC 4180 quotes them") from None


def _columns(header: list[str], file: str) -> list[str]:
    columns = [cell.strip() for cell in header]
    if not any(columns):
        raise TableError("the header row is missing", file=file, row=1)
    if len(columns) > MOST_COLUMNS:
        raise TableError("the number of columns", value=len(columns), file=file, row=1, allowed=f"up to {MOST_COLUMNS}")
    if len(columns) == 1 and (";" in columns[0] or "\t" in columns[0]):
        raise TableError("the columns are not separated by commas", value=columns[0], file=file, row=1)
    twice = next((c for i, c in enumerate(columns) if c and c in columns[:i]), None)
    if twice:
        raise TableError("a column stands twice", value=twice, file=file, row=1, allowed="each column once")
    return columns


def _cells(columns: list[str], cells: list[str], file: str, row: int) -> dict[str, str]:
    found = {}
    for place, (column, cell) in enumerate(zip(columns, cells, strict=True), start=1):
        if len(cell) > LONGEST_CELL:
            allowed = f"up to {LONGEST_CELL} characters"
            raise TableError(
                "a cell is too long", value=len(cell), file=file, row=row, column=column or str(place), allowed=allowed
            )
        if column:
            found[column] = cell.strip()
        elif cell.strip():
            raise TableError("a cell under no header", value=cell, file=file, row=row, column=f"number {place}")
    return found


def write_sheet(columns: list[str], rows: list[dict[str, str]]) -> str:
    """
    Write rows as CSV text.

    Parameters
    ----------
    columns : list of str
        The header.
    rows : list of dict
        Cells by column; a missing one is blank.

    Returns
    -------
    text : str
        RFC 4180 with line feeds.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    for row in rows:
        cells = [row.get(column, "") for column in columns]
        if any("\r" in cell for cell in cells):
            raise ValueError(f"a carriage return in {shown(cells)}")
        writer.writerow(cells)
    return out.getvalue()


def check_number(text: str, *, file: str, row: int, column: str) -> str:
    """
    Return the text if it is a plain decimal number.

    Parameters
    ----------
    text : str
        Cell of a table.
    file, row, column : str, int, str
        Its place.

    Returns
    -------
    text : str
        The same.

    Raises
    ------
    TableError
        If it is anything else.
    """
    if len(text) > 60 or not NUMBER.fullmatch(text):
        allowed = "digits with a decimal point, no unit, as 0.125"
        if re.fullmatch(r"[+-]?[0-9]*,[0-9]+", text):
            allowed += "; a decimal comma is not read"
        raise TableError("this is not a number", value=text, file=file, row=row, column=column, allowed=allowed)
    return text
