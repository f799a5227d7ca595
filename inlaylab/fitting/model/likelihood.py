"""
How likely a shop's readings are, given everything that is fitted.

Terms add up, one function a kind of reading; each reading may also be a mistake. The physics is
`inlaylab.models`, the same functions that answer everywhere else. All functions work on jax arrays
(for the sampler) and numpy arrays (for suspects and tests).
"""

import math

import numpy as np

from inlaylab.fitting.model.cut_arrays import CutArrays
from inlaylab.fitting.model.cut_seats import bit_at, seat_levels
from inlaylab.fitting.model.laws import (
    censored_log_density,
    each_where,
    interval_log_chance,
    logit,
    mistaken_length,
    with_mistakes,
)
from inlaylab.fitting.model.observations import Observations
from inlaylab.fitting.model.priors import LOUPE_ON_FLAT, Layout, log_prior, values
from inlaylab.models.arrays import namespace
from inlaylab.models.filling import chances
from inlaylab.models.grooves import groove_width
from inlaylab.models.walls import wall_gap

SHARPEST = 1e-9
"""Smallest chance that a state of filling is given."""


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
    half, across = fitted["half_filled"], fitted["across_shift"][..., None]
    law = {
        "softness": fitted["fill_softness"][..., None],
        "across_shift": across,
        "step": fitted["fill_step"][..., None],
    }

    def read(at, prefix=""):
        width, grain = (rows[f"{prefix}{name}"][at] for name in ("finished", "across"))
        half_filled = half[..., cuts.insert[rows["cut"][at]]]
        share = chances(finished_width=width, across=grain, half_filled_width=half_filled, **law)
        pick = rows["state"][at][:, None] == np.arange(3)
        return xp.log(xp.maximum(xp.sum(xp.where(pick, share, 0.0), axis=-1), SHARPEST))

    def any_state(at):
        return math.log(1 / 3) + 0.0 * good[..., at]

    good = read(slice(None))
    return good, each_where(rows["cue"] > 0, lambda at: read(at, "other_"), any_state)


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
        Rows of this kind.

    Returns
    -------
    mean : array, shape (…, readings)
        A glue line's is its raw wall gap, below zero where the walls are pressed. [mm]
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

    def joined(key: str, blank: float):
        columns = [r[key] if key in r else np.full(r["row"].shape, blank) for r in rows]
        return namespace(*columns).concatenate(columns)  # what was read may be traced too

    closed, limit, cue = joined("closed", 0.0) > 0, joined("limit", 0.0), joined("cue", 0.0) > 0
    value, count = namespace(closed).where(closed, limit, joined("value", 0.0)), len(closed)
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
    good = read[..., :count] + xp.where(~closed & (value < 0.5 * limit), math.log(1e-3), 0.0)
    least = xp.maximum(mean[..., :count], 0.01)
    if isinstance(closed, np.ndarray):
        bad = each_where(
            closed,
            lambda at: math.log(0.5) + 0.0 * least[..., at],
            lambda at: mistaken_length(value[at], least[..., at], sd[..., at]),
        )
    else:
        bad = xp.where(closed, math.log(0.5), mistaken_length(value, least, sd[..., :count]))
    if moved.size:
        where = np.zeros(count, int)
        where[moved] = count + np.arange(moved.size)
        bad = xp.where(cue, read[..., where], bad)
    return good, bad, cue


def reading_terms(fitted: dict, seen: Observations, level, *, kinds: tuple[str, ...] = (*SCATTER, "fill")) -> dict:
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
    kinds : tuple of str, optional
        Which kinds of reading.

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
        return with_mistakes(good, bad, xp.where(cue, cued, usual) if cue.any() else usual)

    lengths = [kind for kind in SCATTER if kind in kinds and seen.rows[kind]["row"].size]
    if lengths:
        good, bad, cue = _length_terms(fitted, seen, level, lengths)
        terms = mixed(good, bad, cue)
        start = 0
        for kind in lengths:
            stop = start + seen.rows[kind]["row"].size
            out[kind] = tuple(term[..., start:stop] for term in terms)
            start = stop
    if "fill" in kinds and seen.rows["fill"]["row"].size:
        good, bad = _fill_terms(fitted, seen.cuts, seen.rows["fill"])
        out["fill"] = mixed(good, bad, seen.rows["fill"]["cue"] > 0)
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


def outcome_terms(fitted, seen: Observations, level):
    """
    Log density of the outcomes of cuts without a measured glue line: the worst one lies in an interval.

    Parameters
    ----------
    fitted, seen, level
        As in `reading_terms`.

    Returns
    -------
    log_density : array, shape (…, outcomes)
    """
    xp, rows = namespace(level), seen.rows["outcome"]
    if not rows["row"].size:
        return np.zeros((*level.shape[:-1], 0))
    at = {"cut": rows["cut"][:, None]}
    worst = xp.max(_glue_mean(fitted, seen.cuts, at, level, rows["depths"]), axis=-1)
    sd = xp.sqrt(fitted["loupe_sd"] ** 2 + fitted["opening_sd"] ** 2)[..., None] + 0.0 * worst
    good = interval_log_chance(rows["low"], rows["high"], worst, sd)
    mixed, _ = with_mistakes(good, math.log(1 / 3) + 0.0 * good, logit(fitted["mistake_chance"])[..., None])
    return mixed


OF_ITS_CUT = ("glue_line", "backer_gap", "floor_gap", "pocket_depth", "plug_depth")
"""Readings that depend on what a single cut brought."""


def cut_terms(fitted, seen: Observations, level):
    """
    Log density of each cut's own readings, those that depend on its zero errors and its seat.

    Parameters
    ----------
    fitted, seen, level
        As in `reading_terms`.

    Returns
    -------
    log_density : array, shape (…, cuts)
        Given what lasts, these are independent of each other.
    """
    parts = {kind: mixed for kind, (mixed, _) in reading_terms(fitted, seen, level, kinds=OF_ITS_CUT).items()}
    parts["outcome"] = outcome_terms(fitted, seen, level)
    which = np.eye(seen.cuts.bit.size)
    return sum(part @ which[seen.rows[kind]["cut"]] for kind, part in parts.items())


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
    >>> from inlaylab.fitting.model.observations import observe
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
        total = total + xp.sum(outcome_terms(fitted, seen, level), axis=-1)
    for mixed, _ in reading_terms(fitted, seen, level).values():
        total = total + xp.sum(mixed, axis=-1)
    return total + _flat_term(fitted, seen)
