"""What the commands fit and predict say."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from inlaylab.wording.chances import percent
from inlaylab.wording.lengths import between, count, fine, length

if TYPE_CHECKING:
    from inlaylab.fitting.fit import Fit

FIT = "fit the log and store the fit beside it; later commands reuse it while the log has not changed"
FIT_DETAILS = (
    "A stored fit of an earlier state of the log is brought up to date; where that is not enough, a full fit follows. "
    "With --seed or --force it is fitted from scratch, and the same log and seed give the same fit. Ctrl-C stops; "
    "nothing is stored then."
)
FIT_OPTIONS = {
    "--seed": "fit from scratch with this seed of the random numbers, 1 if left out",
    "--force": "fit from scratch, whatever is stored beside the log",
    "--beliefs": "starting beliefs that `inlaylab pool` wrote, or `kit` for the kit's own; those of the last fit if "
    "left out",
}
PREDICT = "say what cuts that are not in the log will show"
PREDICT_OPTIONS = {
    "--cuts": "folder with cuts.csv, and with bits.csv, pairs.csv, coupons.csv where the log does not have them",
}
A_SEED = "a seed"
NO_CUTS, LOG_ONE = "the log has no cuts yet", "log a test cut, then fit"
STILL_GOOD, STORED = "The stored fit is still good.", "It is stored beside the log."
NOT_SETTLED = "The fit did not settle. It is stored beside the log, but nothing is advised from it."
MIDDLES = "Middle value, and in brackets the 90% range:"
NOTHING = "Nothing to predict: the folder's cuts have no coupon with stations."
STATION, GLUE_LINE, CLOSED, FILLED = "station", "glue line (90% range)", "closed", "filled"


def fit_lines(fit: Fit, unit: str, *, opening: str) -> list[str]:
    """
    Tell a fit to a person: each lasting quantity with its 90% range.

    Parameters
    ----------
    fit : fitting.fit.Fit
        The fit.
    unit : str
        The reader's unit.
    opening : str
        What was done.

    Returns
    -------
    lines : list of str
    """
    from inlaylab.wording.answers.pool import began_with

    record = fit.summary()
    lines = [
        f"{opening} {count(record['cuts'], 'cut')}, {count(record['readings'], 'reading')}, seed {record['seed']}; "
        f"the fit took {record['seconds']:.0f} s.",
        began_with(fit.beliefs),
        fit.diagnostics.in_words(),
        "",
        MIDDLES,
    ]
    for family, one in (("bits", "bit"), ("pairs", "pair"), ("species", "species")):
        for name, spreads in record.get(family, {}).items():
            told = (f"{_plain(key)} {spread(value, _own_unit(key), unit)}" for key, value in spreads.items())
            lines.append(f"  {one} {name}: {', '.join(told)}")
    lines.append("  shop:")
    for name, value in record["shop"].items():
        prior = fit.beliefs.priors.get(name)
        meaning, own = (prior.meaning, prior.measure) if prior else (_plain(name), "mm")
        lines.append(f"    {meaning}: {spread(value, own, unit)}")
    return lines


def _plain(key: str) -> str:
    return key.removesuffix("_deg").replace("_", " ")


def _own_unit(key: str) -> str:
    return "degrees" if key.endswith("_deg") else "mm"


def spread(value: Mapping[str, float], own: str, unit: str) -> str:
    """
    Write a quantity with its 90% range: lengths in the reader's unit, angles in degrees, chances in hundredths.

    Parameters
    ----------
    value : mapping of str to float
        ``q05``, ``q50``, ``q95``.
    own : str
        ``mm``, ``degrees``, ``chance``, or blank for a plain number.
    unit : str
        The reader's unit.

    Examples
    --------
    >>> spread({"q05": 0.04, "q50": 0.0721, "q95": 0.11}, "mm", "mm")
    '0.072 mm (0.040 to 0.110 mm)'
    >>> spread({"q05": 0.0095, "q50": 0.019, "q95": 0.034}, "chance", "mm")
    '2% (1% to 3%)'
    """
    middle = value["q50"]
    figure = {"mm": fine(middle, unit), "degrees": f"{middle:.2f}°", "chance": percent(middle)}
    return f"{figure.get(own, f'{middle:.2f}')} ({ends(value, own, unit)})"


def ends(value: Mapping[str, float], own: str, unit: str) -> str:
    """
    Write the 90% range of a quantity; see `spread`.

    Examples
    --------
    >>> ends({"q05": 60.57, "q95": 61.0}, "degrees", "mm")
    '60.57° to 61.00°'
    """
    low, high = value["q05"], value["q95"]
    if own == "mm":
        return between(low, high, unit, "fine")
    if own == "chance":
        return f"{percent(low)} to {percent(high)}"
    degrees = "°" if own == "degrees" else ""
    return f"{low:.2f}{degrees} to {high:.2f}{degrees}"


def prediction_lines(record: Mapping[str, Any], unit: str) -> list[str]:
    """
    Tell a prediction to a person, cut by cut.

    Parameters
    ----------
    record : mapping
        With ``glue_lines``, ``fills`` and ``backer_gaps``. [mm]
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
    """
    lines = []
    names = dict.fromkeys(row["cut"] for key in ("glue_lines", "fills", "backer_gaps") for row in record[key])
    for name in names:
        lines += [f"cut {name.removeprefix('cut ')}"]
        lines += [f"  backer gap {_between(row, unit)}" for row in record["backer_gaps"] if row["cut"] == name]
        fills = {row["station"]: row["filled_chance"] for row in record["fills"] if row["cut"] == name}
        lines.append(f"  {STATION:<10}{GLUE_LINE:<40}{CLOSED:>10}{FILLED:>10}")
        for row in record["glue_lines"]:
            if row["cut"] == name:
                filled = fills.pop(row["station"], None)
                told = "" if filled is None else percent(filled)
                closed = percent(row["closed_chance"])
                lines.append(f"  {row['station']:<10}{_between(row, unit):<40}{closed:>10}{told:>10}")
        lines += [f"  {station:<10}{'':<50}{percent(filled):>10}" for station, filled in fills.items()]
    return lines or [NOTHING]


def _between(row: Mapping[str, float], unit: str) -> str:
    return f"{length(row['q50'], unit)} ({between(row['q05'], row['q95'], unit)})"
