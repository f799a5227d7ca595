"""Two makers' logs that never were one: a new log that holds both, so that one fit learns from both benches."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from inlaylab.bench.shop import Shop
from inlaylab.errors import LogError
from inlaylab.log.kept_pictures import copy_photo
from inlaylab.log.merging.new_log import new_log
from inlaylab.log.store import Log

if TYPE_CHECKING:
    from collections.abc import Callable

    from inlaylab.bench.cuts import Cut


@dataclass(frozen=True, kw_only=True)
class Merged:
    """
    What was brought into a new log.

    Parameters
    ----------
    path : Path
        The new log.
    cuts, bits, pairs : int
        How many of the other log's were added.
    notes : tuple of str
        What the maker should know.
    """

    path: Path
    cuts: int
    bits: int
    pairs: int
    notes: tuple[str, ...] = ()


def merge(log_path: str | Path, other_path: str | Path, new_path: str | Path, *, prefix: str, by: str = "") -> Merged:
    """
    Make a new log of two; neither of them is changed.

    Parameters
    ----------
    log_path, other_path : path
        The two logs.
    new_path : path
        The log to make; there must be no file of this name.
    prefix : str
        Put before the names of the other log's bits, coupons and cuts: two makers' ``sixty`` are two bits.
    by : str
        Who merges, for the history.

    Returns
    -------
    merged : Merged

    Raises
    ------
    LogError
        Where a log is none, the new name is taken, or a prefixed name is.

    Notes
    -----
    A species pair of the same two woods is one pair for both, so that the fit pools over them. What the other log
    assumed by its habits (sanded off) is written into its cuts.
    """
    new_path = Path(new_path)
    if not prefix.strip():
        raise LogError("the prefix for the other log's names is blank", allowed="a word, as the other maker's initials")
    if new_path.exists():
        raise LogError("there is a file of this name already", value=str(new_path), allowed="a new name")
    with Log.open(log_path) as log:
        mine = log.shop()
    with Log.open(other_path) as log:
        theirs = log.shop()
    renamed = _renamed(theirs, mine, prefix.strip())
    home = Path(other_path).resolve().parent
    groups = ("bits", "pairs", "coupons", "grooves", "cuts", "readings", "forecasts")
    with new_log(log_path, new_path, other_path=other_path) as copy, Log.open(copy) as log:
        cuts = tuple(replace(cut, photo=copy_photo(cut.photo, home, copy.parent)) for cut in renamed.cuts)
        renamed = replace(renamed, cuts=cuts)
        log.add(
            [record for group in groups for record in getattr(renamed, group)],
            by=by,
            what=f"merged {Path(other_path).name}",
        )
    return Merged(
        path=new_path,
        cuts=len(renamed.cuts),
        bits=len(renamed.bits),
        pairs=len(renamed.pairs),
        notes=_notes(mine, theirs),
    )


def _renamed(theirs: Shop, mine: Shop, prefix: str) -> Shop:
    """Give the other log's records under names that this log does not have."""

    def name(of: str) -> str:
        return f"{prefix} {of}"

    woods = {(pair.host, pair.insert): pair.pair for pair in mine.pairs}
    taken = {pair.pair for pair in mine.pairs}
    pair_names, new_pairs = {}, []
    for pair in theirs.pairs:
        known = woods.get((pair.host, pair.insert))
        pair_names[pair.pair] = known or (name(pair.pair) if pair.pair in taken else pair.pair)
        if known is None:
            new_pairs.append(replace(pair, pair=pair_names[pair.pair]))
    sanded = theirs.habits.sanded_off
    return Shop(
        bits=tuple(replace(bit, bit=name(bit.bit)) for bit in theirs.bits),
        grooves=tuple(replace(groove, bit=name(groove.bit)) for groove in theirs.grooves),
        pairs=tuple(new_pairs),
        coupons=tuple(
            replace(
                coupon,
                coupon=name(coupon.coupon),
                stations=tuple(replace(station, coupon=name(coupon.coupon)) for station in coupon.stations),
            )
            for coupon in theirs.coupons
        ),
        cuts=tuple(_cut(cut, name, pair_names, sanded) for cut in theirs.cuts),
        readings=tuple(replace(reading, cut=name(reading.cut)) for reading in theirs.readings),
        forecasts=tuple(replace(forecast, cut=name(forecast.cut)) for forecast in theirs.forecasts),
    )


def _cut(cut: Cut, name: Callable[[str], str], pair_names: dict[str, str], sanded: float) -> Cut:
    return replace(
        cut,
        cut=name(cut.cut),
        bit=name(cut.bit),
        pair=pair_names[cut.pair],
        coupon=name(cut.coupon) if cut.coupon else None,
        sanded_off=sanded if cut.sanded_off is None else cut.sanded_off,
    )


def _notes(mine: Shop, theirs: Shop) -> tuple[str, ...]:
    notes = []
    for habit in ("tight_below", "hairline_below"):
        a, b = getattr(mine.habits, habit), getattr(theirs.habits, habit)
        if a != b:
            notes.append(
                f"{habit.replace('_', ' ')} is {a:g} mm in this log and {b:g} mm in the other; this log's is kept."
            )
    return tuple(notes)
