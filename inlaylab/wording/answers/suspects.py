"""Readings that are probably mistakes, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.wording.chances import percent
from inlaylab.wording.lengths import length
from inlaylab.wording.names import named

if TYPE_CHECKING:
    from inlaylab.fitting.review.suspects import Suspect


def looks_like(suspect: Suspect, unit: str) -> str:
    """Say what a reading looks like, and what was expected instead."""
    if suspect.expected is None:
        return suspect.cure
    return f"{suspect.cure}; about {length(max(suspect.expected, 0.0), unit)} was expected"


def suspect_line(suspect: Suspect, unit: str) -> str:
    """Say which reading is probably a mistake, what it looks like, and how sure that is."""
    place = f" at {suspect.station}" if suspect.station else ""
    return (
        f"{suspect.cut}, {named(suspect.kind)}{place}: {looks_like(suspect, unit)} "
        f"({percent(suspect.chance)} that it is a mistake)"
    )
