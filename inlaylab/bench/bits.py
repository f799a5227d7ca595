"""V-bits, and the straight grooves cut to measure them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from inlaylab.bench import checks, fields


@dataclass(frozen=True, kw_only=True)
class Bit:
    """
    A V-bit.

    Parameters
    ----------
    bit : str
        Its name in this shop.
    nominal_angle_deg : float
        Included angle as sold. [degrees]
    tip_flat : float, optional
        Width of the flat or worn tip by loupe, give or take 0.05 mm. [mm]
    cutting_diameter : float, optional
        Width at the top of its cutting edges. [mm]
    unit : str
        Unit that its lengths were typed in.
    notes : str
        Free text.
    origin : str, optional
        Whose shared page it came from, and that page's fingerprint.
    typed, extra : dict
        Lengths as typed; columns kept without a use.

    Examples
    --------
    >>> Bit(bit="b1", nominal_angle_deg=60).tip_flat is None
    True
    """

    bit: str = fields.name()
    nominal_angle_deg: float = fields.number(low=1.0, high=179.0, needed=True, unit="degrees")
    tip_flat: float | None = fields.length(high=20.0)
    cutting_diameter: float | None = fields.length(high=200.0, above=True)
    unit: str = fields.unit()
    notes: str = fields.text()
    origin: str | None = fields.origin()
    typed: Mapping[str, str] = fields.typed()
    extra: Mapping[str, str] = fields.extra()

    def __post_init__(self) -> None:
        checks.check(self)


@dataclass(frozen=True, kw_only=True)
class Groove:
    """
    A straight groove cut at a stated depth to measure a bit.

    Parameters
    ----------
    bit : str
        Name of the bit.
    date : str, optional
        Day of the setup, ISO 8601: grooves of one day share one zero.
    depth : float
        Programmed depth. [mm]
    width : float
        Full width measured across the top. [mm]
    unit : str
        Unit that its lengths were typed in.
    origin : str, optional
        Whose shared page it came from, and that page's fingerprint.
    typed, extra : dict
        Lengths as typed; columns kept without a use.
    """

    bit: str = fields.name()
    date: str | None = fields.date()
    depth: float = fields.length(above=True, needed=True)
    width: float = fields.length(high=500.0, above=True, needed=True)
    unit: str = fields.unit()
    origin: str | None = fields.origin()
    typed: Mapping[str, str] = fields.typed()
    extra: Mapping[str, str] = fields.extra()

    def __post_init__(self) -> None:
        checks.check(self)
