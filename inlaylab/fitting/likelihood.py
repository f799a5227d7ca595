"""
How likely a shop's readings are, given everything that is fitted.

Terms add up, one function a kind of reading; each reading may also be a mistake. The physics is
`inlaylab.models`, the same functions that answer everywhere else. All functions work on jax arrays
(for the sampler) and numpy arrays (for suspects and tests).
"""

import math
from typing import Any

import numpy as np

from inlaylab.fitting.observations import CutArrays, Observations
from inlaylab.fitting.priors import LOUPE_ON_FLAT, Layout, log_prior, values
from inlaylab.models.arrays import namespace
from inlaylab.models.contacts import land_contact, tip_contact, wall_contact
from inlaylab.models.filling import chances
from inlaylab.models.floors import ground_ridges, pocket_ridges
from inlaylab.models.grooves import groove_width
from inlaylab.models.walls import wall_gap

LOG_RANGE = math.log(40.0 / 0.001)
"""A mistaken length may be anything from 0.001 to 40 mm, evenly in its logarithm."""
SLIP = 25.4
"""Inches taken for millimetres, or the other way."""
SLIP_SHARE = 0.25
"""Share of mistakes that are each of the two unit slips; the rest may be anything."""
SHARPEST = 1e-9
"""Smallest chance that a state of filling is given."""


def _special(xp) -> tuple[Any, Any]:
    if xp is np:
        from scipy.special import log_ndtr, logsumexp
    else:
        from jax.scipy.special import log_ndtr, logsumexp
    return log_ndtr, logsumexp


def normal_log_density(value, mean, sd):
    """
    Logarithm of the normal density.

    Parameters
    ----------
    value, mean, sd : array
        Broadcast.

    Returns
    -------
    log_density : array

    Examples
    --------
    >>> round(float(normal_log_density(0.0, 0.0, np.array(1.0))), 4)
    -0.9189
    """
    xp = namespace(value, mean, sd)
    return -0.5 * ((value - mean) / sd) ** 2 - xp.log(sd) - 0.5 * math.log(2 * math.pi)


def interval_log_chance(low, high, mean, sd):
    """
    Logarithm of the chance that a normal value lies between two limits.

    Parameters
    ----------
    low, high : array
        Limits; infinite where there is none.
    mean, sd : array
        Of the normal law.

    Returns
    -------
    log_chance : array

    Examples
    --------
    >>> round(float(interval_log_chance(-np.inf, 0.0, np.array(0.0), np.array(1.0))), 4)
    -0.6931
    """
    xp = namespace(mean, sd)
    log_ndtr, _ = _special(xp)
    far = 1e6  # an infinite limit would make the gradient infinity times zero
    upper = xp.clip((xp.clip(high, -far, far) - mean) / sd, -40.0, 40.0)
    lower = xp.clip((xp.clip(low, -far, far) - mean) / sd, -40.0, 40.0)
    flip = lower > 0
    above, below = xp.where(flip, -lower, upper), xp.where(flip, -upper, lower)
    top, bottom = log_ndtr(above), log_ndtr(below)
    return top + xp.log1p(-xp.exp(xp.minimum(bottom - top, -1e-12)))


def censored_log_density(value, mean, sd, *, limit, censored):
    """
    Logarithm of a left-censored normal likelihood: a density, or the chance of lying below the limit.

    Parameters
    ----------
    value : array
        Readings; ignored where censored.
    mean, sd : array
        Of the uncensored normal law.
    limit : array
        Below it nothing was seen.
    censored : array of bool
        Which readings are only "below the limit".

    Returns
    -------
    log_density : array

    Notes
    -----
    The Tobit likelihood: Tobin, J. (1958), Econometrica 26, 24-36.

    Examples
    --------
    >>> closed = np.array([False, True])
    >>> censored_log_density(np.array([0.1, np.nan]), 0.1, np.array(1.0), limit=0.1, censored=closed).round(4)
    array([-0.9189, -0.6931])
    """
    xp = namespace(mean, sd)
    log_ndtr, _ = _special(xp)
    safe = xp.where(censored, 0.0, value)
    return xp.where(censored, log_ndtr((limit - mean) / sd), normal_log_density(safe, mean, sd))


def _with_mistakes(log_good, log_bad, log_odds):
    """Mixture of a good reading and a mistake; returns the mixture and the log-odds that it is a mistake."""
    xp = namespace(log_good, log_bad, log_odds)
    good, bad = log_good - xp.logaddexp(0.0, log_odds), log_bad - xp.logaddexp(0.0, -log_odds)
    return xp.logaddexp(good, bad), bad - good


def _mistaken_length(value, mean, sd):
    """Log density of a mistaken length: anything, or a unit slip of the good one."""
    xp = namespace(mean, sd)
    _, logsumexp = _special(xp)
    size = xp.clip(xp.abs(value), 1e-3, 40.0)
    anything = math.log(1 - 2 * SLIP_SHARE) - xp.log(size) - math.log(LOG_RANGE) + 0.0 * mean
    as_inch = math.log(SLIP_SHARE * SLIP) + normal_log_density(value * SLIP, mean, sd)
    as_mm = math.log(SLIP_SHARE / SLIP) + normal_log_density(value / SLIP, mean, sd)
    return logsumexp(xp.stack(xp.broadcast_arrays(anything, as_inch, as_mm)), axis=0)


def logit(chance):
    """
    Logarithm of the odds of a chance.

    Parameters
    ----------
    chance : array
        Between 0 and 1.

    Returns
    -------
    log_odds : array

    Examples
    --------
    >>> float(logit(np.array(0.5)))
    0.0
    """
    xp = namespace(chance)
    return xp.log(chance) - xp.log1p(-chance)


def bit_at(fitted: dict, cuts: CutArrays) -> dict:
    """
    Angle and flat of the bit as it was at each cut.

    Parameters
    ----------
    fitted : dict of arrays
        From `priors.values`; leading axes (draws) are allowed.
    cuts : CutArrays
        The cuts.

    Returns
    -------
    bit : dict of arrays, shape (…, cuts, 1)
        ``path_angle``, ``true_angle`` [degrees], ``tip_flat`` [mm].

    Examples
    --------
    >>> "tip_flat" in bit_at.__doc__
    True
    """
    worn = fitted["wear_rate"][..., None] * cuts.used
    return {
        "path_angle": cuts.path_angle,
        "true_angle": fitted["true_angle"][..., cuts.bit][..., None],
        "tip_flat": (fitted["tip_flat"][..., cuts.bit] + worn)[..., None],
    }


def contact_levels_at(fitted: dict, cuts: CutArrays, strokes: dict[str, CutArrays] | None = None) -> tuple:
    """
    Seat levels that every contact asks for.

    Parameters
    ----------
    fitted : dict of arrays
        From `priors.values`.
    cuts : CutArrays
        The cuts.
    strokes : dict of CutArrays, optional
        Shorter lists of strokes for the contacts ``wall``, ``tip`` and ``land``.

    Returns
    -------
    wall, tip, land : arrays, shape (…, cuts, strokes)
        Minus infinity where a stroke is only padding. [mm]

    Examples
    --------
    >>> len(contact_levels_at.__doc__) > 0
    True
    """
    bit = bit_at(fitted, cuts)
    xp = namespace(bit["true_angle"])
    host, insert = (fitted[name][..., None] for name in ("host_zero_error", "insert_zero_error"))
    lists = strokes or {"wall": cuts, "tip": cuts, "land": cuts}
    wall, tip, land = lists["wall"], lists["tip"], lists["land"]
    offset, ridged = cuts.outline_offset, bool(cuts.pass_spacing.any())
    depths = [
        {"stroke_depth": s.stroke_depth, "land_depth": s.land_depth, "outline_offset": offset}
        for s in (wall, tip, land)
    ]
    levels = (
        wall_contact(**bit, **depths[0], wall_allowance=fitted["wall_allowance"][..., cuts.pair][..., None]),
        tip_contact(
            **bit,
            **depths[1],
            stroke_half_width=tip.stroke_half_width,
            start_depth=cuts.start_depth,
            insert_zero_error=insert,
            crest_loss=fitted["crest_loss"][..., cuts.insert][..., None],
            floor_ridge=pocket_ridges(
                **bit,
                stroke_half_width=tip.stroke_half_width,
                pocket_depth=cuts.pocket_depth,
                pass_spacing=cuts.pass_spacing,
            )
            if ridged
            else 0.0,
        ),
        land_contact(
            **bit,
            **depths[2],
            land_half_width=land.land_half_width,
            host_zero_error=host,
            land_crest_loss=fitted["crest_loss"][..., cuts.host][..., None],
            ground_ridge=ground_ridges(
                **bit,
                land_half_width=land.land_half_width,
                relief_depth=cuts.relief_depth,
                pass_spacing=cuts.pass_spacing,
                outline_offset=offset,
            )
            if ridged
            else 0.0,
        ),
    )
    return tuple(xp.where(s.real, level, -xp.inf) for s, level in zip((wall, tip, land), levels, strict=True))


def seat_levels(fitted: dict, cuts: CutArrays, strokes: dict[str, CutArrays] | None = None):
    """
    Where each plug rests: highest contact plus its seat shortfall.

    Parameters
    ----------
    fitted, cuts, strokes
        As in `contact_levels_at`.

    Returns
    -------
    seat_level : array, shape (…, cuts)
        Stand-off plus both zero errors. [mm]

    Examples
    --------
    >>> len(seat_levels.__doc__) > 0
    True
    """
    levels = contact_levels_at(fitted, cuts, strokes)
    xp = namespace(*levels)
    highest = [xp.max(level, axis=-1) for level in levels]
    return xp.maximum(xp.maximum(highest[0], highest[1]), highest[2]) + fitted["shortfall"]


def _glue_mean(fitted, cuts, rows, level, depths):
    bit = {name: value[..., 0] for name, value in bit_at(fitted, cuts).items()}
    at = rows["cut"]
    return wall_gap(
        stroke_depth=depths,
        land_depth=0.0,
        path_angle=bit["path_angle"][..., at],
        true_angle=bit["true_angle"][..., at],
        tip_flat=bit["tip_flat"][..., at],
        outline_offset=cuts.outline_offset[..., 0][..., at],
        seat_level=level[..., at],
    )


def _fill_terms(fitted, cuts, rows):
    xp = namespace(fitted["true_angle"])
    law = {
        "half_filled_width": fitted["half_filled"][..., cuts.insert[rows["cut"]]],
        "softness": fitted["fill_softness"][..., None],
        "across_shift": fitted["across_shift"][..., None],
        "step": fitted["fill_step"][..., None],
    }
    pick = rows["state"][:, None] == np.arange(3)
    both = []
    for prefix in ("", "other_"):
        share = chances(finished_width=rows[f"{prefix}finished"], across=rows[f"{prefix}across"], **law)
        both.append(xp.log(xp.maximum(xp.sum(xp.where(pick, share, 0.0), axis=-1), SHARPEST)))
    return both[0], xp.where(rows["cue"] > 0, both[1], math.log(1 / 3) + 0.0 * both[0])


SCATTER: dict[str, tuple[tuple[str, ...], float]] = {
    "glue_line": (("loupe_sd", "opening_sd"), 0.01),
    "wedge_stop": (("wedge_sd",), 0.05),
    "backer_gap": (("feeler_sd",), 0.05),
    "floor_gap": (("floor_gap_sd",), 0.05),
    "pocket_depth": (("gauge_sd",), 0.01),
    "plug_depth": (("gauge_sd",), 0.01),
    "groove": (("loupe_sd",), 0.01),
}
"""Readings that have a length: which standard deviations, and which finest division [mm], make up their scatter."""


def scatter(kind: str, fitted: dict):
    """
    Give the standard deviation of a reading of one kind.

    Parameters
    ----------
    kind : str
        Key of `SCATTER`.
    fitted : dict of arrays
        From `priors.values`.

    Returns
    -------
    sd : array, shape (…,)
        Finest division included. [mm]

    Examples
    --------
    >>> round(float(scatter("plug_depth", {"gauge_sd": np.array(0.03)})), 4)
    0.0301
    """
    names, step = SCATTER[kind]
    return namespace(fitted[names[0]]).sqrt(sum(fitted[name] ** 2 for name in names) + step**2 / 12)


def expected_values(kind: str, fitted: dict, cuts: CutArrays, rows: dict, level):
    """
    Give the true value behind each reading that has a length.

    Parameters
    ----------
    kind : str
        Key of `SCATTER`.
    fitted, cuts, level
        As in `reading_terms`.
    rows : dict of arrays
        Of this kind.

    Returns
    -------
    mean : array, shape (…, readings)
        A glue line's is its raw wall gap, below zero where the walls are pressed. [mm]

    Examples
    --------
    >>> expected_values.__name__
    'expected_values'
    """
    if kind == "groove":
        flat, angle = fitted["tip_flat"][..., rows["bit"]], fitted["true_angle"][..., rows["bit"]]
        return groove_width(
            depth=rows["depth"],
            true_angle=angle,
            tip_flat=flat,
            zero_error=fitted["setup_error"][..., rows["setup"]],
        )
    at = rows["cut"]
    if kind == "glue_line":
        return _glue_mean(fitted, cuts, rows, level, rows["depths"])
    if kind == "wedge_stop":
        return fitted["half_filled"][..., cuts.insert[at]] + fitted["across_shift"][..., None] * rows["across"]
    host, insert = fitted["host_zero_error"][..., at], fitted["insert_zero_error"][..., at]
    start, pocket, relief = (getattr(cuts, name)[:, 0][at] for name in ("start_depth", "pocket_depth", "relief_depth"))
    if kind == "backer_gap":
        return relief + level[..., at] - host
    if kind == "floor_gap":
        return pocket - start + level[..., at] - insert
    return pocket + host if kind == "pocket_depth" else start + relief + insert


def _length_terms(fitted: dict, seen: Observations, level, kinds: list[str]):
    """
    All readings that have a length, one after the other: log density if good and if mistaken, and where a cue is.

    Readings out of their coupon's order are tried at the station that would fit, behind all the others, so that
    one evaluation of the censored law serves all.
    """
    rows = [seen.rows[kind] for kind in kinds]
    xp = namespace(fitted["true_angle"])
    means = [expected_values(kind, fitted, seen.cuts, r, level) for kind, r in zip(kinds, rows, strict=True)]
    sds = [scatter(kind, fitted)[..., None] + 0.0 * mean for kind, mean in zip(kinds, means, strict=True)]

    def joined(key: str, blank: float) -> np.ndarray:
        return np.concatenate([r[key] if key in r else np.full(r["row"].shape, blank) for r in rows])

    closed, limit, cue = joined("closed", 0.0) > 0, joined("limit", 0.0), joined("cue", 0.0) > 0
    value, count = np.where(closed, limit, joined("value", 0.0)), len(closed)
    moved = np.flatnonzero(cue)
    if moved.size:
        glue = seen.rows["glue_line"]
        there = np.flatnonzero(glue["cue"] > 0)
        part = {key: glue[key][there] for key in ("cut", "other_depths")}
        means.append(_glue_mean(fitted, seen.cuts, part, level, part["other_depths"]))
        sds.append(scatter("glue_line", fitted)[..., None] + 0.0 * means[-1])
    mean, sd = xp.concatenate(means, axis=-1), xp.concatenate(sds, axis=-1)
    every = np.concatenate([np.arange(count), moved])
    read = censored_log_density(value[every], mean, sd, limit=limit[every], censored=closed[every])
    good = read[..., :count] + np.where(~closed & (value < 0.5 * limit), math.log(1e-3), 0.0)
    bad = _mistaken_length(value, xp.maximum(mean[..., :count], 0.01), sd[..., :count])
    bad = xp.where(closed, math.log(0.5), bad)
    if moved.size:
        where = np.zeros(count, int)
        where[moved] = count + np.arange(moved.size)
        bad = xp.where(cue, read[..., where], bad)
    return good, bad, cue


def reading_terms(fitted: dict, seen: Observations, level) -> dict:
    """
    Log density of every reading, and the log-odds that it is a mistake.

    Parameters
    ----------
    fitted : dict of arrays
        From `priors.values`.
    seen : Observations
        The shop.
    level : array, shape (…, cuts)
        From `seat_levels`; None where the shop has no cut.

    Returns
    -------
    terms : dict
        Kind -> (log density, log-odds of a mistake), each (…, readings of that kind).

    Examples
    --------
    >>> sorted(SCATTER)[:2]
    ['backer_gap', 'floor_gap']
    """
    xp = namespace(fitted["true_angle"])
    usual, cued = (logit(fitted[name])[..., None] for name in ("mistake_chance", "cue_chance"))
    out = {}

    def mixed(good, bad, cue):
        return _with_mistakes(good, bad, xp.where(cue, cued, usual) if cue.any() else usual)

    kinds = [kind for kind in SCATTER if seen.rows[kind]["row"].size]
    if kinds:
        terms = mixed(*_length_terms(fitted, seen, level, kinds))
        start = 0
        for kind in kinds:
            stop = start + seen.rows[kind]["row"].size
            out[kind] = tuple(term[..., start:stop] for term in terms)
            start = stop
    if seen.rows["fill"]["row"].size:
        out["fill"] = mixed(*_fill_terms(fitted, seen.cuts, seen.rows["fill"]), seen.rows["fill"]["cue"] > 0)
    return out


def _flat_term(fitted, seen: Observations):
    """Loupe readings of the flat; 0 means: not seen."""
    rows = seen.rows["flat"]
    if not rows["row"].size:
        return 0.0
    xp, flat = namespace(fitted["tip_flat"]), fitted["tip_flat"][..., rows["bit"]]
    unseen = rows["value"] <= 0.005
    sd = LOUPE_ON_FLAT + 0.0 * flat
    read = censored_log_density(rows["value"], flat, sd, limit=0.005, censored=unseen)
    return xp.sum(read, axis=-1)


def outcome_term(fitted, seen: Observations, level):
    """
    Log density of the outcomes of cuts without a measured glue line: the worst one lies in an interval.

    Parameters
    ----------
    fitted, seen, level
        As in `reading_terms`.

    Returns
    -------
    log_density : array, shape (…,)
        Of all of them together.

    Examples
    --------
    >>> outcome_term.__name__
    'outcome_term'
    """
    xp, rows = namespace(level), seen.rows["outcome"]
    if not rows["row"].size:
        return 0.0
    at = {"cut": rows["cut"][:, None]}
    worst = xp.max(_glue_mean(fitted, seen.cuts, at, level, rows["depths"]), axis=-1)
    sd = xp.sqrt(fitted["loupe_sd"] ** 2 + fitted["opening_sd"] ** 2)[..., None] + 0.0 * worst
    good = interval_log_chance(rows["low"], rows["high"], worst, sd)
    mixed, _ = _with_mistakes(good, math.log(1 / 3) + 0.0 * good, logit(fitted["mistake_chance"])[..., None])
    return xp.sum(mixed, axis=-1)


def log_density(vector, *, seen: Observations, layout: Layout, strokes: dict[str, CutArrays] | None = None):
    """
    Logarithm of the posterior density of the latents, up to a constant.

    Parameters
    ----------
    vector : array, shape (size,)
        Standard normal latents in the order of ``layout``.
    seen : Observations
        The shop.
    layout : Layout
        Sizes of the blocks.
    strokes : dict of CutArrays, optional
        Shorter lists of the strokes that can hold a plug up (`sampling.likely_contacts`).

    Returns
    -------
    log_density : array, shape ()

    Examples
    --------
    >>> from inlaylab.bench.shop import Shop
    >>> from inlaylab.fitting.observations import observe
    >>> seen = observe(Shop())
    >>> float(log_density(np.zeros(seen.names.layout().size), seen=seen, layout=seen.names.layout()))
    0.0
    """
    xp = namespace(vector)
    latents = layout.split(vector)
    fitted = values(latents, nominal_angles=seen.nominal_angles)
    total = log_prior(latents)
    level = None
    if seen.cuts.bit.size:
        level = seat_levels(fitted, seen.cuts, strokes)
        total = total + outcome_term(fitted, seen, level)
    for mixed, _ in reading_terms(fitted, seen, level).values():
        total = total + xp.sum(mixed, axis=-1)
    return total + _flat_term(fitted, seen)
