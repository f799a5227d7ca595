"""
How likely each posterior draw makes all readings of one logged cut, with what only that cut brings averaged out.

That is what a cut says about everything else: draws under which its readings are likely are draws that it favours.
"""

from dataclasses import replace

import numpy as np

from inlaylab.fitting.advice.worst_lines import flat_section
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.cut_arrays import CutArrays
from inlaylab.fitting.model.likelihood import outcome_terms, reading_terms
from inlaylab.fitting.model.observations import Observations
from inlaylab.fitting.model.priors import SHOP, shortfall, zero_error
from inlaylab.fitting.predict.draws import Scenario
from inlaylab.models.start_depths import worst_line

PROPOSALS = 64
"""Single pieces over which what only one cut brings is averaged."""
LASTING = (*SHOP, "true_angle", "tip_flat", "wall_allowance", "crest_loss", "half_filled")
OWN = ("z_host", "z_insert", "z_shortfall")


def only_cut(seen: Observations, at: int) -> Observations:
    """
    Keep one cut of a shop, with its readings.

    Parameters
    ----------
    seen : Observations
        The shop.
    at : int
        Which cut.

    Returns
    -------
    seen : Observations
        Names and their order are the whole shop's; grooves and loupe readings of bits are left out.
    """
    fields = {name: getattr(seen.cuts, name) for name in CutArrays.__dataclass_fields__}
    cuts = CutArrays(**{name: value[at : at + 1] for name, value in fields.items()})
    rows = {}
    for kind, columns in seen.rows.items():
        mine = columns["cut"] == at if "cut" in columns else np.zeros(len(columns["row"]), bool)
        rows[kind] = {name: value[mine] for name, value in columns.items()}
        if "cut" in columns:
            rows[kind]["cut"] = np.zeros(int(mine.sum()), int)
    return replace(seen, cuts=cuts, rows=rows)


def log_chances_of_cut(fit: Fit, seen: Observations, at: int, *, rng: np.random.Generator) -> np.ndarray:
    """
    Logarithm of how likely each posterior draw makes the readings of one cut.

    Parameters
    ----------
    fit : Fit
        Fit of the shop, thinned if time matters.
    seen : Observations
        The whole shop.
    at : int
        Which cut.
    rng : Generator
        For the pieces.

    Returns
    -------
    log_chances : array, shape (draws,)

    Notes
    -----
    The integral over both zero errors and the shortfall of that cut is a mean over `PROPOSALS` pieces, half drawn from
    their prior, half from a normal law about the draw's own values (Sobol points), each weighed by prior over
    proposal. All draws share the same points.
    """
    from scipy.special import logsumexp

    mine = only_cut(seen, at)
    pieces, log_ratio = _proposals(np.stack([fit.latents[name][:, at] for name in OWN], axis=1), rng)
    lasting = {name: fit.values[name] for name in LASTING}
    draws, count = pieces.shape[:2]
    zeros = {"bias": lasting["bias"][:, None], "spread": lasting["spread"][:, None]}
    single = {
        "host_zero_error": zero_error(pieces[..., 0], **zeros),
        "insert_zero_error": zero_error(pieces[..., 1], **zeros),
        "shortfall": shortfall(pieces[..., 2], mean=lasting["shortfall_mean"][:, None]),
    }
    world = Scenario(fitted=lasting, cuts=mine.cuts, rng=rng)
    law = worst_line(
        flat_section(world),
        host_zero_error=single["host_zero_error"],
        insert_zero_error=single["insert_zero_error"],
        seat_shortfall=single["shortfall"],
    )
    level = law.seat_level(float(mine.cuts.start_depth[0, 0]))
    many = {name: np.repeat(value, count, axis=0) for name, value in lasting.items()}
    many |= {name: value.reshape(-1, 1) for name, value in single.items()}
    level = level.reshape(-1, 1)
    total = outcome_terms(many, mine, level).sum(axis=-1)
    for mixed, _ in reading_terms(many, mine, level).values():
        total = total + mixed.sum(axis=-1)
    return np.asarray(logsumexp(total.reshape(draws, count) + log_ratio, axis=1) - np.log(count))


def _proposals(known: np.ndarray, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Latents of single pieces (draws, pieces, 3), and the logarithm of prior over proposal density."""
    from scipy.special import ndtri
    from scipy.stats import qmc

    even = np.clip(qmc.Sobol(6, rng=rng).random(PROPOSALS // 2), 1e-9, 1 - 1e-9)
    spread = np.cov(known.T) + 1e-4 * np.eye(3)
    near = known[:, None] + ndtri(even[:, :3]) @ np.linalg.cholesky(spread).T
    anywhere = np.column_stack([ndtri(even[:, 3:5]), np.log(-np.log(even[:, 5]))])
    pieces = np.concatenate([near, np.broadcast_to(anywhere, near.shape)], axis=1)
    log_prior = (-0.5 * pieces[..., :2] ** 2 - 0.5 * np.log(2 * np.pi)).sum(axis=-1)
    log_prior += pieces[..., 2] - np.exp(pieces[..., 2])
    off = pieces - known[:, None]
    square = np.einsum("...i,ij,...j->...", off, np.linalg.inv(spread), off)
    log_near = -0.5 * (square + np.linalg.slogdet(spread)[1] + 3 * np.log(2 * np.pi))
    return pieces, log_prior - (np.logaddexp(log_prior, log_near) - np.log(2))


def thinned(fit: Fit, draws: int) -> Fit:
    """
    Keep some of a fit's draws, evenly spaced.

    Parameters
    ----------
    fit : Fit
        The fit.
    draws : int
        How many at the most.

    Returns
    -------
    fit : Fit
    """
    flat = fit.draws.reshape(-1, fit.draws.shape[-1])
    pick = np.linspace(0, len(flat) - 1, min(draws, len(flat))).astype(int)
    return replace(fit, draws=flat[pick][None])
