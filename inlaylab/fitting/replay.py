"""A log fitted again and again as it grew: what was known after its first cut, its second, and so on."""

from collections.abc import Callable, Iterator
from dataclasses import replace

from inlaylab.bench.cuts import Cut
from inlaylab.bench.shop import Shop
from inlaylab.errors import Stopped
from inlaylab.fitting.fit import Fit, fit_shop
from inlaylab.fitting.sampling.posterior import Progress
from inlaylab.fitting.update import Watch, update


def in_order(shop: Shop) -> list[Cut]:
    """
    Give the cuts of a shop in the order in which they were made.

    Parameters
    ----------
    shop : Shop
        The records.

    Returns
    -------
    cuts : list of Cut
        By date; a cut without one stays after the cut that was logged before it.
    """
    day, keys = "", []
    for number, cut in enumerate(shop.cuts):
        day = (cut.date or day)[:10]
        keys.append((day, number))
    return [shop.cuts[number] for _, number in sorted(keys)]


def prefix(shop: Shop, count: int) -> Shop:
    """
    Give a shop as it was after some of its cuts.

    Parameters
    ----------
    shop : Shop
        The records.
    count : int
        How many cuts.

    Returns
    -------
    shop : Shop
        The first cuts with their readings, and the grooves that were cut by then.
    """
    cuts = in_order(shop)[:count]
    names, last = {cut.cut for cut in cuts}, max((cut.date or "" for cut in cuts), default="")
    return replace(
        shop,
        cuts=tuple(cuts),
        readings=tuple(reading for reading in shop.readings if reading.cut in names),
        grooves=tuple(groove for groove in shop.grooves if not groove.date or groove.date <= last),
        forecasts=(),
    )


def fits_of_prefixes(
    shop: Shop,
    *,
    seed: int = 1,
    progress: Progress | None = None,
    stop: Callable[[], bool] | None = None,
) -> Iterator[tuple[int, Fit]]:
    """
    Fit a log's first cut, then bring the fit up to date with its first two, and so on up to all but the last.

    Parameters
    ----------
    shop : Shop
        The log.
    seed : int
        Seed of each fit.
    progress, stop : callable, optional
        Told how far it is; asked whether to stop.

    Yields
    ------
    count, fit : int, Fit
        How many cuts, in the order in which they were made, and the fit of them.

    Raises
    ------
    Stopped
        When ``stop`` said so.
    """
    fit: Fit | None = None
    last, watch = len(shop.cuts) - 1, Watch(stop=stop)
    for count in range(1, last + 1):
        if stop is not None and stop():
            raise Stopped("the replay was stopped")
        if progress is not None:
            progress((count - 1) / last, None, f"fitting the first {count} of {last + 1} cuts")
        grown = prefix(shop, count)
        fit = fit_shop(grown, seed=seed, stop=stop) if fit is None else update(fit, grown, seed=seed, watch=watch)
        yield count, fit
