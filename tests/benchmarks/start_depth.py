"""
How near the start depth to go by comes to the ideal one, on shops that are made up anew in the form of given ones.

``python tests/benchmarks/start_depth.py FOLDER… [--each 3] [--seed 1]``: each folder a shop's log as tables in
``log/`` with a ``question.json`` and ``strokes.csv``; only its bits, pairs, coupons and cuts are used. Everything that
is unknown is drawn from the kit's starting beliefs, ``--each`` times a folder; all readings are made anew by
`tests/reference/simulated_shop.py`, three in a hundred of them mistakes; then the shop is fitted and asked. The ideal
start depth is what the same rule says to someone who knows all that lasts, and not what a single cut brings.

Figures [mm], over all shops of one kind (the first word of a folder's name): mean and median distance to the ideal
start depth, how much shallower it is on average, and how far the fit itself expects to miss it; how much wider the
worst line is on average than it need be, and at the most.

Last measured, eight plain and three narrow example shops, three times each: plain 24 shops, distance 0.038 (standard
error 0.008), median 0.032, shallower by 0.032, expected 0.041, wider by 0.0008, at most 0.0033, R-hat at most 1.020;
before chains jumped between hills (`inlaylab.fitting.sampling.jumps`) two of them had not converged (R-hat 1.19 and
1.23). Narrow 9 shops, median 0.022, expected 0.123, wider by 0.0012, at most 0.0071, R-hat at most 1.016; their mean of
0.208 is one shop's whose strokes hardly reach the floor (1.62, where nothing is lost).
"""

import argparse
import json
import sys
from collections import defaultdict
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "reference"))
import simulated_shop
from wider_models import asked, with_rows

from inlaylab.fitting.advice.depth_rule import DepthRule
from inlaylab.fitting.advice.worst_lines import cloud
from inlaylab.fitting.fit import fit_shop
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import draw_prior, values
from inlaylab.log.tables.import_export import read_folder

DRAWS, PIECES, ROWS = 1200, 64, 4800
PER_CUT = ("host_zero_error", "insert_zero_error", "shortfall")


def made_up(shop, rng):
    """A shop of the same cuts with readings of its own, and the latents it was made from."""
    bare = replace(shop, readings=(), grooves=())
    seen = observe(bare)
    layout = seen.names.layout()
    z = draw_prior(layout, rng, 1)
    told = {k: v[0] for k, v in values(layout.split(z), nominal_angles=seen.nominal_angles).items()}
    woods = dict.fromkeys(wood for pair in shop.pairs for wood in (pair.host, pair.insert))
    at = [seen.names.species.index(wood) for wood in woods]
    truth = told | {name: told[name][at] for name in ("crest_loss", "half_filled")} | {"mistake_chance": 0.03}
    whole = simulated_shop.Simulator(bare, truth, rng).whole(sawn_every=4)
    return whole, z


def ask(fit, shop, question):
    return cloud(fit, shop, question, draws=DRAWS, pieces=PIECES)


def missed(shop, question, *, seed):
    """What advice from one shop's fit loses against someone who knows what lasts."""
    rng = np.random.default_rng([seed, 9])
    made, z = made_up(shop, rng)
    fit = fit_shop(made, seed=seed)
    known = with_rows(fit, np.tile(z, (ROWS, 1)))
    said, best = ask(fit, made, question), ask(known, made, question)
    depth, ideal = (float(DepthRule(here).go_by().start_depth[0]) for here in (said, best))
    shallowest = float(best.law.at(0.5 * question.pocket_depth).mean())
    expected = np.abs(DepthRule(said).if_known() - depth).mean()
    return {
        "away": ideal - depth,
        "expected": float(expected),
        "regret": float(best.law.at(depth).mean()) - min(shallowest, float(best.law.at(ideal).mean())),
        "r_hat": fit.worst_r_hat,
    }


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[1])
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--each", type=int, default=3)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    found = defaultdict(list)
    for folder in options.folders:
        shop, question = read_folder(folder / "log"), asked(folder)
        for n in range(options.each):
            row = missed(shop, question, seed=1000 * options.seed + n)
            found[folder.name.split("_")[0]].append(row)
            print(folder.name, n, json.dumps({name: round(value, 4) for name, value in row.items()}), flush=True)
    for kind, rows in found.items():
        column = {name: np.array([row[name] for row in rows]) for name in rows[0]}
        off = np.abs(column["away"])
        print(
            f"{kind}: {len(rows)} shops, distance {off.mean():.3f} (standard error {off.std() / len(off) ** 0.5:.3f}), "
            f"median {np.median(off):.3f}, shallower by {column['away'].mean():.3f}, expected "
            f"{column['expected'].mean():.3f}, wider by {column['regret'].mean():.4f}, at most "
            f"{column['regret'].max():.4f}, R-hat at most {column['r_hat'].max():.3f}"
        )


if __name__ == "__main__":
    main()
