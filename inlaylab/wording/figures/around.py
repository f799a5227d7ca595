"""Words on the pictures of what surrounds the cut: season."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from inlaylab.wording.lengths import length

HUMIDITY, GROWS = "relative humidity [%]", "insert grows more by"


def season_alt(growths: Mapping[str, Iterable[float]], unit: str) -> str:
    """Say what the picture of a year's movement shows, by direction [mm]."""
    spans = []
    for name, growth in growths.items():
        every = [float(each) for each in growth]
        spans.append(f"{name}: {length(min(every), unit)} to {length(max(every), unit)}")
    return f"Growth of the insert less that of the host against relative humidity. {'; '.join(spans)}."
