"""
Draws of everything for cuts that are not in the log.

What lasts (bits, pairs, species, the shop) comes from the fit; what is new comes from the fit's own
law for such things; what a single cut brings (zero errors, seat shortfall, local openings) is drawn afresh.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from inlaylab.bench.cuts import Cut
from inlaylab.bench.shop import Shop
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.cut_arrays import CutArrays, Names, cut_arrays
from inlaylab.fitting.model.cut_seats import seat_levels
from inlaylab.fitting.model.laws import normal_log_density
from inlaylab.fitting.model.priors import LOUPE_ON_FLAT, SHOP, shortfall, zero_error
from inlaylab.models.walls import wall_gap

DRAWS = 9600
"""Predictive draws; fewer make the advice waver near what was asked."""


@dataclass(frozen=True, kw_only=True)
class Scenario:
    """
    Predictive draws for some cuts.

    Parameters
    ----------
    fitted : dict of arrays
        As `priors.values`, draws first; per-cut values are of the new cuts.
    cuts : CutArrays
        The new cuts.
    rng : Generator
        For whatever else is drawn.
    """

    fitted: dict[str, np.ndarray]
    cuts: CutArrays
    rng: np.random.Generator

    def seat_level(self) -> np.ndarray:
        """Where each plug rests [mm], shape (draws, cuts)."""
        return seat_levels(self.fitted, self.cuts)

    def section(self) -> dict[str, np.ndarray]:
        """Keyword arguments for `inlaylab.models.seating`, draws by cuts by strokes."""
        cuts, fitted = self.cuts, self.fitted
        return {
            "pocket_depth": cuts.pocket_depth,
            "relief_depth": cuts.relief_depth,
            "stroke_half_width": cuts.stroke_half_width,
            "land_half_width": cuts.land_half_width,
            "path_angle": cuts.path_angle,
            "outline_offset": cuts.outline_offset,
            "pass_spacing": cuts.pass_spacing,
            "true_angle": fitted["true_angle"][:, cuts.bit][..., None],
            "tip_flat": self.tip_flat()[..., None],
            "wall_allowance": fitted["wall_allowance"][:, cuts.pair][..., None],
            "crest_loss": fitted["crest_loss"][:, cuts.insert][..., None],
            "land_crest_loss": fitted["crest_loss"][:, cuts.host][..., None],
        }

    def tip_flat(self) -> np.ndarray:
        """Tip flat [mm] of each cut's bit as worn by then, shape (draws, cuts)."""
        return self.fitted["tip_flat"][:, self.cuts.bit] + self.fitted["wear_rate"][:, None] * self.cuts.used

    def openings(self, shape: tuple[int, ...]) -> np.ndarray:
        """Local openings [mm] of single glue lines, draws first."""
        sd = self.fitted["opening_sd"].reshape(-1, *(1,) * len(shape))
        return sd * self.rng.standard_normal((len(sd), *shape))

    def glue_lines(self, *, depths: np.ndarray, cut: np.ndarray, level: np.ndarray) -> np.ndarray:
        """
        Glue lines at stations, local openings included.

        Parameters
        ----------
        depths : array, shape (stations,)
            Depth of the path in stroke and land together. [mm]
        cut : array of int, shape (stations,)
            Which of the cuts.
        level : array, shape (draws, cuts)
            From `seat_level`. [mm]

        Returns
        -------
        lines : array, shape (draws, stations)
            Zero where closed. [mm]
        """
        bit = self.cuts.bit[cut]
        gap = wall_gap(
            stroke_depth=depths,
            land_depth=0.0,
            path_angle=self.cuts.path_angle[cut, 0],
            true_angle=self.fitted["true_angle"][:, bit],
            tip_flat=self.tip_flat()[:, cut],
            outline_offset=self.cuts.outline_offset[cut, 0],
            seat_level=level[:, cut],
        )
        return np.maximum(0.0, gap + self.openings(depths.shape))


def joined(shop: Shop, planned: Shop) -> Shop:
    """
    A log with whatever is planned beside it.

    Parameters
    ----------
    shop : Shop
        The log.
    planned : Shop
        New records; where both hold a record of the same name, the planned one counts.

    Returns
    -------
    shop : Shop
        Cuts and readings are the log's own.

    Examples
    --------
    >>> joined(Shop(), Shop()).bits
    ()
    """

    def both(group: str, key: str) -> tuple[Any, ...]:
        new = {getattr(record, key) for record in getattr(planned, group)}
        kept = tuple(record for record in getattr(shop, group) if getattr(record, key) not in new)
        return kept + getattr(planned, group)

    return replace(shop, bits=both("bits", "bit"), pairs=both("pairs", "pair"), coupons=both("coupons", "coupon"))


def _pick(
    known: np.ndarray, old: tuple[str, ...], new: tuple[str, ...], fresh: Callable[[int], np.ndarray]
) -> np.ndarray:
    """Columns of ``known`` in the order ``new``; ``fresh(i)`` where a name is not among the old ones."""
    at = {name: i for i, name in enumerate(old)}
    columns = [known[:, at[name]] if name in at else fresh(i) for i, name in enumerate(new)]
    return np.stack(columns, axis=1) if columns else np.zeros((len(known), 0))


def lasting(fit: Fit, shop: Shop, names: Names, *, size: int, rng: np.random.Generator) -> dict[str, np.ndarray]:
    """
    Draws of what lasts, for the named bits, pairs and species.

    Parameters
    ----------
    fit : Fit
        Fit of a log.
    shop : Shop
        Describes the names, those unknown to the fit too.
    names : Names
        Order wanted.
    size : int
        How many draws.
    rng : Generator
        For what is new.

    Returns
    -------
    fitted : dict of arrays, draws first

    Notes
    -----
    A bit that the fit does not know is drawn from the shop's law for bits, and picked by how well it agrees
    with the loupe's reading of its flat, where there is one.
    """
    total = len(fit.values["bias"])
    row = rng.permutation(np.resize(np.arange(total), size))
    shop_wide = {name: fit.values[name][row] for name in SHOP}

    def scatter(mean: str, spread: str, log: bool) -> np.ndarray:
        z = rng.standard_normal(size)
        if log:
            return shop_wide[mean] * np.exp(shop_wide[spread] * z)
        return shop_wide[mean] + shop_wide[spread] * z

    def fresh_flat(i: int) -> np.ndarray:
        read = shop.bit(names.bits[i]).tip_flat
        if read is None:
            return scatter("tip_flat_mean", "tip_flat_ratio", True)
        tries = np.stack([scatter("tip_flat_mean", "tip_flat_ratio", True) for _ in range(40)])
        weight = normal_log_density(read, tries, np.array(LOUPE_ON_FLAT)) + rng.gumbel(size=tries.shape)
        return np.take_along_axis(tries, weight.argmax(axis=0)[None], axis=0)[0]

    def fresh_angle(i: int) -> np.ndarray:
        error = fit.beliefs.priors["angle_error"]
        return shop.bit(names.bits[i]).nominal_angle_deg + error.centre + error.spread * rng.standard_normal(size)

    old = fit.names
    return shop_wide | {
        "true_angle": _pick(fit.values["true_angle"][row], old.bits, names.bits, fresh_angle),
        "tip_flat": _pick(fit.values["tip_flat"][row], old.bits, names.bits, fresh_flat),
        "wall_allowance": _pick(
            fit.values["wall_allowance"][row],
            old.pairs,
            names.pairs,
            lambda _: scatter("allowance_mean", "allowance_spread", False),
        ),
        "crest_loss": _pick(
            fit.values["crest_loss"][row],
            old.species,
            names.species,
            lambda _: scatter("crest_loss_mean", "crest_loss_ratio", True),
        ),
        "half_filled": _pick(
            fit.values["half_filled"][row],
            old.species,
            names.species,
            lambda _: scatter("half_filled_mean", "half_filled_spread", False),
        ),
    }


def single_cut(
    fitted: dict[str, np.ndarray], rng: np.random.Generator, shape: tuple[int, int]
) -> dict[str, np.ndarray]:
    """
    Draw what a single cut brings: both zero errors and the seat shortfall.

    Parameters
    ----------
    fitted : dict of arrays
        The shop's values, draws first.
    rng : Generator
        Source of chance.
    shape : (int, int)
        Draws and cuts.

    Returns
    -------
    values : dict of arrays, shape ``shape``
        ``host_zero_error``, ``insert_zero_error``, ``shortfall``. [mm]

    Examples
    --------
    >>> shop = {"bias": np.zeros(3), "spread": np.full(3, 0.05), "shortfall_mean": np.full(3, 0.02)}
    >>> sorted(single_cut(shop, np.random.default_rng(1), (3, 2)))
    ['host_zero_error', 'insert_zero_error', 'shortfall']
    """
    zeros = {"bias": fitted["bias"][:, None], "spread": fitted["spread"][:, None]}
    return {
        "host_zero_error": zero_error(rng.standard_normal(shape), **zeros),
        "insert_zero_error": zero_error(rng.standard_normal(shape), **zeros),
        "shortfall": shortfall(np.log(rng.standard_exponential(shape)), mean=fitted["shortfall_mean"][:, None]),
    }


def scenario(
    fit: Fit,
    shop: Shop,
    cuts: tuple[Cut, ...],
    *,
    seed: int = 0,
    size: int = DRAWS,
    strokes: list[list[tuple[float, float]]] | None = None,
    same_zeros: bool = False,
) -> Scenario:
    """
    Predictive draws for cuts that are not in the log.

    Parameters
    ----------
    fit : Fit
        Fit of the log.
    shop : Shop
        The log, and whatever else the cuts point to.
    cuts : tuple of Cut
        The new cuts.
    seed, size : int
        Seed and number of the draws.
    strokes : list of lists of (float, float), optional
        Half-widths of strokes and lands for each cut, in place of its coupon's. [mm]
    same_zeros : bool, optional
        All cuts share one set of zero errors and shortfall: for comparing settings of one cut.

    Returns
    -------
    scenario : Scenario
    """
    rng = np.random.default_rng([seed, fit.seed])
    used_pairs = [shop.pair(cut.pair) for cut in cuts]
    names = Names(
        bits=tuple(dict.fromkeys(c.bit for c in cuts)),
        pairs=tuple(dict.fromkeys(c.pair for c in cuts)),
        species=tuple(dict.fromkeys(s for pair in used_pairs for s in (pair.insert, pair.host))),
        cuts=tuple(c.cut for c in cuts),
    )
    fitted = lasting(fit, shop, names, size=size, rng=rng)
    fresh = (size, 1 if same_zeros else len(cuts))
    per_cut = single_cut(fitted, rng, fresh)
    fitted |= {name: np.broadcast_to(value, (size, len(cuts))) for name, value in per_cut.items()}
    return Scenario(fitted=fitted, cuts=cut_arrays(shop, cuts, names, strokes=strokes), rng=rng)
