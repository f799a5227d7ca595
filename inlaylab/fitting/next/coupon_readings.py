"""
The readings of a test cut that was not made yet, draw by draw and piece by piece.

What no start depth changes is worked out once for a coupon, so that trying another start depth costs little.
"""

from dataclasses import dataclass, replace

import numpy as np

from inlaylab.bench.coupons import Coupon
from inlaylab.bench.cuts import Cut
from inlaylab.bench.shop import Shop
from inlaylab.fitting.advice.worst_lines import flat_section
from inlaylab.fitting.model.cut_arrays import Names, cut_arrays, pieces
from inlaylab.fitting.model.observations import station_geometry
from inlaylab.fitting.next.simulated_results import Measurement, measurement_of
from inlaylab.fitting.predict.draws import Scenario
from inlaylab.models.filling import chances
from inlaylab.models.start_depths import WorstLine, worst_line
from inlaylab.models.walls import wall_gap


@dataclass(frozen=True, kw_only=True)
class CouponPiece:
    """
    A coupon as it would be cut: everything about its readings that no start depth changes.

    Parameters
    ----------
    piece : Scenario
        The cut on its own coupon.
    single : dict of arrays, shape (draws, pieces)
        From `simulated_results.single_pieces`. [mm]
    law : WorstLine
        Where each piece rests at every start depth.
    stations : tuple of str
        Bars whose glue lines are read.
    depths : array, shape (stations,)
        Depth of the path in stroke and land together. [mm]
    missing : array, shape (draws, stations)
        Chance that the stroke breaks off.
    kinds : tuple of str
        Readings of the whole piece taken beside the glue lines.
    loupe_limit : float
        Glue line that the shop's loupe still shows. [mm]
    """

    piece: Scenario
    single: dict[str, np.ndarray]
    law: WorstLine
    stations: tuple[str, ...]
    depths: np.ndarray
    missing: np.ndarray
    kinds: tuple[str, ...]
    loupe_limit: float

    def measurement(self, start_depth: float) -> Measurement:
        """
        Readings of this piece when cut at a start depth.

        Parameters
        ----------
        start_depth : float
            [mm]

        Returns
        -------
        measurement : Measurement
        """
        fitted, single, cuts = self.piece.fitted, self.single, self.piece.cuts
        level = self.law.seat_level(start_depth)
        lines = wall_gap(
            stroke_depth=self.depths,
            land_depth=0.0,
            path_angle=cuts.path_angle[0, 0],
            true_angle=fitted["true_angle"][:, :1, None],
            tip_flat=self.piece.tip_flat()[:, :1, None],
            outline_offset=cuts.outline_offset[0, 0],
            seat_level=level[..., None],
        )
        whole = {
            "backer_gap": level - single["host_zero_error"],
            "pocket_depth": single["host_zero_error"],
            "plug_depth": single["insert_zero_error"],
        }
        names = [f"glue_line {station}" for station in self.stations] + list(self.kinds)
        return measurement_of(
            names,
            np.concatenate([lines, *(whole[kind][..., None] for kind in self.kinds)], axis=-1),
            fitted,
            loupe_limit=self.loupe_limit,
            unread=np.concatenate([self.missing, np.zeros((len(level), len(self.kinds)))], axis=1),
        )


def coupon_piece(
    world: Scenario, single: dict[str, np.ndarray], shop: Shop, cut: Cut, *, coupon: Coupon, kinds: tuple[str, ...]
) -> CouponPiece:
    """
    Prepare the readings of a test cut on a coupon.

    Parameters
    ----------
    world : Scenario
        Draws for one planned cut with the same bit and pair.
    single : dict of arrays
        From `simulated_results.single_pieces`.
    shop : Shop
        The log.
    cut : Cut
        The test cut; its start depth does not matter.
    coupon : Coupon
        Where it is cut.
    kinds : tuple of str
        ``backer_gap``, ``pocket_depth`` and ``plug_depth``, those that are read; each less its programmed depth.

    Returns
    -------
    piece : CouponPiece
    """
    shop = replace(shop, coupons=(*(c for c in shop.coupons if c.coupon != coupon.coupon), coupon))
    cut = replace(cut, coupon=coupon.coupon)
    pair, fitted = shop.pair(cut.pair), world.fitted
    woods = tuple(dict.fromkeys((pair.insert, pair.host)))
    names = Names(bits=(cut.bit,), pairs=(cut.pair,), species=woods, cuts=(cut.cut,))
    piece = replace(world, cuts=cut_arrays(shop, (cut,), names, strokes=[pieces(cut, shop)]))
    bars = [s for s in coupon.stations if s.kind == "bar"]
    found = [station_geometry(cut, bar, shop) for bar in bars]
    depths, finished, across = (np.array([f[key] for f in found], float) for key in ("depths", "finished", "across"))
    state = chances(
        finished_width=finished,
        half_filled_width=fitted["half_filled"][:, piece.cuts.insert],
        softness=fitted["fill_softness"][:, None],
        across_shift=fitted["across_shift"][:, None],
        across=across,
        step=fitted["fill_step"][:, None],
    )
    return CouponPiece(
        piece=piece,
        single=single,
        law=worst_line(
            flat_section(piece),
            host_zero_error=single["host_zero_error"],
            insert_zero_error=single["insert_zero_error"],
            seat_shortfall=single["shortfall"],
        ),
        stations=tuple(bar.station for bar in bars),
        depths=depths,
        missing=np.asarray(state)[..., 0],
        kinds=kinds,
        loupe_limit=shop.habits.loupe_limit,
    )
