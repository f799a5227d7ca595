"""Two makers' logs side by side: what each knows of its bits and woods."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from inlaylab.errors import FitMissing
from inlaylab.wording.lengths import angle_spread, spread

if TYPE_CHECKING:
    from inlaylab.bench.shop import Shop


def compare_rows(logs: dict[str, str | Path], *, unit: str = "mm") -> list[dict[str, str]]:
    """
    Give one row for each bit and pair of each log, ready for a table.

    Parameters
    ----------
    logs : dict
        Path of each log by the name to show.
    unit : str
        The reader's unit.

    Returns
    -------
    rows : list of dict
        Quantities are blank for a log that is not fitted as it is now.
    """
    rows = []
    for name, path in logs.items():
        shop, summary = _known(Path(path))
        for group, kind in (("bits", "bit"), ("pairs", "pair")):
            for record in getattr(shop, group):
                label = getattr(record, kind)
                cuts = sum(getattr(cut, kind) == label for cut in shop.cuts)
                known = summary.get(group, {}).get(label, {})
                rows.append(
                    {
                        "log": name,
                        "what": f"{kind} {label}",
                        "cuts": str(cuts),
                        "true angle [°]": angle_spread(known["true_angle_deg"]) if "true_angle_deg" in known else "",
                        f"tip flat [{unit}]": spread(known["tip_flat"], unit) if "tip_flat" in known else "",
                        f"wall allowance [{unit}]": spread(known["wall_allowance"], unit)
                        if "wall_allowance" in known
                        else "",
                    }
                )
    return rows


def _known(path: Path) -> tuple[Shop, dict[str, Any]]:
    from inlaylab.fitting import stored_fit
    from inlaylab.log.store import Log

    with Log.open(path) as log:
        shop, fingerprint = log.shop(), log.fingerprint()
    try:
        return shop, stored_fit.load(path, fingerprint).summary()
    except FitMissing:
        return shop, {}
