"""
Would a wider model predict better? Three more things that a shop could teach, and a check by its own past, compared.

``python tests/benchmarks/wider_models.py FOLDER… [--seed 1]``: each a shop whose truth is known (its log as tables in
``log/``, cuts to predict in ``held_out/``, ``strokes.csv``, ``question.json`` and ``truth.json``); shops are put
together by the first word of their names. Each shop is fitted once by the kit's own model. Every other model has that
model inside it, so that its posterior is the same draws, each with a draw of what is new, weighed by how much likelier
they make the readings (Pareto smoothed; k tells how well that went, under 0.7 is good):

- tails: zero errors of Student's t, whose degrees of freedom are learnt (log-normal about 8, spread 0.9);
- wear: every bit wears at a rate of its own (log-normal about the shop's, spread 0.8);
- openings: every insert species has local openings of its own (log-normal about the shop's, spread 0.5);
- own past: each logged cut is predicted without its own readings; where they lie farther out than they should, what is
  stated is widened about its middle by that much (a typical ratio, drawn to 1 by ten cuts' worth of doubt, never under
  1).

Figures: share of true glue lines inside the stated 50 and 90 %, mean error of the median, pinball loss over seven
quantiles [mm]; of the start depth: |distance to the ideal one|, how much wider the true worst line is than it need be
[mm], and the gap between stated and true chance.

Last measured, 14 example shops (3 narrow, 8 plain, 3 rough); the start depth's distance [mm], gap, inside 90 %, pinball
[mm]: narrow, the kit's 0.066, 0.147, 0.96, 0.0042; tails 0.072, 0.146, 0.96, 0.0042; wear 0.066, 0.147, 0.96, 0.0042;
openings 0.065, 0.131, 0.96, 0.0042; own past 0.066, 0.151, 1.00, 0.0042. Plain, the kit's 0.065, 0.019, 0.92, 0.0051;
tails 0.065, 0.020, 0.92, 0.0052; wear 0.066, 0.018, 0.92, 0.0051; openings 0.058, 0.022, 0.92, 0.0051; own past 0.065,
0.021, 0.92, 0.0052. Rough, the kit's 0.082, 0.066, 0.95, 0.0053; tails 0.086, 0.066, 0.95, 0.0053; wear 0.081, 0.065,
0.95, 0.0053; openings 0.088, 0.067, 0.96, 0.0054; own past (18 % wider) 0.082, 0.071, 0.98, 0.0054. k was at most 0.81
for openings, 0.87 for wear and 1.04 for tails, whose figures are therefore rough. No one of them gains beyond the noise
of so few shops, and each costs latents or makes what is stated too wide: the kit's own model stays.
"""

import argparse
import json
from collections import defaultdict
from dataclasses import dataclass, replace
from pathlib import Path
from unittest import mock

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.fitting.advice.depth_rule import DepthRule
from inlaylab.fitting.advice.worst_lines import cloud
from inlaylab.fitting.fit import fit_shop
from inlaylab.fitting.model.cut_seats import seat_levels
from inlaylab.fitting.model.likelihood import cut_terms
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import values
from inlaylab.fitting.predict import draws as predictive
from inlaylab.fitting.predict.cuts import QUANTILES, predict
from inlaylab.fitting.predict.question import Question
from inlaylab.fitting.review.cut_likelihood import log_chances_of_cut, thinned
from inlaylab.log.tables.import_export import read_folder
from inlaylab.log.tables.strokes import read_strokes

COPIES, ROWS = 4, 4800
NAMES, SHARES = tuple(QUANTILES), np.array(tuple(QUANTILES.values()))
DOUBT = 10
"""So many cuts of a shop's past count as much as the belief that the model is right."""


def rows_of(log_weights, rng):
    """Rows drawn by Pareto smoothed weights, and the k of their tail."""
    from arviz_stats.base import array_stats

    smooth, k = array_stats.psislw(-log_weights)  # it takes log likelihoods and turns their sign
    weights = np.exp(smooth - smooth.max())
    return rng.choice(len(weights), ROWS, p=weights / weights.sum()), float(k)


def with_rows(fit, latents):
    return replace(fit, draws=latents[None])


@dataclass
class Model:
    """A posterior: how the fit looks for a bit and an insert species, and how zero errors scatter."""

    fit_for: object
    freedom: np.ndarray | None = None
    k: float = 0.0
    wider: float = 1.0


def base(fit, seen, shop, rng):
    flat = fit.draws.reshape(-1, fit.draws.shape[-1])
    some = with_rows(fit, flat[np.resize(np.arange(len(flat)), ROWS)])
    return Model(fit_for=lambda bit, insert: some)


def tails(fit, seen, shop, rng):
    from scipy.stats import norm, t

    flat = np.tile(fit.draws.reshape(-1, fit.draws.shape[-1]), (COPIES, 1))
    z = fit.names.layout().split(flat)
    zeros = np.concatenate([z["z_host"], z["z_insert"], z["z_setup"]], axis=1)
    freedom = 8.0 * np.exp(0.9 * rng.standard_normal(len(flat)))
    gain = (t.logpdf(zeros, freedom[:, None]) - norm.logpdf(zeros)).sum(axis=1)
    rows, k = rows_of(gain, rng)
    some = with_rows(fit, flat[rows])
    return Model(fit_for=lambda bit, insert: some, freedom=freedom[rows], k=k)


def of_its_own(fit, seen, rng, *, latent, spread, groups, owner):
    """A shop's latent that every group of cuts has a value of: rows, and the latent of each group."""
    flat = np.tile(fit.draws.reshape(-1, fit.draws.shape[-1]), (COPIES, 1))
    layout = fit.names.layout()
    at = int(layout.split(np.arange(layout.size))[latent])
    apart = spread / fit.beliefs.priors[latent].spread * rng.standard_normal((len(flat), groups))

    def terms(latents):
        fitted = values(layout.split(latents), nominal_angles=fit.nominal_angles, beliefs=fit.beliefs)
        return cut_terms(fitted, seen, seat_levels(fitted, seen.cuts))

    def moved(group, latents, apart):
        other = latents.copy()
        other[:, at] += apart[:, group]
        return other

    gain = -terms(flat).sum(axis=1)
    for group in set(owner):
        gain = gain + terms(moved(group, flat, apart))[:, owner == group].sum(axis=1)
    rows, k = rows_of(gain, rng)
    return {group: with_rows(fit, moved(group, flat[rows], apart[rows])) for group in range(groups)}, k


def wear(fit, seen, shop, rng):
    owner = np.asarray(seen.cuts.bit)
    fits, k = of_its_own(fit, seen, rng, latent="wear_rate", spread=0.8, groups=len(fit.names.bits), owner=owner)
    return Model(fit_for=lambda bit, insert: fits[fit.names.bits.index(bit)], k=k)


def openings(fit, seen, shop, rng):
    fits, k = of_its_own(
        fit,
        seen,
        rng,
        latent="opening_sd",
        spread=0.5,
        groups=len(fit.names.species),
        owner=np.asarray(seen.cuts.insert),
    )
    return Model(fit_for=lambda bit, insert: fits[fit.names.species.index(insert)], k=k)


def own_past(fit, seen, shop, rng):
    """The kit's model, and how much wider its statements should have been in this shop's past."""
    few, ratios = thinned(fit, 400), []
    flat = few.draws.reshape(-1, few.draws.shape[-1])
    for at, cut in enumerate(shop.cuts):
        read = {r.station: r.value for r in shop.readings if r.cut == cut.cut and r.kind == "glue_line" and r.value}
        if not read:
            continue
        rows, _ = rows_of(-log_chances_of_cut(few, seen, at, rng=rng), rng)
        told = predict(with_rows(fit, flat[rows]), shop, replace(Shop(habits=shop.habits), cuts=(cut,)), draws=ROWS)
        off = [
            abs(read[row["station"]] - row["q50"]) / np.hypot((row["q95"] - row["q05"]) / 3.29, 0.02)
            for row in told.glue_lines
            if row["station"] in read and row["q50"] > 0.03
        ]
        if off:
            ratios.append(np.median(off) / 0.6745)
    typical = np.log(np.clip(np.median(ratios), 0.2, 5.0)) if ratios else 0.0
    model = base(fit, seen, shop, rng)
    return replace(model, wider=max(1.0, float(np.exp(typical * len(ratios) / (len(ratios) + DOUBT)))))


MODELS = {"the kit's": base, "tails": tails, "wear": wear, "openings": openings, "own past": own_past}


def scattered(model):
    """While this holds, single cuts' zero errors scatter as the model says."""
    if model.freedom is None:
        return mock.patch.object(predictive, "single_cut", predictive.single_cut)
    plain = predictive.single_cut

    def heavy(fitted, rng, shape):
        out = plain(fitted, rng, shape)
        freedom = np.resize(model.freedom, shape[0])[:, None]
        for name in ("host_zero_error", "insert_zero_error"):
            z = rng.standard_t(np.broadcast_to(freedom, shape))
            out[name] = fitted["bias"][:, None] + fitted["spread"][:, None] * z
        return out

    from inlaylab.fitting.advice import worst_lines

    both = mock.patch.object(predictive, "single_cut", heavy)
    both_too = mock.patch.object(worst_lines, "single_cut", heavy)

    class Both:
        def __enter__(self):
            both.__enter__(), both_too.__enter__()

        def __exit__(self, *told):
            both_too.__exit__(*told), both.__exit__(*told)

    return Both()


def widened(values, wider):
    middle = np.median(values, axis=-1, keepdims=True) if np.ndim(values) else values
    return np.maximum(0.0, middle + wider * (values - middle))


def judge(model, shop, planned, question, truth):
    """True lines against what is stated, and the start depth against the ideal one."""
    lines = []
    true = {(row["cut"], row["station"]): row["true"] for row in truth["glue_lines"]}
    pair_of = {pair.pair: pair for pair in (*shop.pairs, *planned.pairs)}
    with scattered(model):
        for cut in planned.cuts:
            insert = pair_of[cut.pair].insert
            fit = model.fit_for(cut.bit, insert)
            for row in predict(fit, shop, replace(planned, cuts=(cut,))).glue_lines:
                q = np.array([row[name] for name in NAMES])
                lines.append((true[cut.cut, row["station"]], np.maximum(0.0, q[3] + model.wider * (q - q[3]))))
        fit = model.fit_for(question.bit, pair_of[question.pair].insert)
        here = cloud(fit, shop, question, draws=2400, pieces=16)
    depth = float(DepthRule(here).go_by().start_depth[0])
    worst = here.law.at(depth)
    chance = float((widened(worst.ravel(), model.wider) <= question.within).mean())
    curve, ideal = np.array(truth["start_depth"]["curve"]), truth["start_depth"]
    return lines, {
        "depth": abs(ideal["best"] - depth),
        "regret": float(np.interp(depth, curve[:, 0], curve[:, 1])) - ideal["tightest"],
        "gap": abs(chance - float(np.interp(depth, curve[:, 0], curve[:, 2]))),
        "k": model.k,
        "wider": model.wider,
    }


def asked(folder):
    said = json.loads((folder / "question.json").read_text())
    return Question(
        bit=said["bit"],
        pair=said["pair"],
        strokes=read_strokes(folder / "strokes.csv"),
        pocket_depth=said["pocket_depth"],
        relief_depth=said["relief_depth"],
        within=said["tol"],
        chance=said["target"],
    )


def told(found):
    """Print a row for each model."""
    print(
        f"{'':24}{'cover50':>9}{'cover90':>9}{'mae':>9}{'pinball':>9}{'depth':>9}{'regret':>9}{'gap':>9}{'k':>7}{'wider':>7}"
    )
    for (kind, name), shops in sorted(found.items()):
        y = np.array([line[0] for lines, _ in shops for line in lines])
        q = np.array([line[1] for lines, _ in shops for line in lines])
        miss = y[:, None] - q
        pinball = np.where(miss >= 0, SHARES * miss, (SHARES - 1) * miss).mean()
        inside = [((y >= q[:, low] - 1e-4) & (y <= q[:, high] + 1e-4)).mean() for low, high in ((2, 4), (0, 6))]
        rows = {key: [row[key] for _, row in shops] for key in shops[0][1]}
        print(
            f"{kind:8}{name:16}{inside[0]:9.3f}{inside[1]:9.3f}{np.abs(miss[:, 3]).mean():9.4f}{pinball:9.4f}"
            f"{np.mean(rows['depth']):9.3f}{np.mean(rows['regret']):9.4f}{np.mean(rows['gap']):9.3f}"
            f"{np.max(rows['k']):7.2f}{np.mean(rows['wider']):7.2f}",
            flush=True,
        )


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[1])
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    found = defaultdict(list)
    for folder in options.folders:
        shop, truth = read_folder(folder / "log"), json.loads((folder / "truth.json").read_text())
        planned, question = read_folder(folder / "held_out", known=shop), asked(folder)
        fit, seen = fit_shop(shop, seed=options.seed), observe(shop)
        for name, model in MODELS.items():
            rng = np.random.default_rng([options.seed, 5])
            found[folder.name.split("_")[0], name].append(
                judge(model(fit, seen, shop, rng), shop, planned, question, truth)
            )
        print(f"\n{folder.name}, R-hat {fit.worst_r_hat:.3f}", flush=True)
        told(found)


if __name__ == "__main__":
    main()
