"""
Cautions: what can hurt someone, who says so, and on what basis.

They stand in ``cautions.csv`` beside this file. A limit is quoted with its body and its status; no figure here is
ever called safe.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from inlaylab.handbook.woods import basis_of, rows_of

DEFER = "Follow your machine's manual, your local codes and licensed practice; they go before anything said here."
"""Stands beside every caution."""


@dataclass(frozen=True, kw_only=True)
class Caution:
    """
    Something that can hurt someone, and who says so.

    Parameters
    ----------
    topic : str
        One of `TOPICS`.
    subject : str
        Subject of a limit, what it is for; else the caution itself.
    value, unit, averaging : str
        Value, unit and averaging of a limit as quoted, and the time it is averaged over; empty where there is none.
    body, status : str
        Who set it, and whether it binds, recommends or is no longer in force.
    basis : str
        `woods.FOUND`, `woods.FROM_MEMORY` or common practice, no source.
    source : str
        Where it was read; empty where it was not looked up.
    note : str
        What to know about it.
    woods : tuple of str
        Woods it is about, in small letters; empty where it is about all.
    """

    topic: str
    subject: str
    value: str = ""
    unit: str = ""
    averaging: str = ""
    body: str
    status: str
    basis: str
    source: str = ""
    note: str = ""
    woods: tuple[str, ...] = ()

    @property
    def in_force(self) -> bool:
        """Whether a limit still holds; true for plain cautions."""
        return not any(word in self.status for word in ("vacated", "expired", "superseded"))

    def __str__(self) -> str:
        limit = f": {self.value} {self.unit}".rstrip() if self.value else ""
        average = f", {self.averaging}" if self.averaging else ""
        told = f"; {self.source}" if self.source else ""
        return f"{self.subject}{limit}{average} ({self.body}; {self.status}; {self.basis}{told})"


TOPICS: dict[str, str] = {
    "bit": "The bit: speed, diameter, sharpness",
    "work_holding": "Holding the work",
    "dust": "Wood dust",
    "noise": "Noise",
    "woods": "Woods that sensitise",
    "clamps": "Clamps and glue",
    "rags": "Oily rags",
}
"""Every topic of the cautions, with its heading."""


@lru_cache(maxsize=1)
def cautions() -> tuple[Caution, ...]:
    """
    Give every caution, by topic.

    Returns
    -------
    cautions : tuple of Caution
        In the order of ``cautions.csv``.

    Examples
    --------
    >>> {caution.topic for caution in cautions()} == set(TOPICS)
    True
    """
    return tuple(
        Caution(
            topic=row["topic"],
            subject=row["subject"],
            value=row["value"],
            unit=row["unit"],
            averaging=row["averaging"],
            body=row["body"],
            status=row["status"],
            basis=basis_of(row["basis"]),
            source="" if row["basis"] == "from_memory" else row["source"],
            note=row["note"],
            woods=tuple(filter(None, row["woods"].split(";"))),
        )
        for row in rows_of("cautions.csv")
    )


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
    >>> [caution.subject for caution in cautions_about("woods", woods=("African padauk",))]
    ['African padauk: sawdust may cause respiratory problems']
    """
    named = " ".join(woods).casefold()
    return tuple(
        caution
        for caution in cautions()
        if caution.topic in topics
        and caution.in_force
        and (not caution.woods or any(wood in named for wood in caution.woods))
    )
