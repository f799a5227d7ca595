"""
The posterior of one shop by the project's engine and by a long run of a general sampler (NumPyro's NUTS).

``python tests/benchmarks/two_samplers.py FOLDER [KEPT [TUNING]]``, FOLDER with the tables of a log. Prints the
quantities whose means are furthest apart, in Monte Carlo errors and in posterior standard deviations; the exit
status is 1 where any is further than four Monte Carlo errors.

Last measured (an example shop of 210 readings, 103 quantities): furthest apart 2.5 Monte Carlo errors.
"""

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "reference"))
from other_sampler import differences, figures, nuts

from inlaylab.fitting.fit import fit_shop
from inlaylab.fitting.model.likelihood import log_density
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import values
from inlaylab.fitting.sampling.chains import Recipe
from inlaylab.log.tables.import_export import read_folder


def main(folder, kept=1500, tuning=600):
    shop = read_folder(folder)
    began = time.perf_counter()
    fit = fit_shop(shop, recipe=Recipe(kept=800, longest=1600))
    print(
        f"ours      {time.perf_counter() - began:7.0f} s  {fit.draws.shape}  {fit.diagnostics.in_words()}", flush=True
    )
    seen = observe(shop)
    layout = seen.names.layout()
    began = time.perf_counter()

    def density(z):
        return log_density(z, seen=seen, layout=layout)

    draws, divergences, steps = nuts(density, layout.size, seed=3, kept=kept, tuning=tuning)
    ours, theirs = (values(layout.split(d), nominal_angles=seen.nominal_angles) for d in (fit.draws, draws))
    _, _, _, _, r_hat, size = figures(theirs)
    print(
        f"NUTS      {time.perf_counter() - began:7.0f} s  {draws.shape}  worst R-hat {r_hat.max():.3f}, "
        f"smallest effective sample {size.min():.0f}, {divergences} divergences, {steps} steps"
    )
    names, in_errors, in_deviations = differences(ours, theirs)
    order = np.argsort(-np.abs(in_errors))
    print(f"{len(names)} quantities; beyond 2 errors: {np.mean(np.abs(in_errors) > 2):.1%} (4.6 % expected)")
    for i in order[:8]:
        print(f"  {names[i]:28} {in_errors[i]:+6.2f} errors  {in_deviations[i]:+7.3f} standard deviations")
    return int(np.abs(in_errors).max() > 4)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], *map(int, sys.argv[2:])))
