"""
One fit after another of invented shops that have the same shapes: the log density is compiled once.

What differs from shop to shop (values read, closed or not, states) goes into the compiled density as arguments; a
closed line keeps its row. The sampler is the project's own `Chains`, tuned as `sampling.sample` does it.
"""

from dataclasses import replace
from functools import partial

import numpy as np
import simulated_shop

from inlaylab.bench.readings import Reading
from inlaylab.fitting.model.likelihood import log_density
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import draw_prior, values
from inlaylab.fitting.sampling.diagnostics import diagnose
from inlaylab.fitting.sampling.moves import move

QUANTITIES = (
    "true_angle", "tip_flat", "wall_allowance", "crest_loss", "half_filled", "bias", "spread", "shortfall_mean",
    "loupe_sd", "feeler_sd", "gauge_sd", "wedge_sd", "opening_sd", "across_shift", "fill_softness", "wear_rate",
)  # fmt: skip
MOVING = {"value", "closed", "limit", "state"}


def drawn_shop(seed, n):
    """A shop drawn from the prior, its readings with it, and the values it was made from."""
    rng = np.random.default_rng([seed, n])
    design = simulated_shop.small_design(cuts=5, pairs=2)
    names = observe(design).names
    vector = draw_prior(names.layout(), rng, 1)[0]
    truth = values(names.layout().split(vector), nominal_angles=np.array([60.0]))
    simulator = simulated_shop.Simulator(design, truth, rng)
    whole = simulator.whole()
    places = {(r.cut, r.kind, r.station) for r in whole.readings}
    # a length that came out below zero is nobody's reading: drawn again, so that all shops have the same rows
    for n_cut, cut in enumerate(whole.cuts):
        expected = [("backer_gap", None), ("wedge_stop", "W")]
        expected += [(kind, None) for kind in ("floor_gap", "pocket_depth", "plug_depth") if n_cut % 2 == 0]
        for kind, station in expected:
            if (cut.cut, kind, station) not in places:
                value = 1e-4 if kind in ("floor_gap", "wedge_stop") else 0.01
                extra = Reading(cut=cut.cut, kind=kind, station=station, value=value, unit="mm")
                whole = whole.with_cuts(whole.cuts, (*whole.readings, extra))
    order = {cut.cut: i for i, cut in enumerate(whole.cuts)}
    kinds = ("backer_gap", "floor_gap", "pocket_depth", "plug_depth", "glue_line", "fill", "wedge_stop")
    readings = sorted(whole.readings, key=lambda r: (kinds.index(r.kind), order[r.cut], r.station or ""))
    return whole.with_cuts(whole.cuts, readings), truth


class Calibration:
    """Where the truth ranks among the draws of one fit after another, all through one compiled density."""

    def __init__(self, seed, recipe=None):
        from inlaylab.fitting.sampling.chains import Recipe, start_engine
        from inlaylab.fitting.sampling.posterior import likely_contacts

        start_engine()
        self.seed, self.recipe = seed, recipe or Recipe(chains=8, tuning=200, kept=200, longest=1000)
        self.template = observe(drawn_shop(seed, 0)[0])
        self.layout = self.template.names.layout()
        self.strokes = likely_contacts(self.template, self.layout, draws=20_000)  # the design alone decides
        self.data, self._run = None, None

    def _compiled(self, model, count):
        """In place of `chains._compiled`: the same stretch, with what was read as an argument."""
        import jax

        from inlaylab.fitting.sampling.chains import Model, stretch

        def run(data, *state):
            rows = {kind: columns | data.get(kind, {}) for kind, columns in self.template.rows.items()}
            known = {"seen": replace(self.template, rows=rows), "layout": self.layout, "strokes": self.strokes}
            return stretch(Model(density=partial(log_density, **known), move=partial(move, **known)), *state)

        if self._run is None:
            self._run = jax.jit(run)
        return lambda *state: self._run(self.data, *state)

    def fit(self, n):
        """Fitted quantities (chains, draws, ...) of shop number n, their diagnostics, and the truth."""
        from inlaylab.fitting.sampling import chains
        from inlaylab.fitting.sampling.posterior import overlooked, sample

        shop, truth = drawn_shop(self.seed, n)
        seen = observe(shop)
        self.data = {
            kind: {name: columns[name] for name in sorted(MOVING & set(columns))}
            for kind, columns in seen.rows.items()
            if columns["row"].size
        }
        for kind, columns in self.template.rows.items():
            if any(not np.array_equal(columns[k], seen.rows[kind][k]) for k in set(columns) - MOVING):
                raise AssertionError(f"shop {n} has other rows of {kind} than the first")

        def quantities(draws):
            return values(self.layout.split(draws), nominal_angles=seen.nominal_angles)

        usual, chains._compiled = chains._compiled, self._compiled
        try:
            run = sample(
                seen,
                self.layout,
                self.strokes,
                seed=n,
                recipe=self.recipe,
                judge=lambda draws: diagnose(quantities(draws)),
            )
        finally:
            chains._compiled = usual
        assert overlooked(run.draws, seen, self.layout, self.strokes) < 1e-3
        return quantities(run.draws), diagnose(quantities(run.draws), divergences=run.divergences), truth

    def ranks(self, n):
        """Share of the draws below the truth, by quantity; None where the fit is not sound."""
        fitted, diagnostics, truth = self.fit(n)
        if not diagnostics.converged:
            return None
        found = {}
        for name in QUANTITIES:
            draws = fitted[name].reshape(-1, *fitted[name].shape[2:])
            found[name] = np.ravel(np.mean(draws < truth[name], axis=0))[
                :1
            ]  # one of each: ranks of one fit hang together
        return found
