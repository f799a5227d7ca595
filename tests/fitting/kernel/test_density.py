"""The kernel: its values are those of the plain model, its gradient that of automatic differentiation."""

import os
from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest
import simulated_shop

from inlaylab.bench.bits import Groove
from inlaylab.fitting.kernel.density import densities
from inlaylab.fitting.kernel.packing import pack
from inlaylab.fitting.model.likelihood import log_density
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import KIT, Beliefs, draw_prior


def density(z, packed, slope):
    """Log density of one vector; sets its gradient."""
    height = np.empty(1)
    densities(z[None], packed, height, slope[None])
    return height[0]


def _anything(seed):
    """A shop with all that can be in a log: mistakes, doubles, grooves, flats, offsets, passes, outcomes, pictures."""
    rng = np.random.default_rng(seed)
    design = simulated_shop.small_design(cuts=7, bits=2, pairs=3, gaps=(-0.1, 0.05, 0.3))
    truth = simulated_shop.planted(design, rng, mistake_chance=0.1)
    shop = simulated_shop.Simulator(design, truth, rng).whole(sawn_every=2)
    cuts = list(shop.cuts)
    cuts[1] = replace(cuts[1], outline_offset=0.05, path_angle_deg=60.4)
    cuts[2] = replace(cuts[2], pass_spacing=0.3)
    cuts[3] = replace(cuts[3], pass_spacing=0.15, path_length_m=3.2)
    alone = [replace(cuts[0], cut=f"o{n}", coupon=None, outcome=o) for n, o in enumerate(("tight", "hairline", "open"))]
    double = next(r for r in shop.readings if r.station == "B1" and r.kind == "glue_line")
    fills = next(r for r in shop.readings if r.station == "B1" and r.kind == "fill")
    more = (replace(double, station="B3", state=None, value=0.2, limit=None), replace(fills, station="B3"))
    return replace(
        shop,
        bits=(replace(shop.bits[0], tip_flat=0.12), replace(shop.bits[1], tip_flat=0.0)),
        grooves=tuple(Groove(bit="bit1", depth=d, width=0.13 + 1.17 * d, unit="mm") for d in (1, 2, 3)),
        cuts=(*cuts, *alone),
        readings=(*shop.readings, *more),
    )


def _with_pictures(seen, rng):
    """Some of the lines and wedges as if a picture had given them, some with a stated scatter of their own."""
    rows = dict(seen.rows)
    for kind in ("glue_line", "wedge_stop", "backer_gap"):
        size = rows[kind]["row"].size
        sd = np.where(rng.random(size) < 0.5, rng.uniform(0.005, 0.05, size), np.nan)
        picture = np.zeros(size) if kind == "backer_gap" else (rng.random(size) < 0.5).astype(float)
        rows[kind] = rows[kind] | {"sd": sd, "picture": picture}
    return replace(seen, rows=rows)


def _other_beliefs():
    priors = {n: replace(p, spread=0.7 * p.spread, centre=p.centre * 1.1 + 0.001) for n, p in KIT.priors.items()}
    return Beliefs(priors=priors, basis="pooled")


SHOPS = {
    "all kinds": lambda: observe(_anything(1)),
    "all kinds, another": lambda: observe(_anything(2)),
    "pictures": lambda: _with_pictures(observe(_anything(3)), np.random.default_rng(3)),
    "one cut": lambda: observe(simulated_shop.small_design(cuts=1)),
    "no cut": lambda: observe(simulated_shop.small_design(cuts=0)),
}


@pytest.mark.parametrize("beliefs", [KIT, _other_beliefs()], ids=["usual", "others"])
@pytest.mark.parametrize("name", SHOPS)
def test_values_are_the_models(name, beliefs):
    seen = SHOPS[name]()
    layout, packed = seen.names.layout(), pack(seen, beliefs)
    rng, found = np.random.default_rng(8), np.empty(layout.size)
    for wide in (0.3, 0.6, 1.0, 1.0, 1.5):
        z = draw_prior(layout, rng, 1, wide=wide)[0]
        expected = float(log_density(z, seen=seen, layout=layout, beliefs=beliefs))
        npt.assert_allclose(density(z, packed, found), expected, rtol=1e-12, atol=1e-12)


#: To compile one of them takes JAX twenty seconds; pictures lie among readings of all kinds.
GRADIENTS = [
    ("pictures", _other_beliefs()),
    ("no cut", KIT),
    *[("all kinds", KIT)] * bool(os.environ.get("INLAYLAB_LONG")),
]


@pytest.mark.long
@pytest.mark.parametrize(("name", "beliefs"), GRADIENTS)
def test_gradients_are_those_of_automatic_differentiation(name, beliefs):
    import jax

    jax.config.update("jax_enable_x64", True)
    seen = SHOPS[name]()
    layout, packed = seen.names.layout(), pack(seen, beliefs)
    slope = jax.jit(jax.grad(lambda z: log_density(z, seen=seen, layout=layout, beliefs=beliefs)))
    rng, found = np.random.default_rng(8), np.empty(layout.size)
    for wide in (0.3, 0.6, 1.0, 1.0, 1.0, 1.5):
        z = draw_prior(layout, rng, 1, wide=wide)[0]
        density(z, packed, found)
        npt.assert_allclose(found, np.asarray(slope(z)), rtol=1e-9, atol=1e-9 * (1 + np.abs(found).max()))


def test_contacts_that_are_left_out_would_never_have_held_a_plug_up():
    seen = observe(_anything(4))
    layout, packed = seen.names.layout(), pack(seen, KIT)
    real = int(seen.cuts.real.sum())
    assert len(packed.tips) < real and len(packed.lands) < real
    rng, found = np.random.default_rng(9), np.empty(layout.size)
    for z in draw_prior(layout, rng, 200, wide=1.5):
        expected = log_density(z, seen=seen, layout=layout)
        npt.assert_allclose(density(z, packed, found), expected, rtol=1e-11)


def test_far_out_the_density_stays_a_number_or_minus_infinity():
    seen = observe(_anything(5))
    layout, packed = seen.names.layout(), pack(seen, KIT)
    found = np.empty(layout.size)
    for z in 30 * np.random.default_rng(10).standard_normal((50, layout.size)):
        assert not density(z, packed, found) > 0
