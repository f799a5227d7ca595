"""Test cuts, and the pairs of woods that they are made in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from inlaylab.bench import checks, fields
from inlaylab.bench.bits import Bit

OUTCOMES = {
    "tight": "no glue line to be seen",
    "hairline": "a thin glue line in places",
    "open": "an open glue line",
    "proud": "the plug stands above the face",
    "broken": "the plug broke",
}
"""What a piece looks like when finished, and the words for it."""


@dataclass(frozen=True, kw_only=True)
class Pair:
    """
    A species pair.

    Parameters
    ----------
    pair : str
        Its name in this shop.
    host, insert : str
        Species of the board that receives and of the board that gives.
    origin : str, optional
        Whose shared page it came from, and that page's fingerprint.
    extra : dict
        Columns kept without a use.
    """

    pair: str = fields.name()
    host: str = fields.name()
    insert: str = fields.name()
    origin: str | None = fields.origin()
    extra: Mapping[str, str] = fields.extra()

    def __post_init__(self) -> None:
        checks.check(self)


@dataclass(frozen=True, kw_only=True)
class Cut:
    """
    One test cut: a coupon, glued, levelled and sanded.

    Parameters
    ----------
    cut : str
        Its name.
    date : str, optional
        Day, ISO 8601.
    bit, pair : str
        Names of the bit and of the species pair.
    coupon : str, optional
        Name of the coupon; without one nothing can be read station by station.
    start_depth, pocket_depth, relief_depth : float
        Programmed depths. [mm]
    sanded_off : float, optional
        What came off the host's face after levelling. [mm]
    path_angle_deg : float, optional
        Included angle that the path was computed for; the bit's nominal angle where not recorded. [degrees]
    outline_offset : float, optional
        How much the plug's outline was grown per side. [mm]
    pass_spacing : float, optional
        Spacing of passes that cleared flat ground with the V-bit; 0 or not recorded: an end mill did. [mm]
    path_length_m : float, optional
        Length of path that the bit cut. [m]
    outcome : str, optional
        One of `OUTCOMES`.
    notes, photo : str
        Free text; path of a photo inside the log's folder.
    picture : str
        Path of the picture that its stations were read from, reduced and kept beside the log.
    unit : str
        Unit that its lengths were typed in.
    origin : str, optional
        Whose shared page it came from, and that page's fingerprint.
    typed, extra : dict
        Lengths as typed; columns kept without a use.

    Examples
    --------
    >>> cut = Cut(cut="k1", bit="b1", pair="p1", start_depth=3.4, pocket_depth=4.2, relief_depth=1.6)
    >>> cut.path_angle(Bit(bit="b1", nominal_angle_deg=60))
    60.0
    """

    cut: str = fields.name()
    date: str | None = fields.date()
    bit: str = fields.name()
    pair: str = fields.name()
    coupon: str | None = fields.name(needed=False)
    start_depth: float = fields.length(needed=True)
    pocket_depth: float = fields.length(above=True, needed=True)
    relief_depth: float = fields.length(needed=True)
    sanded_off: float | None = fields.length()
    path_angle_deg: float | None = fields.number(low=1.0, high=179.0, unit="degrees")
    outline_offset: float | None = fields.length(low=-10.0, high=10.0)
    pass_spacing: float | None = fields.length()
    path_length_m: float | None = fields.number(low=0.0, high=1e6, unit="m")
    outcome: str | None = fields.choice(*OUTCOMES, needed=False)
    notes: str = fields.text()
    photo: str = fields.photo()
    picture: str = fields.photo(seldom=True)
    unit: str = fields.unit()
    origin: str | None = fields.origin()
    typed: Mapping[str, str] = fields.typed()
    extra: Mapping[str, str] = fields.extra()

    def __post_init__(self) -> None:
        checks.check(self)

    def path_angle(self, bit: Bit) -> float:
        """
        Included angle that the path was computed for.

        Parameters
        ----------
        bit : Bit
            The bit of this cut.

        Returns
        -------
        angle : float
            As recorded, else the bit's nominal angle. [degrees]
        """
        return bit.nominal_angle_deg if self.path_angle_deg is None else self.path_angle_deg
