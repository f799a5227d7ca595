"""
Time, effective samples and memory of a fit from a cold start, beside plain general samplers on the same density.

``python tests/benchmarks/samplers.py FOLDER|CUTS [nuts] [emcee]`` (needs ``inlaylab[benchmarks]``): a folder with a
log as tables, or a number of cuts (300, say) of an invented log that is simulated here. Each line is measured in a
process of its own, compiling included; ``nuts`` adds NumPyro's NUTS, 4 chains, 300 + 250 draws, and ``emcee`` an
ensemble of two walkers a latent, 4000 + 6000 steps of differential evolution; neither drops contacts.

Last measured, two cores, compiling included: an example shop of 17 cuts and 210 readings: ours 19 s, R-hat 1.012, 1197
effective draws, 895 MB; NUTS 37 s, 1.092, 41, 1444 MB; emcee 114 s, 1.32, 513 over 206 walkers, 659 MB. 300 invented
cuts, 3175 readings: ours 114 s, 1.015, 1044, 1343 MB. (The first three on a slower machine than the last, which took
16 to 18 s over the example shop.)
"""

import json
import os
import resource
import subprocess
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "reference"))


def shop_of(what):
    if not what.isdigit():
        from inlaylab.log.tables.import_export import read_folder

        return read_folder(what)
    import numpy as np
    import simulated_shop

    design, rng = simulated_shop.small_design(cuts=int(what), bits=4, pairs=3), np.random.default_rng(5)
    truth = simulated_shop.planted(design, rng, mistake_chance=0.03)
    return simulated_shop.Simulator(design, truth, rng).whole(sawn_every=5)


def ours(what):
    from inlaylab.fitting.fit import fit_shop

    shop = shop_of(what)
    fit = fit_shop(shop)
    return fit.worst_r_hat, fit.smallest_ess, fit.divergences, len(shop.cuts), len(shop.readings)


def general(what, draw):
    """Draws of a general sampler, judged as ours are; ``draw`` takes the density, what was seen and a seed."""
    from inlaylab.fitting.model.likelihood import log_density
    from inlaylab.fitting.model.observations import observe
    from inlaylab.fitting.model.priors import values
    from inlaylab.fitting.sampling.diagnostics import diagnose

    shop = shop_of(what)
    seen = observe(shop)
    layout = seen.names.layout()
    draws, divergences = draw(lambda z: log_density(z, seen=seen, layout=layout), seen, layout)
    found = diagnose(values(layout.split(draws), nominal_angles=seen.nominal_angles))
    return found.worst_r_hat, found.smallest_ess, divergences, len(shop.cuts), len(shop.readings)


def by_nuts(density, _, layout):
    from other_sampler import nuts

    return nuts(density, layout.size, seed=1, tuning=300, kept=250, depth=6)[:2]


def by_emcee(density, seen, layout):
    import numpy as np
    from other_sampler import ensemble

    from inlaylab.fitting.kernel.packing import pack
    from inlaylab.fitting.model.priors import KIT
    from inlaylab.fitting.sampling.start import begin

    start = begin(pack(seen, KIT), layout, KIT, chains=2 * layout.size, rng=np.random.default_rng(1))
    return ensemble(density, start, seed=1, tuning=4000, kept=300, thin=20), 0


def measure(engine, what):
    began = time.perf_counter()
    draw = {"nuts": by_nuts, "emcee": by_emcee}.get(engine)
    r_hat, size, divergences, cuts, readings = ours(what) if draw is None else general(what, draw)
    used = resource.getrusage(resource.RUSAGE_SELF)
    return {
        "seconds": time.perf_counter() - began,
        "cpu": used.ru_utime + used.ru_stime,
        "megabytes": used.ru_maxrss / 1024,
        "r_hat": r_hat,
        "size": size,
        "divergences": divergences,
        "cuts": cuts,
        "readings": readings,
    }


def main(what, engines):
    print(f"load before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    heads = (
        "engine",
        "cuts",
        "readings",
        "seconds",
        "CPU s",
        "R-hat",
        "ESS",
        "ESS/s",
        "ESS/CPU s",
        "diverged",
        "peak MB",
    )
    print("".join(f"{head:>10}" for head in heads))
    for engine in engines:
        words = [sys.executable, __file__, "one", engine, what]
        began = time.perf_counter()
        found = json.loads(subprocess.run(words, check=True, capture_output=True, text=True).stdout)
        whole = time.perf_counter() - began
        print(
            f"{engine:>10}{found['cuts']:>10}{found['readings']:>10}{whole:>10.1f}{found['cpu']:>10.1f}{found['r_hat']:>10.3f}"
            f"{found['size']:>10.0f}{found['size'] / whole:>10.1f}{found['size'] / found['cpu']:>10.1f}"
            f"{found['divergences']:>10}{found['megabytes']:>10.0f}",
            flush=True,
        )


if __name__ == "__main__":
    if sys.argv[1] == "one":
        print(json.dumps(measure(*sys.argv[2:4])))
    else:
        main(sys.argv[1], ["ours", *sys.argv[2:]])
