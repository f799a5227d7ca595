"""Readings: what is measured or seen on a test cut, kind by kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from inlaylab.bench import checks, fields


@dataclass(frozen=True, kw_only=True)
class Kind:
    """
    A kind of reading.

    Parameters
    ----------
    name : str
        Its word in tables.
    label : str
        What it is, in the maker's words.
    at_station : bool
        Whether it is read at a station.
    measured : bool
        Whether it has a length.
    states : tuple of str
        What may be seen instead of, or in place of, a length.
    limit : bool
        Whether it may carry the limit below which nothing is seen.
    """

    name: str
    label: str
    at_station: bool = False
    measured: bool = True
    states: tuple[str, ...] = ()
    limit: bool = False


KINDS = {
    kind.name: kind
    for kind in (
        Kind(name="backer_gap", label="room between backer and host before the backer is cut off, by feeler gauge"),
        Kind(name="floor_gap", label="room between nose and floor, on a piece sawn through"),
        Kind(name="pocket_depth", label="depth of the pocket, by depth gauge"),
        Kind(name="plug_depth", label="depth of the ground around the plug, by depth gauge"),
        Kind(
            name="glue_line",
            label="glue line on the finished face, per side",
            at_station=True,
            states=("closed",),
            limit=True,
        ),
        Kind(
            name="fill",
            label="whether the stroke is filled",
            at_station=True,
            measured=False,
            states=("filled", "partly", "missing"),
        ),
        Kind(name="wedge_stop", label="finished stroke width at which filling of the wedge stops", at_station=True),
    )
}
"""Every kind of reading there is."""

METHODS = {
    "loupe": "by eye with a loupe",
    "picture": "from a scan or photo of the finished face",
    "feeler": "by feeler gauge",
    "gauge": "by depth gauge or caliper",
}
"""The ways to read a cut."""

STATES = tuple(dict.fromkeys(state for kind in KINDS.values() for state in kind.states))


@dataclass(frozen=True, kw_only=True)
class Reading:
    """
    One thing measured or seen on a cut.

    Parameters
    ----------
    cut : str
        Name of the cut.
    kind : str
        One of `KINDS`.
    station : str, optional
        Where on the coupon, for kinds that are read at a station.
    value : float, optional
        What was measured; may be a slip of unit, so up to 500 mm is kept for `check` to name. [mm]
    limit : float, optional
        Limit of a glue line: what the eye or loupe would still have seen. [mm]
    state : str, optional
        ``closed`` for a glue line below its limit; ``filled``, ``partly`` or ``missing`` for a fill.
    unit : str
        Unit that its lengths were typed in; may be blank where it has none.
    method : str, optional
        How it was read, one of `METHODS`; None where nobody said.
    sd : float, optional
        Standard deviation that the method itself states for ``value``. [mm]
    origin : str, optional
        Whose shared page it came from, and that page's fingerprint.
    typed, extra : dict
        Lengths as typed; columns kept without a use.

    Examples
    --------
    >>> Reading(cut="k1", kind="glue_line", station="B1", state="closed", limit=0.05, unit="mm").value is None
    True
    """

    cut: str = fields.name()
    kind: str = fields.choice(*KINDS)
    station: str | None = fields.name(needed=False)
    value: float | None = fields.length(high=500.0)
    limit: float | None = fields.length(high=10.0, above=True)
    state: str | None = fields.choice(*STATES, needed=False)
    unit: str = fields.unit(default="")
    method: str | None = fields.choice(*METHODS, needed=False, seldom=True)
    sd: float | None = fields.length(high=10.0, above=True, seldom=True)
    origin: str | None = fields.origin()
    typed: Mapping[str, str] = fields.typed()
    extra: Mapping[str, str] = fields.extra()

    def __post_init__(self) -> None:
        checks.check(self)
        kind = KINDS[self.kind]
        if kind.at_station and self.station is None:
            checks.refuse(self, "station", f"a {self.kind} needs its station", None, "the name of a station")
        if not kind.at_station and self.station is not None:
            checks.refuse(self, "station", f"a {self.kind} is read at no station", self.station, "blank")
        if self.state is not None and self.state not in kind.states:
            allowed = ", ".join(kind.states) or "blank"
            checks.refuse(self, "state", f"this is no state of a {self.kind}", self.state, allowed)
        self._check_lengths(kind)

    def _check_lengths(self, kind: Kind) -> None:
        if not kind.measured:
            for name in ("value", "limit", "sd"):
                if getattr(self, name) is not None:
                    checks.refuse(self, name, f"a {self.kind} has no {name}", getattr(self, name), "blank")
            if self.state is None:
                checks.refuse(self, "state", f"a {self.kind} needs its state", None, ", ".join(kind.states))
            return
        if self.state is None and self.value is None:
            also = f", or state = {kind.states[0]} with its limit" if kind.states else ""
            checks.refuse(self, "value", f"a {self.kind} needs its value", None, f"a length{also}")
        if self.state is not None and self.value is not None:
            checks.refuse(self, "state", f"a {self.kind} has a value or is {self.state}, not both", self.state, "blank")
        if self.state is not None and self.limit is None:
            allowed = "the length below which the eye saw nothing"
            checks.refuse(self, "limit", f"a {self.kind} that is {self.state} needs its limit", None, allowed)
        if self.limit is not None and not kind.limit:
            checks.refuse(self, "limit", f"a {self.kind} has no limit", self.limit, "blank")
        if not self.unit:
            checks.refuse(self, "unit", "a reading with a length needs its unit", None)
