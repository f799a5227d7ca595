"""What a shop does by habit, stated once so that it need not be typed for every cut."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from inlaylab.bench import checks, fields


@dataclass(frozen=True, kw_only=True)
class Habits:
    """
    The stated habits of a shop.

    Parameters
    ----------
    pocket_depth, relief_depth : float, optional
        Taken for a cut that does not state its own, when the cut is saved. [mm]
    sanded_off : float
        Assumed where a cut does not say; the default is common practice, no source. [mm]
    tight_below, hairline_below : float
        Worst glue line of a piece called tight, and of one called hairline. Our choice, for the maker to set: tight is
        what a 0.05 mm loupe scale does not show, a hairline up to three times that. [mm]
    loupe_limit : float
        Glue line that the shop's loupe still shows; our choice, the same 0.05 mm. [mm]
    unit : str
        Unit that the shop reads and types in.
    maker : str
        Whose shop it is, as it should stand on a shared page.
    typed, extra : dict
        Lengths as typed; columns kept without a use.
    """

    pocket_depth: float | None = fields.length(above=True)
    relief_depth: float | None = fields.length()
    sanded_off: float = fields.length(default=0.3)
    tight_below: float = fields.length(high=10.0, above=True, default=0.05)
    hairline_below: float = fields.length(high=10.0, above=True, default=0.15)
    loupe_limit: float = fields.length(high=10.0, above=True, default=0.05)
    unit: str = fields.unit()
    maker: str = fields.text()
    typed: Mapping[str, str] = fields.typed()
    extra: Mapping[str, str] = fields.extra()

    def __post_init__(self) -> None:
        for name in ("sanded_off", "tight_below", "hairline_below", "loupe_limit"):
            if getattr(self, name) is None:
                object.__setattr__(self, name, fields.specs(type(self))[name].default)
        checks.check(self)
        if self.tight_below > self.hairline_below:
            checks.refuse(
                self,
                "hairline_below",
                "a hairline would be narrower than tight",
                f"{self.hairline_below:g} mm",
                f"at least tight_below, {self.tight_below:g} mm",
            )
