"""
How likely a shop's readings are, given everything that is fitted.

Terms add up, one function a kind of reading; each reading may also be a mistake. The physics is
`inlaylab.models`, the same functions that answer everywhere else. This is the plain form, which suspects,
residuals and the tests use; `inlaylab.fitting.kernel` repeats it for the sampler, and is tested against it.
"""

import math

import numpy as np

from inlaylab.fitting.model.cut_arrays import CutArrays
from inlaylab.fitting.model.cut_seats import bit_at, seat_levels
from inlaylab.fitting.model.laws import (
    LOW_PENALTY,
    PICTURE_SD,
    censored_log_density,
    each_where,
    interval_log_chance,
    logit,
    mistaken_length,
    normal_log_density,
    picture_log_density,
    picture_mistake,
    with_mistakes,
)
from inlaylab.fitting.model.observations import Observations
from inlaylab.fitting.model.priors import KIT, LOUPE_ON_FLAT, Beliefs, Layout, log_prior, values
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


def reading_sd(kind: str, fitted: dict, rows: dict):
    """
    Standard deviation of each reading of one kind that has a length: the shop's own, or what the reading states.

    Parameters
    ----------
    kind, fitted, rows
        As in `expected_values`.

    Returns
    -------
    sd : array, shape (…, readings)
        A picture's is what it states times the shop's factor; local openings are included. [mm]
    """
    xp, stated = namespace(fitted["loupe_sd"]), rows.get("sd", np.full(rows["row"].shape, np.nan))
    own = scatter(kind, fitted)[..., None]
    if np.isnan(stated).all() and not rows.get("picture", np.zeros(1)).any():
        return own + np.zeros(rows["row"].shape)
    picture = rows["picture"] > 0
    known = np.where(np.isnan(stated), PICTURE_SD, stated)
    known = known * xp.where(picture, fitted["picture_factor"][..., None], 1.0)
    if kind == "glue_line":
        known = xp.sqrt(known**2 + fitted["opening_sd"][..., None] ** 2)
    without = np.isnan(stated) & (~picture if kind == "glue_line" else True)
    return xp.where(without, own, known)


def _lengths(kind: str, fitted: dict, seen: Observations, level):
    """Log density of readings of one kind if good and if mistaken; all but glue lines."""
    rows = seen.rows[kind]
    mean, sd = expected_values(kind, fitted, seen.cuts, rows, level), reading_sd(kind, fitted, rows)
    good = normal_log_density(rows["value"], mean, sd)
    return good, mistaken_length(rows["value"], namespace(mean).maximum(mean, 0.01), sd)


def _glue_lines(fitted: dict, seen: Observations, level):
    """Log density of glue lines if good and if mistaken: by eye, by eye and closed, or from a picture."""
    rows = seen.rows["glue_line"]
    closed, cue, picture = (rows[name] > 0 for name in ("closed", "cue", "picture"))
    value, sd = np.where(closed, rows["limit"], rows["value"]), reading_sd("glue_line", fitted, rows)
    opening, factor, bias = (fitted[name][..., None] for name in ("opening_sd", "picture_factor", "picture_bias"))
    stated = np.where(np.isnan(rows["sd"]), PICTURE_SD, rows["sd"])
    xp = namespace(sd)

    def lines(at, depths="depths"):
        part = {"cut": rows["cut"][at]}
        return _glue_mean(fitted, seen.cuts, part, level, rows[depths][at])

    def by_eye(at, depths="depths"):
        mean, law = lines(at, depths), {"limit": value[at], "censored": closed[at]}
        read = censored_log_density(value[at], mean, sd[..., at], **law)
        low = ~closed[at] & (value[at] < 0.5 * rows["limit"][at])
        return read + np.where(low & (depths == "depths"), LOW_PENALTY, 0.0)

    def by_picture(at):
        mean = lines(at)
        return each_where(
            closed[at],
            lambda i: censored_log_density(
                value[at][i], mean[..., i], sd[..., at][..., i], limit=value[at][i] - bias, censored=closed[at][i]
            ),
            lambda i: picture_log_density(
                value[at][i], mean[..., i], factor * stated[at][i], opening=opening, bias=bias
            ),
        )

    def mistaken(at):
        least = xp.maximum(lines(at), 0.01)
        length = mistaken_length(value[at], least, sd[..., at])
        return xp.where(closed[at], math.log(0.5), xp.where(picture[at], picture_mistake(value[at]), length))

    good = each_where(picture, by_picture, by_eye)
    return good, each_where(cue & ~picture, lambda at: by_eye(at, "other_depths"), mistaken)


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

    for kind in SCATTER:
        rows = seen.rows[kind]
        if kind not in kinds or not rows["row"].size:
            continue
        if kind == "glue_line":
            terms = _glue_lines(fitted, seen, level)
            out[kind] = mixed(*terms, (rows["cue"] > 0) & ~(rows["picture"] > 0))
        else:
            out[kind] = mixed(*_lengths(kind, fitted, seen, level), np.zeros(1, bool))
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


def log_density(vector, *, seen: Observations, layout: Layout, beliefs: Beliefs = KIT):
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
    beliefs : Beliefs, optional
        What was believed before any cut.

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
    fitted = values(latents, nominal_angles=seen.nominal_angles, beliefs=beliefs)
    total = log_prior(latents)
    level = None
    if seen.cuts.bit.size:
        level = seat_levels(fitted, seen.cuts)
        total = total + xp.sum(outcome_terms(fitted, seen, level), axis=-1)
    for mixed, _ in reading_terms(fitted, seen, level).values():
        total = total + xp.sum(mixed, axis=-1)
    return total + _flat_term(fitted, seen)
