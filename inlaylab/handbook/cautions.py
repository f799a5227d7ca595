"""
Cautions: what can hurt someone, who says so, and on what basis.

They stand in ``cautions.csv`` beside this file. A limit is quoted with its body and its status; no figure here is
ever called safe.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from inlaylab.handbook.sources import PRACTICE, Source, rows_of, source_of

DEFER = (
    "Your machine's manual, the safety data sheets of what you use, your local codes and advice from qualified people "
    "go before anything said here."
)
"""Stands once on every page with cautions."""


@dataclass(frozen=True, kw_only=True)
class Caution:
    """
    Something that can hurt someone, and who says so.

    Parameters
    ----------
    topic : str
        One of `TOPICS`.
    subject : str
        The caution itself; for a limit, what it limits.
    value, unit, averaging : str
        The limit as quoted, and the time it is averaged over; empty where there is none.
    body, status : str
        Who set it, and whether it binds, recommends or is no longer in force; empty for plain cautions.
    basis : str
        One of ``sources.BASES``.
    source : Source or None
        Where it is printed; None where it was not looked up, or is common practice.
    note : str
        What to know about it; shown wherever the caution is.
    woods : tuple of str
        Woods it is about, in small letters; empty where it is about all.
    """

    topic: str
    subject: str
    value: str = ""
    unit: str = ""
    averaging: str = ""
    body: str = ""
    status: str
    basis: str
    source: Source | None = None
    note: str = ""
    woods: tuple[str, ...] = ()

    @property
    def in_force(self) -> bool:
        """Whether a limit still holds; true for plain cautions."""
        return not any(word in self.status for word in ("vacated", "expired", "superseded"))

    @property
    def is_limit(self) -> bool:
        """Whether it quotes a figure that some body has set, rather than saying what to do."""
        return bool(self.value)

    @property
    def told_by(self) -> str:
        """Who says so, on what basis, and what to know about it; empty for common practice."""
        if self.basis == PRACTICE:
            return ""
        parts = (self.body, self.status if self.is_limit else "", str(self.source or self.basis), self.note)
        return "; ".join(part for part in parts if part)

    def __str__(self) -> str:
        limit = f": {self.value} {self.unit}".rstrip() if self.value else ""
        average = f", {self.averaging}" if self.averaging else ""
        told = f" ({self.told_by})" if self.told_by else ""
        return f"{self.subject}{limit}{average}{told}"

    def concerns(self, woods: tuple[str, ...]) -> bool:
        """
        Tell whether it is about one of these woods, or about all woods.

        Parameters
        ----------
        woods : tuple of str
            Names as typed.

        Returns
        -------
        concerns : bool
        """
        named = " ".join(woods).casefold()
        return not self.woods or any(re.search(rf"\b{re.escape(wood)}\b", named) for wood in self.woods)


TOPICS: dict[str, str] = {
    "bit": "The bit and the spindle",
    "work_holding": "Holding the work",
    "backer": "Taking the backer off",
    "dust": "Wood dust",
    "noise": "Noise",
    "woods": "These woods",
    "clamps": "Clamps and glue",
    "solvents": "Finishes and solvents",
    "rags": "Oily rags",
}
"""Every topic of the cautions, with its heading."""

MACHINE = ("bit", "work_holding", "dust", "noise")
"""Topics of every page whose work makes dust, noise or turning steel."""


@lru_cache(maxsize=1)
def cautions() -> tuple[Caution, ...]:
    """
    Give every caution, by topic.

    Returns
    -------
    cautions : tuple of Caution
        In the order of ``cautions.csv``.
    """
    found = []
    for row in rows_of("cautions.csv"):
        basis, source = source_of(row)
        found.append(
            Caution(
                topic=row["topic"],
                subject=row["subject"],
                value=row["value"],
                unit=row["unit"],
                averaging=row["averaging"],
                body=row["body"],
                status=row["status"],
                basis=basis,
                source=source,
                note=row["note"],
                woods=tuple(filter(None, row["woods"].split(";"))),
            )
        )
    return tuple(found)


def cautions_about(*topics: str, woods: tuple[str, ...] = ()) -> tuple[Caution, ...]:
    """
    Give the cautions of some topics; of woods only those that are named.

    Parameters
    ----------
    *topics : str
        Names in `TOPICS`.
    woods : tuple of str, optional
        Names of woods as typed; a caution about single woods is given where one
        of them is meant.

    Returns
    -------
    cautions : tuple of Caution
        Those still in force.

    Examples
    --------
    >>> [caution.subject for caution in cautions_about("woods", woods=("black cherry",))]
    ['Cherry may make skin sensitive.']
    """
    return tuple(
        caution for caution in cautions() if caution.topic in topics and caution.in_force and caution.concerns(woods)
    )
