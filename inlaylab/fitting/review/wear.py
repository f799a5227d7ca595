"""
How bits wear: flat and angle now, and the evidence that they drift.

The fit knows one wear rate for the shop: flat gained for each cut's worth of path. Beside it stands what each
bit's own readings say without it: for every cut, how much more open its glue lines were than a cut with the same
settings should have been, and how much more they grew with depth, set against the bit's use before it.
"""

from dataclasses import asdict, dataclass

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.errors import InputError
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.cut_seats import seat_levels
from inlaylab.fitting.model.likelihood import expected_values
from inlaylab.fitting.model.observations import Observations, observe
from inlaylab.fitting.quantiles import spread
from inlaylab.fitting.review.cut_likelihood import thinned
from inlaylab.models.measuring.lines import straight_lines

FEWEST_LINES, FEWEST_CUTS, LEAST_DEPTHS = 2, 3, 1.0
"""Glue lines of a cut and cuts of a bit that a trend needs, and the spread of depths [mm] that tells of the angle.
Our choice: the fewest that fix a straight line with something left over to judge it by."""


@dataclass(frozen=True, kw_only=True)
class Trend:
    """
    A quantity of single cuts against the bit's use before them.

    Parameters
    ----------
    use : array, shape (cuts,)
        Cuts' worth of path before each.
    values : array, shape (cuts,)
        Extra opening [mm], or extra angle [degrees].
    slope, slope_uncertainty : float
        Slope and its uncertainty, for each cut's worth of path; not a number with fewer than three cuts.
    middle : float
        Middle of the line, at the mean use.
    seen : bool
        Whether the slope is more than twice its standard uncertainty.
    """

    use: np.ndarray
    values: np.ndarray
    slope: float
    slope_uncertainty: float
    middle: float
    seen: bool


@dataclass(frozen=True, kw_only=True)
class BitDrift:
    """
    One bit, new and now.

    Parameters
    ----------
    bit : str
        Its name.
    cuts : int
        Logged with it.
    use : float
        Cuts' worth of path so far.
    flat_new, flat_now, angle : dict of float
        ``q05``, ``q50``, ``q95``. [mm, mm, degrees]
    opening, angle_drift : Trend
        Opening and drift of the angle, seen in its glue lines.
    words : str
        What that says.
    """

    bit: str
    cuts: int
    use: float
    flat_new: dict[str, float]
    flat_now: dict[str, float]
    angle: dict[str, float]
    opening: Trend
    angle_drift: Trend
    words: str


@dataclass(frozen=True, kw_only=True)
class Drift:
    """
    Wear of a shop's bits.

    Parameters
    ----------
    wear_prior, wear : dict of float
        ``q05``, ``q50``, ``q95`` of the wear rate before and after the log. [mm]
    log_speaks : bool
        Whether the log says more of it than the starting belief.
    metres_per_cut : float or None
        What one cut's worth of path is; None where no path length is logged. [m]
    bits : tuple of BitDrift
        Those with a cut.
    """

    wear_prior: dict[str, float]
    wear: dict[str, float]
    log_speaks: bool
    metres_per_cut: float | None
    bits: tuple[BitDrift, ...]

    def to_json(self) -> dict[str, object]:
        """Answer of the command ``drift``."""
        return asdict(self)


def drift(fit: Fit, shop: Shop) -> Drift:
    """
    Say how the shop's bits wear, and what the evidence is.

    Parameters
    ----------
    fit : Fit
        Converged fit of the log.
    shop : Shop
        The log.

    Returns
    -------
    drift : Drift

    Raises
    ------
    NotConverged
        If the fit's chains do not agree.

    Notes
    -----
    The evidence of the wear rate is how far its posterior left its prior; the trends are straight lines by least
    squares, their uncertainty from the scatter of the cuts.
    """
    fit.check()
    seen, wear, prior = observe(shop), fit.values["wear_rate"], fit.beliefs.priors["wear_rate"]
    extra = _extra(thinned(fit, 200), seen)
    shift = np.log(wear)
    told = shift.std() < 0.75 * prior.spread or abs(np.median(shift) - np.log(prior.centre)) > prior.spread
    bits = []
    for i, name in enumerate(fit.names.bits):
        mine = np.flatnonzero(seen.cuts.bit == i)
        if mine.size:
            bits.append(_bit(fit, shop, i, name, {key: value[mine] for key, value in extra.items()}))
    tail = np.exp(1.6449 * prior.spread)
    return Drift(
        wear_prior={"q05": float(prior.centre / tail), "q50": prior.centre, "q95": float(prior.centre * tail)},
        wear=spread(wear),
        log_speaks=bool(told),
        metres_per_cut=metres_per_cut(shop),
        bits=tuple(bits),
    )


def metres_per_cut(shop: Shop) -> float | None:
    """
    Metres of path that a cut usually takes.

    Parameters
    ----------
    shop : Shop
        The log.

    Returns
    -------
    metres : float or None
        Median of those logged; None where none is. [m]

    Examples
    --------
    >>> metres_per_cut(Shop()) is None
    True
    """
    lengths = [cut.path_length_m for cut in shop.cuts if cut.path_length_m]
    return float(np.median(lengths)) if lengths else None


def _extra(fit: Fit, seen: Observations) -> dict[str, np.ndarray]:
    """
    For each cut its bit's use, and by how much its glue lines were more open than its settings say.

    A new bit's lines are expected, and for each cut the middle zero errors and shortfall of the shop; a line
    seen as closed counts as what the loupe would just have missed, or as nothing where none was expected.
    """
    cuts, rows, fitted = seen.cuts, seen.rows["glue_line"], dict(fit.values)
    shape = (len(fitted["bias"]), len(cuts.bit))
    for name in ("host_zero_error", "insert_zero_error"):
        fitted[name] = np.broadcast_to(fitted["bias"][:, None], shape)
    fitted["shortfall"] = np.broadcast_to(np.median(fit.values["shortfall"], axis=1)[:, None], shape)
    fitted["wear_rate"] = np.zeros(shape[0])
    out = {name: np.full(shape[1], np.nan) for name in ("opening", "slope")}
    if rows["row"].size:
        expected = np.median(expected_values("glue_line", fitted, cuts, rows, seat_levels(fitted, cuts)), axis=0)
        hidden = np.minimum(rows["limit"] - expected, 0.0)
        off = np.where(rows["closed"] > 0, hidden, rows["value"] - np.maximum(expected, 0.0))
        for i in range(shape[1]):
            mine = rows["cut"] == i
            if mine.sum() < FEWEST_LINES:
                continue
            out["opening"][i] = np.median(off[mine])
            depths = rows["depths"][mine]
            if np.ptp(depths) >= LEAST_DEPTHS and mine.sum() > FEWEST_LINES:
                out["slope"][i] = np.polyfit(depths, off[mine], 1)[0]
    return out | {"use": cuts.used}


def _trend(use: np.ndarray, values: np.ndarray) -> Trend:
    known = np.isfinite(values)
    use, values = use[known], values[known]
    slope = uncertainty = middle = float("nan")
    if len(use) >= FEWEST_CUTS:
        try:
            line = straight_lines(use, values, reference=float(use.mean()))
            slope, uncertainty, middle = float(line.slope), float(line.uncertainties[-1]), float(line.intercepts[0])
        except InputError:  # all cuts after the same use
            pass
    return Trend(
        use=use,
        values=values,
        slope=slope,
        slope_uncertainty=uncertainty,
        middle=middle,
        seen=bool(abs(slope) > 2 * uncertainty),
    )


def _bit(fit: Fit, shop: Shop, at: int, name: str, extra: dict[str, np.ndarray]) -> BitDrift:
    usual = metres_per_cut(shop)
    lengths = [cut.path_length_m for cut in shop.cuts if cut.bit == name]
    use = float(sum((length or usual or 1.0) / (usual or 1.0) for length in lengths))
    flat, angle = fit.values["tip_flat"][:, at], fit.values["true_angle"][:, at]
    opening = _trend(extra["use"], extra["opening"])
    half = np.radians(np.median(angle)) / 2
    turned = _trend(extra["use"], np.degrees(2 * np.cos(half) ** 2 * extra["slope"]))
    return BitDrift(
        bit=name,
        cuts=len(lengths),
        use=use,
        flat_new=spread(flat),
        flat_now=spread(flat + fit.values["wear_rate"] * use),
        angle=spread(angle),
        opening=opening,
        angle_drift=turned,
        words=_words(opening, turned),
    )


def _words(opening: Trend, turned: Trend) -> str:
    if len(opening.use) < FEWEST_CUTS:
        return "Too few cuts with glue lines to see a trend."
    said = []
    if opening.seen:
        said.append(f"its glue lines {'open' if opening.slope > 0 else 'close'} with use")
    if turned.seen:
        said.append(f"the angle it cuts seems to {'grow' if turned.slope > 0 else 'shrink'} with use")
    if not said:
        return "No trend stands out from the scatter of the cuts."
    return f"Beyond the scatter of the cuts, {' and '.join(said)}."
