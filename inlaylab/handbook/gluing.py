"""
Published figures about glue and clamps, each with its source and basis.

They stand in ``gluing.csv`` beside this file.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from inlaylab.handbook.woods import FOUND, basis_of, rows_of


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
        In the source's own words or units.
    basis : str
        `woods.FOUND`, `woods.FROM_MEMORY` or computed from definitions.
    source : str
        Where it was read; empty where it was not looked up.
    note : str
        What to know about it.
    """

    quantity: str
    applies_to: str
    low: float | None
    high: float | None
    unit: str
    as_stated: str
    basis: str
    source: str
    note: str

    @property
    def sourced(self) -> bool:
        """Whether it may be shown with a source."""
        return self.basis == FOUND

    def __str__(self) -> str:
        ends = " to ".join(f"{end:g}" for end in dict.fromkeys((self.low, self.high)) if end is not None)
        told = self.source if self.sourced else self.basis
        return f"{self.applies_to}: {ends} {self.unit} ({told})"


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
    >>> sorted({figure.quantity for figure in figures()})[0]
    'bond_line_thickness'
    """
    return tuple(
        Figure(
            quantity=row["quantity"],
            applies_to=row["applies_to"],
            low=_end(row["low"]),
            high=_end(row["high"]),
            unit=row["unit"],
            as_stated=row["as_stated"],
            basis=basis_of(row["basis"]),
            source="" if row["basis"] == "from_memory" else row["source"],
            note=row["notes"],
        )
        for row in rows_of("gluing.csv")
    )


def _end(text: str) -> float | None:
    return float(text) if text else None
