"""Readings that the fit believes are mistakes, and the likely cure: for the maker to mend, never mended here."""

from dataclasses import dataclass

import numpy as np

from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.cut_seats import seat_levels
from inlaylab.fitting.model.laws import SLIP
from inlaylab.fitting.model.likelihood import reading_terms
from inlaylab.fitting.model.observations import Observations, observe
from inlaylab.fitting.review.cut_likelihood import thinned

NAMED_FROM = 0.5
"""A reading is a suspect from this chance of being a mistake upward."""
FAR = "far from what the other readings suggest"
"""Said of a reading that nothing explains; what was expected stands beside it."""
SEEN_AS_NOTHING = 0.01
"""Below it an expected length is next to nothing. [mm]"""


@dataclass(frozen=True, kw_only=True)
class Suspect:
    """
    A reading that looks like a mistake.

    Parameters
    ----------
    cut, kind, station : str
        Where it stands; ``station`` is None for readings of the whole piece.
    chance : float
        That it is a mistake.
    cure : str
        What it looks like.
    row : int
        Index in the shop's readings.
    expected : float or None
        What the fit expected there. [mm]

    Examples
    --------
    >>> Suspect(cut="k", kind="fill", station="B1", chance=0.9, cure="", row=3, expected=None).chance
    0.9
    """

    cut: str
    kind: str
    station: str | None
    chance: float
    cure: str
    row: int
    expected: float | None

    def to_json(self) -> dict[str, object]:
        """One entry of the command ``check``."""
        keys = ("cut", "kind", "station", "chance", "cure", "expected")
        return {key: getattr(self, key) for key in keys}


def mistake_chances(fit: Fit, seen: Observations, *, draws: int = 400) -> dict[str, np.ndarray]:
    """
    Chance that each reading is a mistake.

    Parameters
    ----------
    fit : Fit
        Fit of the shop.
    seen : Observations
        The same shop.
    draws : int
        How many posterior draws are averaged over.

    Returns
    -------
    chances : dict of arrays
        By kind, in the order of ``seen.rows[kind]``.
    """
    fitted = thinned(fit, draws).values
    if not seen.cuts.bit.size:
        return {}
    terms = reading_terms(fitted, seen, seat_levels(fitted, seen.cuts))
    return {kind: (1 / (1 + np.exp(-odds))).mean(axis=0) for kind, (_, odds) in terms.items()}


def suspects(fit: Fit, shop: Shop, *, from_chance: float = NAMED_FROM) -> tuple[Suspect, ...]:
    """
    Readings that look like mistakes, the likeliest first.

    Parameters
    ----------
    fit : Fit
        Fit of the shop.
    shop : Shop
        The shop as it was fitted.
    from_chance : float, optional
        Smallest chance to be named.

    Returns
    -------
    suspects : tuple of Suspect
    """
    from inlaylab.fitting.review.residuals import expected_readings

    seen = observe(shop)
    chances = mistake_chances(fit, seen)
    expected = expected_readings(fit, seen)
    found = []
    for kind, chance in chances.items():
        rows = seen.rows[kind]
        for n in np.flatnonzero(chance > from_chance):
            row = int(rows["row"][n])
            reading = shop.readings[row]
            there = float(expected[kind]["median"][n]) if kind in expected else None
            cue = bool("cue" in rows and rows["cue"][n])
            found.append(
                Suspect(
                    cut=reading.cut,
                    kind=kind,
                    station=reading.station,
                    chance=float(chance[n]),
                    cure=_cure(reading, there, cue, float(expected[kind]["sd"][n]) if kind in expected else 0.0),
                    row=row,
                    expected=there,
                )
            )
    return tuple(sorted(found, key=lambda suspect: -suspect.chance))


def _cure(reading: Reading, expected: float | None, out_of_order: bool, sd: float) -> str:
    """Word the likeliest cause."""
    if out_of_order:
        return "out of the coupon's order and twice at one station: looks like another station's"
    if reading.value is None or expected is None:
        return "does not fit what the other readings of this cut say"
    near = 3 * sd + 0.02
    if expected < SEEN_AS_NOTHING:  # next to nothing, any factor would explain any reading
        wrong_sign = reading.kind != "glue_line" and expected < -near and abs(reading.value + expected) < near
        return "looks like the wrong sign" if wrong_sign else FAR
    if abs(reading.value * SLIP - expected) < near:
        return (
            "looks like inches typed as millimetres"
            if reading.unit != "in"
            else "looks 25.4 times too small: a unit mixed up"
        )
    if abs(reading.value / SLIP - expected) < near:
        return "looks like millimetres typed as inches"
    if abs(reading.value / 10 - expected) < near / 2 or abs(reading.value * 10 - expected) < near:
        return "looks like a decimal point in the wrong place"
    return FAR
