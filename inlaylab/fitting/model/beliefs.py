"""
Starting beliefs as data: what is believed of a shop before any cut is logged.

`KIT` is the kit's own statement about ordinary workshops (invented, no source); the log soon outweighs
it. Beliefs learnt from many logs come as a file of the same form (`Beliefs.read`).
"""

import json
import math
import os
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields
from pathlib import Path

from inlaylab.errors import InputError

KINDS = ("normal", "log", "logit")
"""What of a value is normal: itself, its logarithm, the logarithm of its odds."""

LARGEST = 1_000_000
"""A file of beliefs over this size is not opened. [bytes]"""


@dataclass(frozen=True, kw_only=True)
class Prior:
    """
    One prior, as it is shown to the maker.

    Parameters
    ----------
    name : str
        Key of the latent in the draws.
    centre, spread : float
        Middle and standard deviation of the normal law; of the logarithm's where ``kind`` is ``"log"`` (the
        centre is then the middle value itself), of the log-odds' where it is ``"logit"``.
    kind : str
        One of `KINDS`.
    unit : str
        Of the value; blank for a chance or a ratio.
    meaning : str
        In a maker's words.
    source : str
        Where the figures come from.
    shops, cuts, readings : int
        How many they were learnt from; 0 for a judgement.
    """

    name: str
    centre: float
    spread: float
    kind: str
    unit: str
    meaning: str
    source: str = "the kit's own judgement"
    shops: int = 0
    cuts: int = 0
    readings: int = 0

    def __post_init__(self) -> None:
        figures = (self.centre, self.spread)
        sound = all(isinstance(x, int | float) and math.isfinite(x) for x in figures) and self.spread > 0
        if not sound or (self.kind == "log" and self.centre <= 0):
            allowed = "finite numbers; a spread above 0; a centre above 0 where the logarithm is what is normal"
            raise InputError(f"the belief about {self.name} makes no sense", value=figures, allowed=allowed)
        if self.kind not in KINDS:
            raise InputError(f"the belief about {self.name} is of no known kind", value=self.kind, allowed=KINDS)

    @property
    def measure(self) -> str:
        """What the value is said in: ``mm``, ``degrees``, ``chance``, or blank for a plain number."""
        return "chance" if self.kind == "logit" else self.unit


def _table(*rows: tuple[str, str, float, float, str, str]) -> dict[str, Prior]:
    return {
        name: Prior(name=name, kind=kind, centre=centre, spread=spread, unit=unit, meaning=meaning)
        for name, kind, centre, spread, unit, meaning in rows
    }


PRIORS = _table(
    ("tip_flat_mean", "log", 0.08, 0.40, "mm", "tip flat of the shop's usual bit"),
    ("tip_flat_ratio", "log", 0.55, 0.25, "", "how far a bit's flat is from the usual one, as a share of it"),
    ("angle_error", "normal", 0.0, 0.5, "degrees", "true angle less the angle as sold"),
    ("allowance_mean", "normal", 0.02, 0.03, "mm", "wall allowance of the shop's usual pair"),
    ("allowance_spread", "log", 0.02, 0.6, "mm", "how much pairs differ in their wall allowance"),
    ("crest_loss_mean", "log", 0.2, 0.35, "mm", "crest loss of the usual species"),
    ("crest_loss_ratio", "log", 0.4, 0.3, "", "how far a species' crest loss is from the usual one, as a share"),
    ("half_filled_mean", "normal", 0.5, 0.2, "mm", "finished width of which half fills, usual species"),
    ("half_filled_spread", "log", 0.07, 0.5, "mm", "how much species differ in that width"),
    ("across_shift", "normal", 0.05, 0.1, "mm", "how much wider a stroke across the grain must be"),
    ("fill_softness", "log", 0.1, 0.5, "mm", "how gradually filling sets in with width"),
    ("fill_step", "log", 0.15, 0.4, "mm", "width from half missing to half filled"),
    ("bias", "normal", 0.0, 0.05, "mm", "zero error that every board of the shop shares"),
    ("spread", "log", 0.05, 0.5, "mm", "how much zero errors differ from board to board"),
    ("shortfall_mean", "log", 0.02, 0.7, "mm", "how far a plug usually stops short (clamping, glue)"),
    ("loupe_sd", "log", 0.02, 0.12, "mm", "a glue line read by loupe, give or take"),
    ("feeler_sd", "log", 0.03, 0.3, "mm", "a backer gap by feeler gauge, give or take"),
    ("floor_gap_sd", "log", 0.04, 0.3, "mm", "a floor gap on a sawn cut, give or take"),
    ("gauge_sd", "log", 0.03, 0.3, "mm", "a depth by gauge, give or take"),
    ("wedge_sd", "log", 0.08, 0.4, "mm", "the width where a wedge stops filling, give or take"),
    ("opening_sd", "log", 0.006, 1.0, "mm", "local opening of a single glue line (chips, grain, glue)"),
    ("mistake_chance", "logit", -3.4, 0.6, "", "chance that a reading is a mistake"),
    ("cue_chance", "logit", 1.0, 1.0, "", "chance that a reading out of its order, and double, is a mistake"),
    ("picture_bias", "normal", 0.0, 0.015, "mm", "how much wider than the truth a line comes out of a picture"),
    ("picture_factor", "log", 1.4, 0.5, "", "how much further off than stated a line from a picture is, times"),
    ("wear_rate", "log", 0.0002, 1.3, "mm", "tip flat gained for each cut's worth of path"),
)
"""Every prior of the fit by name: the shop's own latents and the spread of those pooled below them."""

SHOP = tuple(name for name in PRIORS if name != "angle_error")
"""Latents of which a shop has one."""


@dataclass(frozen=True, kw_only=True)
class Beliefs:
    """
    What is believed of a shop before any cut is logged.

    Parameters
    ----------
    priors : mapping of str to Prior
        One for every name of `PRIORS`.
    basis : str
        ``judgement`` or ``pooled``.
    made_by : str
        Name and version of the program that made them.
    shops, cuts, readings : int
        How many they were learnt from.
    """

    priors: Mapping[str, Prior] = field(default_factory=lambda: PRIORS)
    basis: str = "judgement"
    made_by: str = ""
    shops: int = 0
    cuts: int = 0
    readings: int = 0

    def __post_init__(self) -> None:
        for name, own in PRIORS.items():
            if name not in self.priors:
                raise InputError(
                    "a starting belief is missing", value=name, allowed="one for each thing that is fitted"
                )
            if self.priors[name].kind != own.kind:
                wrong = self.priors[name].kind
                raise InputError(f"the belief about {name} is of another kind", value=wrong, allowed=own.kind)
        more = sorted(set(self.priors) - set(PRIORS))
        if more:
            raise InputError("nothing of this name is fitted", value=more[0], allowed=", ".join(PRIORS))

    def figures(self) -> dict[str, tuple[float, float]]:
        """Centre and spread of each: what a fit depends on."""
        return {name: (float(self.priors[name].centre), float(self.priors[name].spread)) for name in PRIORS}

    def record(self) -> dict:
        """All of it, as the file has it: plain dicts, strings and numbers."""
        own = {name: {k: v for k, v in asdict(self.priors[name]).items() if k != "name"} for name in PRIORS}
        rest = {key: getattr(self, key) for key in ("basis", "made_by", "shops", "cuts", "readings")}
        return {"format": 1, **rest, "priors": own}

    @classmethod
    def from_record(cls, record: dict) -> "Beliefs":
        """
        Beliefs from what `record` gives.

        Raises
        ------
        InputError
            Where something is missing, unknown or makes no sense.
        """
        if not isinstance(record, dict) or record.get("format") != 1 or not isinstance(record.get("priors"), dict):
            raise InputError("these are no starting beliefs", allowed="a file that `inlaylab pool` wrote")
        known = {f.name for f in fields(Prior)} - {"name"}
        try:
            priors = {
                str(name): Prior(name=str(name), **{k: v for k, v in one.items() if k in known})
                for name, one in record["priors"].items()
            }
            rest = {key: record[key] for key in ("basis", "made_by", "shops", "cuts", "readings") if key in record}
            return cls(priors=priors, **rest)
        except (TypeError, AttributeError) as fault:
            raise InputError("these starting beliefs are not whole", value=str(fault)) from None

    @classmethod
    def read(cls, path: str | os.PathLike) -> "Beliefs":
        """
        Read beliefs from a file.

        Raises
        ------
        InputError
            Where there is no such file, or what it holds is no set of starting beliefs.
        """
        path = Path(path)
        try:
            if path.stat().st_size > LARGEST:
                raise InputError("this file is too large for starting beliefs", where=str(path))
            return cls.from_record(json.loads(path.read_text(encoding="utf-8")))
        except (OSError, ValueError, RecursionError) as fault:
            if isinstance(fault, InputError):
                raise
            raise InputError("these starting beliefs can not be read", value=str(fault), where=str(path)) from None


KIT = Beliefs()
"""The kit's own."""
