"""
Published values of woods, each with its unit, source and basis.

The values stand in ``woods.csv`` beside this file and are never changed by code. A value remembered but not looked
up is kept apart: it says so wherever it is shown, and carries no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from inlaylab.errors import InputError
from inlaylab.handbook.sources import Source, rows_of, source_of


@dataclass(frozen=True, kw_only=True)
class Quantity:
    """
    A property of woods that has published values.

    Parameters
    ----------
    quantity : str
        Its name in code.
    label : str
        In a reader's words.
    unit : str
        As shown; empty for a plain ratio.
    column, group : str
        Its column in ``woods.csv``, and the end of the columns that hold its basis and source.
    """

    quantity: str
    label: str
    unit: str
    column: str
    group: str


QUANTITIES: dict[str, Quantity] = {
    each.quantity: each
    for each in (
        Quantity(
            quantity="basic_specific_gravity",
            label="basic specific gravity (oven-dry weight, green volume)",
            unit="",
            column="sg_basic_green",
            group="sg_green",
        ),
        Quantity(
            quantity="specific_gravity_at_12",
            label="specific gravity (oven-dry weight, volume at 12 % moisture content)",
            unit="",
            column="sg_at_12pct_mc",
            group="sg_12",
        ),
        Quantity(
            quantity="radial_shrinkage",
            label="radial shrinkage, green to oven-dry",
            unit="%",
            column="shrinkage_radial_pct_green_to_ovendry",
            group="shrinkage",
        ),
        Quantity(
            quantity="tangential_shrinkage",
            label="tangential shrinkage, green to oven-dry",
            unit="%",
            column="shrinkage_tangential_pct_green_to_ovendry",
            group="shrinkage",
        ),
        Quantity(
            quantity="radial_coefficient",
            label="dimensional change coefficient, radial",
            unit="per % of moisture content",
            column="c_r_per_1pct_mc",
            group="coeff",
        ),
        Quantity(
            quantity="tangential_coefficient",
            label="dimensional change coefficient, tangential",
            unit="per % of moisture content",
            column="c_t_per_1pct_mc",
            group="coeff",
        ),
        Quantity(
            quantity="side_hardness",
            label="side hardness at 12 % moisture content",
            unit="N",
            column="side_hardness_N_at_12pct_mc",
            group="hardness",
        ),
    )
}
"""Every property, by its name in code."""


@dataclass(frozen=True, kw_only=True)
class Value:
    """
    One published value.

    Parameters
    ----------
    value : float
        In the unit of its quantity.
    unit : str
        As shown; empty for a plain ratio.
    basis : str
        One of ``sources.BASES``.
    source : Source or None
        Where it is printed; None where it was not looked up.
    """

    value: float
    unit: str
    basis: str
    source: Source | None

    def __str__(self) -> str:
        unit = f" {self.unit}" if self.unit else ""
        return f"{self.value:g}{unit} ({self.source or self.basis})"


@dataclass(frozen=True, kw_only=True)
class Wood:
    """
    A wood and what is published about it.

    Parameters
    ----------
    common_name, botanical_name : str
        As the handbook has them; the botanical name is empty for an unknown wood.
    group : str
        domestic, imported or unknown (seen from the USA, as in the handbook).
    values : dict
        By the name of the quantity; what is not published is left out.
    note : str
        What to know about these values; shown wherever they are.

    Examples
    --------
    >>> walnut = find("black walnut")
    >>> print(walnut.botanical_name, walnut.values["specific_gravity_at_12"].value)
    Juglans nigra 0.55
    """

    common_name: str
    botanical_name: str = ""
    group: str = "unknown"
    values: dict[str, Value]
    note: str = ""

    @property
    def missing(self) -> tuple[str, ...]:
        """Labels of the properties without a value."""
        return tuple(each.label for each in QUANTITIES.values() if each.quantity not in self.values)

    @property
    def known(self) -> bool:
        """Whether anything at all is published here."""
        return bool(self.values)


@lru_cache(maxsize=1)
def all_woods() -> tuple[Wood, ...]:
    """
    Give every wood with published values, domestic ones first.

    Returns
    -------
    woods : tuple of Wood
        In the order of ``woods.csv``.

    Examples
    --------
    >>> len(all_woods())
    66
    """
    return tuple(_wood(row) for row in rows_of("woods.csv"))


def search(text: str) -> tuple[Wood, ...]:
    """
    Find woods by their common or botanical name.

    Parameters
    ----------
    text : str
        Words or beginnings of words, in any order and case.

    Returns
    -------
    woods : tuple of Wood
        Those whose names hold every word; none for an empty text.

    Examples
    --------
    >>> [wood.common_name for wood in search("juglans")]
    ['Walnut, black', 'Butternut']
    """
    asked = _words(text)
    if not asked:
        return ()
    return tuple(wood for wood in all_woods() if all(_begins(word, _names(wood)) for word in asked))


def find(name: str) -> Wood:
    """
    Give the wood of a name; for a name that is not known, a wood without values.

    Parameters
    ----------
    name : str
        Common or botanical name, as typed in a pair.

    Returns
    -------
    wood : Wood
        Its `known` is false, and `missing` names everything, where nothing is published here.

    Raises
    ------
    InputError
        Where the name fits several woods equally well; the message lists them.

    Examples
    --------
    >>> find("Hard maple").common_name
    'Maple, sugar (hard)'
    >>> find("garden plum").known
    False
    """
    asked = set(_words(name))
    exact = [wood for wood in all_woods() if asked and asked in (set(_words(n)) for n in _spellings(wood))]
    usual = _USUAL.get(" ".join(_words(name)))
    found = exact or [wood for wood in all_woods() if wood.common_name == usual] or list(search(name))
    if len(found) == 1:
        return found[0]
    if found:
        raise InputError(
            "this name fits several woods", value=name, allowed="; ".join(wood.common_name for wood in found)
        )
    return Wood(common_name=name.strip(), values={}, note="Not among the woods with published values here.")


_USUAL = {  # what the trade means by a name that fits several of the handbook's; common practice, no source
    "hard maple": "Maple, sugar (hard)",
    "soft maple": "Maple, red (soft)",
    "red oak": "Oak, northern red",
    "cherry": "Cherry, black",
    "walnut": "Walnut, black",
    "yellow poplar": "Yellow-poplar",
    "tulipwood": "Yellow-poplar",
    "pecan": "Hickory, pecan",
}


def _wood(row: dict[str, str]) -> Wood:
    values = {}
    for each in QUANTITIES.values():
        if not row[each.column]:
            continue
        basis, source = source_of(row, each.group)
        values[each.quantity] = Value(value=float(row[each.column]), unit=each.unit, basis=basis, source=source)
    return Wood(
        common_name=row["common_name"],
        botanical_name=row["botanical_name"],
        group=row["group"],
        values=values,
        note=row["notes"],
    )


def _words(text: str) -> list[str]:
    return re.findall(r"[^\W\d_]+", text.casefold())


def _names(wood: Wood) -> list[str]:
    return _words(f"{wood.common_name} {wood.botanical_name}")


def _spellings(wood: Wood) -> tuple[str, str, str]:
    return wood.common_name, wood.botanical_name, re.sub(r"\(.*?\)", "", wood.common_name)


def _begins(word: str, names: list[str]) -> bool:
    return any(name.startswith(word) for name in names)
