"""
The tables that a findings page carries: written into the page as data that nothing executes, and read out again.

A page has a fingerprint over all of itself, so that what it shows and what it carries can only be taken together; it
guards against slips and half copies, not against somebody who means to deceive.
"""

from __future__ import annotations

import hashlib
import json
import re
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from inlaylab import __version__
from inlaylab.bench.habits import Habits
from inlaylab.bench.shop import Shop
from inlaylab.errors import TableError
from inlaylab.log.references import Placed
from inlaylab.log.tables.import_export import read_folder, read_placed, write_folder

FORMAT = 1
"""Number of the form of what a page carries; raised where an older inlaylab could not read it."""
BLANK = "feed" * 16
"""Stands for the fingerprint while a page is made."""
LARGEST_PAGE = 60_000_000
"""A larger file is not opened. [bytes]"""
LARGEST_DATA = 5_000_000
"""A page carries no more than this; ten thousand readings are a fifth of it. [characters]"""

_OPEN = '<script type="application/json" id="inlaylab-tables" data-format="{}" data-fingerprint="{}">'
_OPENED = re.compile(_OPEN.format("([0-9]{1,9})", "([0-9a-f]{64})"))
_CLOSE = "</script>"
_FILE = re.compile(r"[a-z_]{1,40}\.(?:csv|json)")


@dataclass(frozen=True, kw_only=True)
class Carried:
    """
    What a findings page carries.

    Parameters
    ----------
    fingerprint : str
        Of the page, 64 hexadecimal digits.
    whose : str
        Whose page it is; blank where names were left out.
    written : str
        When.
    files : mapping of str to str
        The log's tables: the text of each file by its name, as an export writes them.
    said : mapping
        The rest: question, answer, versions, what was left out.
    """

    fingerprint: str
    whose: str = ""
    written: str = ""
    files: Mapping[str, str] = field(default_factory=dict)
    said: Mapping[str, object] = field(default_factory=dict)

    @property
    def origin(self) -> str:
        """Whose page, and its fingerprint: kept with every row that is taken from it."""
        return f"{' '.join(self.whose.split())[:100] or 'a findings page'}, {self.fingerprint}"

    def placed(self) -> Placed:
        """
        Read the tables, with the checks that a folder of tables goes through.

        Returns
        -------
        placed : Placed
            Checked records, each with its place.

        Raises
        ------
        TableError
            Naming table, row and column of the first thing that cannot be taken.
        """
        with self._unpacked() as folder:
            return read_placed(folder, known=Shop())

    def shop(self) -> Shop:
        """
        Read the tables as one shop, with the checks that a folder of tables goes through.

        Raises
        ------
        TableError
            As `placed`.
        """
        with self._unpacked() as folder:
            return read_folder(folder)

    @contextmanager
    def _unpacked(self) -> Iterator[Path]:
        with tempfile.TemporaryDirectory(prefix="inlaylab-page-") as folder:
            for name, text in self.files.items():
                (Path(folder) / name).write_text(text, encoding="utf-8", newline="")
            yield Path(folder)


def tables_of(shop: Shop, habits: Habits | None) -> dict[str, str]:
    """
    Write a shop as the files of an export, in memory.

    Parameters
    ----------
    shop : Shop
        The records.
    habits : Habits or None
        What the shop states.

    Returns
    -------
    files : dict of str to str
        The text of each file by its name.
    """
    with tempfile.TemporaryDirectory(prefix="inlaylab-page-") as home:
        folder = Path(home) / "tables"
        write_folder(shop, folder, habits=habits)
        files = sorted(path for path in folder.iterdir() if _FILE.fullmatch(path.name))
        return {path.name: path.read_bytes().decode("utf-8") for path in files}


def data_block(files: Mapping[str, str], *, whose: str, written: str, said: Mapping[str, object]) -> str:
    """
    Write what a page carries as one element that nothing executes.

    Parameters
    ----------
    files : mapping of str to str
        As `tables_of` gives them.
    whose, written : str
        Whose page it is, and when it was written.
    said : mapping
        The rest, as plain values.

    Returns
    -------
    markup : str
        A data block; its fingerprint is still blank.

    Raises
    ------
    TableError
        Where it is more than a page may carry.

    Notes
    -----
    ``<``, ``>`` and ``&`` are written as JSON escapes, so that nothing in it can end the element or begin another.
    """
    content = {"made_by": f"inlaylab {__version__}", "whose": whose, "written": written, **said, "tables": dict(files)}
    text = json.dumps(content, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    for letter in "<>&":
        text = text.replace(letter, f"\\u{ord(letter):04x}")
    if len(text) > LARGEST_DATA:
        allowed = f"up to {LARGEST_DATA // 1_000_000} million characters; leave out notes"
        raise TableError("the log is too large to be carried by a page", value=len(text), allowed=allowed)
    return _OPEN.format(FORMAT, BLANK) + text + _CLOSE


def seal(page: str) -> str:
    """
    Put the fingerprint of a page where it stands blank.

    Parameters
    ----------
    page : str
        The whole page.

    Returns
    -------
    page : str
        The same with its fingerprint.

    Examples
    --------
    >>> len(seal(BLANK)) == len(BLANK) and seal(BLANK) != BLANK
    True
    """
    return page.replace(BLANK, hashlib.sha256(page.encode("utf-8")).hexdigest())


def read_page(path: str | Path) -> Carried:
    """
    Read what a findings page carries; nothing of it is run or written.

    Parameters
    ----------
    path : path
        The page.

    Returns
    -------
    carried : Carried
        Its tables are read by `Carried.placed`.

    Raises
    ------
    TableError
        Where it is no findings page, was changed since it was written, comes from a later inlaylab, or is too large.
    """
    path = Path(path)
    page = _text(path)
    found = _OPENED.findall(page)
    if len(found) != 1:
        what = "this is no findings page that carries its tables" if not found else "a page that carries tables twice"
        raise TableError(what, file=path.name, allowed="a page as `inlaylab findings` wrote it")
    version, fingerprint = found[0]
    if int(version) < 1:
        raise TableError("no inlaylab writes pages of this format", value=f"format {version}", file=path.name)
    if int(version) > FORMAT:
        what = "this page was written by a later inlaylab"
        raise TableError(what, value=f"format {version}", file=path.name, allowed=f"up to format {FORMAT}, or upgrade")
    start = _OPENED.search(page)
    assert start is not None  # it was counted above
    text = page[start.end() : page.find(_CLOSE, start.end())]
    if len(text) > LARGEST_DATA:
        allowed = f"up to {LARGEST_DATA // 1_000_000} million characters"
        raise TableError("the page carries too much", value=len(text), file=path.name, allowed=allowed)
    if seal(page.replace(fingerprint, BLANK)) != page:
        what = "the page was changed after it was written: its fingerprint does not fit"
        raise TableError(what, file=path.name, allowed="the file as `inlaylab findings` wrote it, sent whole")
    return _carried(text, fingerprint, path.name)


def _text(path: Path) -> str:
    try:
        if not path.is_file():
            raise TableError("there is no such page", value=str(path), allowed="a file that ends in .html")
        with path.open("rb") as stream:
            data = stream.read(LARGEST_PAGE + 1)
        if len(data) > LARGEST_PAGE:
            allowed = f"up to {LARGEST_PAGE // 1_000_000} MB"
            raise TableError("the file is too large for a findings page", file=path.name, allowed=allowed)
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except OSError as fault:
        raise TableError(f"the page cannot be read ({fault.strerror})", file=path.name) from None
    except UnicodeDecodeError:
        raise TableError("the page is not UTF-8", file=path.name, allowed="a page as it was written") from None


def _carried(text: str, fingerprint: str, name: str) -> Carried:
    try:
        content = json.loads(text, parse_constant=_no_number, object_pairs_hook=_each_once)
    except (ValueError, RecursionError):
        raise TableError("what the page carries is not JSON of its kind", file=name) from None
    files = content.pop("tables", None) if isinstance(content, dict) else None
    if not isinstance(files, dict) or not all(isinstance(each, str) for each in files.values()):
        raise TableError("the page carries no tables", file=name)
    stray = next((each for each in files if not _FILE.fullmatch(each)), None)
    if stray is not None:
        raise TableError("the page carries a file with an odd name", value=stray, file=name, allowed="as cuts.csv")
    plain = {key: content.pop(key, "") for key in ("whose", "written")}
    if not all(isinstance(each, str) for each in plain.values()):
        raise TableError("the page does not say whose it is in words", file=name)
    broken = next((key for key, each in {**plain, **files}.items() if _half_letters(each)), None)
    if broken is not None:
        raise TableError("the page carries half a letter, which is no text", value=broken, file=name)
    return Carried(fingerprint=fingerprint, files=files, said=content, **plain)


def _no_number(word: str) -> float:
    raise ValueError(word)


def _each_once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key stands twice")
    return found


def _half_letters(text: str) -> bool:
    """Tell whether a text holds lone surrogates, which JSON can spell and no file can hold."""
    return any("\ud800" <= letter <= "\udfff" for letter in text)
