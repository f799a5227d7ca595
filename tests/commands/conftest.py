"""A log with a stored fit that was never sampled, for the commands that ask it."""

import json
from dataclasses import replace

import numpy as np
import pytest
import simulated_shop

from inlaylab.command_line import main
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import draw_prior
from inlaylab.fitting.sampling.diagnostics import Diagnostics
from inlaylab.fitting.stored_fit import save
from inlaylab.log.store import Log


@pytest.fixture(scope="session")
def fitted_log(tmp_path_factory):
    """A log whose stored fit has draws of the prior: no sampler is run."""
    folder = tmp_path_factory.mktemp("shop")
    design, rng = simulated_shop.small_design(), np.random.default_rng(3)
    shop = simulated_shop.Simulator(design, simulated_shop.planted(design, rng), rng).whole()
    readings = [replace(r, value=round(r.value, 2)) if r.value is not None else r for r in shop.readings]
    path = folder / "shop.inlay"
    with Log.make(path) as made:
        for bit in shop.bits:
            made.add(bit, by="test")
        for pair in shop.pairs:
            made.add(pair, by="test")
        for coupon in shop.coupons:
            made.add(coupon, by="test")
        for cut in shop.cuts:
            made.save_cut(cut, [r for r in readings if r.cut == cut.cut], by="test")
        shop = made.shop()
    names = observe(shop).names
    draws = draw_prior(names.layout(), np.random.default_rng(1), 800)
    fine = Diagnostics(worst_r_hat=1.0, smallest_ess=800.0, worst_name="bias", divergences=0, draws=800)
    fit = Fit(
        names=names,
        nominal_angles=np.array([60.0]),
        draws=draws.reshape(4, -1, draws.shape[-1]),
        seed=1,
        cuts=len(shop.cuts),
        readings=len(shop.readings),
        seconds=1.0,
        diagnostics=fine,
        fingerprint=shop.fingerprint(),
    )
    save(fit, path)
    (folder / "strokes.csv").write_text("stroke_width,land_width,unit\n2.5,4,mm\n8,6,mm\n")
    return path


@pytest.fixture
def asked(fitted_log, capsys):
    """Ask a command about that log: its record, or its text."""
    strokes = ["--strokes", str(fitted_log.parent / "strokes.csv")]

    def ask(command, *words, json_too=True):
        more = strokes if "--bit" in words else []
        assert main([command, str(fitted_log), *words, *more, *(["--json"] if json_too else [])]) == 0
        out = capsys.readouterr().out
        return json.loads(out) if json_too else out

    return ask
