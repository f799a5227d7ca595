"""What cuts that are not in the log will show: glue lines, filling, backer gaps."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.observations import station_geometry
from inlaylab.fitting.predict.draws import DRAWS, joined, scenario
from inlaylab.fitting.quantiles import QUANTILES, spread
from inlaylab.models.filling import filled_chance

SEEN_CLOSED = 0.05
"""A glue line under this is seen as closed: what a shop's habits begin with (our choice; a loupe of ten times shows
about that, common practice, no source). [mm]"""


@dataclass(frozen=True, kw_only=True)
class Prediction:
    """
    What cuts will show.

    Parameters
    ----------
    glue_lines : tuple of dict
        ``cut``, ``station``, quantiles of the true line per side [mm] and ``closed_chance``.
    fills : tuple of dict
        ``cut``, ``station`` and ``filled_chance``.
    backer_gaps : tuple of dict
        ``cut`` and quantiles. [mm]

    Examples
    --------
    >>> Prediction(glue_lines=(), fills=(), backer_gaps=()).to_json()
    {'glue_lines': [], 'fills': [], 'backer_gaps': []}
    """

    glue_lines: tuple[dict[str, Any], ...]
    fills: tuple[dict[str, Any], ...]
    backer_gaps: tuple[dict[str, Any], ...]

    def to_json(self) -> dict[str, Any]:
        """Answer of the command ``predict``."""
        return {name: [dict(row) for row in getattr(self, name)] for name in ("glue_lines", "fills", "backer_gaps")}


def predict(fit: Fit, shop: Shop, planned: Shop, *, seed: int = 0, draws: int = DRAWS) -> Prediction:
    """
    Predict cuts.

    Parameters
    ----------
    fit : Fit
        Converged fit of the log.
    shop : Shop
        The log.
    planned : Shop
        The cuts to predict, with whatever they point to that is not in the log.
    seed, draws : int
        Seed and number of the predictive draws.

    Returns
    -------
    prediction : Prediction
        Bars only: a wedge has no one glue line.

    Raises
    ------
    NotConverged
        If the fit's chains do not agree.
    """
    fit.check()
    whole = joined(shop, planned)
    cuts = planned.cuts
    if not cuts:
        return Prediction(glue_lines=(), fills=(), backer_gaps=())
    world = scenario(fit, whole, cuts, seed=seed, size=draws)
    level = world.seat_level()
    bars = [
        (i, cut.cut, station.station, station_geometry(cut, station, whole))
        for i, cut in enumerate(cuts)
        if cut.coupon is not None
        for station in whole.coupon(cut.coupon).stations
        if station.kind == "bar"
    ]
    at = np.array([bar[0] for bar in bars], int)
    found = {key: np.array([bar[3][key] for bar in bars], float) for key in ("depths", "finished", "across")}
    lines = world.glue_lines(depths=found["depths"], cut=at, level=level)
    fitted = world.fitted
    filled = np.asarray(
        filled_chance(
            finished_width=found["finished"],
            half_filled_width=fitted["half_filled"][:, world.cuts.insert[at]],
            softness=fitted["fill_softness"][:, None],
            across_shift=fitted["across_shift"][:, None],
            across=found["across"],
        )
    )
    backer = world.cuts.relief_depth[:, 0] + level - fitted["host_zero_error"]
    return Prediction(
        glue_lines=tuple(
            {"cut": cut, "station": station}
            | spread(lines[:, n], tuple(QUANTILES))
            | {"closed_chance": float(np.mean(lines[:, n] < SEEN_CLOSED))}
            for n, (_, cut, station, _) in enumerate(bars)
        ),
        fills=tuple(
            {"cut": cut, "station": station, "filled_chance": float(np.mean(filled[:, n]))}
            for n, (_, cut, station, _) in enumerate(bars)
        ),
        backer_gaps=tuple({"cut": cut.cut} | spread(backer[:, i]) for i, cut in enumerate(cuts)),
    )
