"""
The publications that the handbook's figures come from, as a library would be asked for them.

They stand in ``sources.csv`` beside this file, each once; the other tables name them by their key.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

FOUND = "found"
FROM_MEMORY = "from memory, not looked up"
PRACTICE = "common practice, no source"
BASES = {"found": FOUND, "from_memory": FROM_MEMORY, "practice": PRACTICE, "": ""}
"""What a row's figure rests on: the word in the tables, and what a reader is told."""


@dataclass(frozen=True, kw_only=True)
class Source:
    """
    A publication and the place in it.

    Parameters
    ----------
    key : str
        Its name in the tables.
    title, edition, place : str
        What to ask a library for: title; report, volume or edition; table, section or page.
    copy : str
        "typed copy" where someone's typed copy was read and not the printed page; else empty.

    Examples
    --------
    >>> print(sources()["wood handbook 2010 13-5"])
    Wood Handbook: Wood as an Engineering Material, FPL-GTR-190, 2010, Table 13-5
    """

    key: str
    title: str
    edition: str
    place: str
    copy: str = ""

    def __str__(self) -> str:
        return f"{self.title}, {self.edition}, {self.place}" + (f"; {self.copy}" if self.copy else "")


def rows_of(name: str) -> list[dict[str, str]]:
    """
    Read a table of published values that stands beside this file.

    Parameters
    ----------
    name : str
        Name of the file.

    Returns
    -------
    rows : list of dict
        Column to text.

    Examples
    --------
    >>> rows_of("woods.csv")[4]["common_name"]
    'Walnut, black'
    """
    text = resources.files("inlaylab.handbook").joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@lru_cache(maxsize=1)
def sources() -> dict[str, Source]:
    """
    Give every publication by its key.

    Returns
    -------
    sources : dict of str to Source
        In the order of ``sources.csv``.
    """
    return {
        row["key"]: Source(
            key=row["key"], title=row["title"], edition=row["edition"], place=row["place"], copy=row["copy"]
        )
        for row in rows_of("sources.csv")
    }


def source_of(row: dict[str, str], group: str = "") -> tuple[str, Source | None]:
    """
    Give what a row's figure rests on, and its publication.

    Parameters
    ----------
    row : dict of str to str
        A row of a table, with the columns ``basis`` and ``source``.
    group : str, optional
        Of a table with several of each: the end of the columns' names, as ``hardness`` in ``basis_hardness``.

    Returns
    -------
    basis : str
        `FOUND`, `FROM_MEMORY`, `PRACTICE`, or empty.
    source : Source or None
        None unless the basis is `FOUND`: what was not looked up carries no source.
    """
    ending = f"_{group}" if group else ""
    basis = BASES[row[f"basis{ending}"]]
    return basis, sources()[row[f"source{ending}"]] if basis == FOUND else None
