"""A coupon's readings at any start depth, against the seat of each single piece."""

import numpy as np
import pytest

from inlaylab.fitting.next.coupon_readings import coupon_piece
from inlaylab.fitting.next.simulated_results import single_pieces
from inlaylab.fitting.predict.draws import scenario
from inlaylab.models.seating import seat


@pytest.mark.parametrize("start", [3.0, 3.8, 4.2])
def test_readings_are_those_of_the_seat(start, small_shop, made_fit, question):
    fit = made_fit(small_shop, size=40)
    cut = question.cut(3.0)
    world = scenario(fit, small_shop, (cut,), size=40, strokes=[question.half_widths])
    single = single_pieces(world.fitted, np.random.default_rng(1), 3)
    coupon = small_shop.coupon("ladder")
    piece = coupon_piece(world, single, small_shop, cut, coupon=coupon, kinds=("backer_gap", "plug_depth"))
    found = piece.measurement(start)
    assert found.names == (*(f"glue_line B{n}" for n in (1, 2, 3, 4)), "backer_gap", "plug_depth")
    section = {
        name: np.broadcast_to(v, (40, 1, v.shape[-1])) if np.ndim(v) > 2 else v
        for name, v in piece.piece.section().items()
    }
    for k in range(3):
        one = {name: single[name][:, k, None, None] for name in ("host_zero_error", "insert_zero_error")}
        rest = seat(start_depth=start, seat_shortfall=single["shortfall"][:, k, None, None], **one, **section)
        assert found.means[:, k, :4] == pytest.approx(rest.wall_gap[:, 0, :4])
        level = np.asarray(rest.seat_level)[:, 0]
        assert found.means[:, k, 4] == pytest.approx(level - single["host_zero_error"][:, k])
    assert found.means[..., 5] == pytest.approx(single["insert_zero_error"])
    assert (found.unread[:, :4] >= 0).all() and (found.unread[:, 4:] == 0).all()
