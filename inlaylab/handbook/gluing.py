"""
Published figures about glue and clamps, each with its source and basis.

They stand in ``gluing.csv`` beside this file.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from inlaylab.handbook.sources import Source, rows_of, source_of


@dataclass(frozen=True, kw_only=True)
class Figure:
    """
    A published figure or range about gluing.

    Parameters
    ----------
    quantity, applies_to : str
        What it is, and for which woods or glues.
    low, high : float or None
        Ends of the range; one may be missing. [as the field]
    unit : str
        Unit of both ends.
    as_stated : str
        The same in the source's own words or units.
    basis : str
        One of ``sources.BASES``.
    source : Source or None
        Where it is printed; None where it was not looked up.
    note : str
        What to know about it; shown wherever the figure is.
    """

    quantity: str
    applies_to: str
    low: float | None
    high: float | None
    unit: str
    as_stated: str
    basis: str
    source: Source | None
    note: str

    def __str__(self) -> str:
        ends = " to ".join(f"{end:g}" for end in dict.fromkeys((self.low, self.high)) if end is not None)
        only = "" if self.low is not None else "up to "
        told = "; ".join(part for part in (str(self.source or self.basis), self.note) if part)
        return f"{self.applies_to}: {only}{ends} {self.unit}, {self.as_stated} ({told})"


@lru_cache(maxsize=1)
def figures() -> tuple[Figure, ...]:
    """
    Give every published figure about gluing.

    Returns
    -------
    figures : tuple of Figure
        In the order of ``gluing.csv``.

    Examples
    --------
    >>> [figure.as_stated for figure in figures() if figure.applies_to == "PVA glue"]
    ['0.002 to 0.006 in']
    """
    found = []
    for row in rows_of("gluing.csv"):
        basis, source = source_of(row)
        found.append(
            Figure(
                quantity=row["quantity"],
                applies_to=row["applies_to"],
                low=float(row["low"]) if row["low"] else None,
                high=float(row["high"]) if row["high"] else None,
                unit=row["unit"],
                as_stated=row["as_stated"],
                basis=basis,
                source=source,
                note=row["notes"],
            )
        )
    return tuple(found)


def figures_of(quantity: str) -> tuple[Figure, ...]:
    """
    Give the published figures of one quantity.

    Parameters
    ----------
    quantity : str
        As ``clamping_pressure`` or ``bond_line_thickness``.

    Returns
    -------
    figures : tuple of Figure
    """
    return tuple(figure for figure in figures() if figure.quantity == quantity)
