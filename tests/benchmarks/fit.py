"""
How long a maker waits for answers, how much memory that takes, and how much must be installed.

``python tests/benchmarks/fit.py [--against PYTHON] [--large]``: the sample shop's 26 cuts and 314 readings; ``--large``
adds 300 invented cuts with some 3,000 readings; ``--against`` measures the same commands of the inlaylab that another
Python has. Each command is a process of its own, imports included; the first fit is made once with no compiled code on
the machine, and once with it. Memory is the largest of the process and those it began.

Last measured with both engines in one run, the machine idle but for it (two cores, slower than in the runs before;
seconds by the clock, CPU s, MB): first fit on a machine 26.1, 46.0, 263; from nothing 7.8, 11.4, 252 (the first
version's engine 43.2, 64.5, 924); one cut more in a fresh process 5.7, 7.6, 249 (42.7, 67.3, 964); in an open notebook
one cut more 2.3, 3.9, a reading corrected 3.2, 5.9, a cut deleted 4.7, 8.5, the first answer after 0.8 to 1.1. 300
cuts, 3,000 readings: from nothing 63.5, 113.6, 737 (255.4, 460.2, 1,261), one cut more 32.3, 53.7, 561. R-hat 1.010 to
1.017, 548 to 829 effective draws. After that draws are kept in one piece, which takes 130 MB off the large log's
memory, and an update is content with R-hat 1.02. Installed: numba and llvmlite 213 MB, jax and jaxlib 394.
"""

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "reference"))
HEADS = f"{'what':<44}{'seconds':>9}{'CPU s':>8}{'MB':>7}  {'R-hat':>6}{'ESS':>7}"
ENGINES = ("numba", "llvmlite", "jax", "jaxlib", "numpyro", "blackjax", "nutpie")
SIZES = """
import importlib.metadata as m, json, sys
found = {}
for name in sys.argv[1:]:
    try:
        found[name] = sum(f.locate().stat().st_size for f in m.files(name) or () if f.locate().is_file()) / 1e6
    except m.PackageNotFoundError:
        pass
print(json.dumps(found))
"""


def without(shop, cut):
    readings = tuple(reading for reading in shop.readings if reading.cut != cut)
    return replace(shop, cuts=tuple(c for c in shop.cuts if c.cut != cut), readings=readings)


def corrected(shop, cut):
    """The same log with one measured reading of a cut 0.05 mm larger."""
    row = next(n for n, r in enumerate(shop.readings) if r.cut == cut and r.value is not None)
    other = replace(shop.readings[row], value=shop.readings[row].value + 0.05)
    return replace(shop, readings=(*shop.readings[:row], other, *shop.readings[row + 1 :]))


def large_shop(cuts):
    import numpy as np
    import simulated_shop

    design, rng = simulated_shop.small_design(cuts=cuts, bits=4, pairs=3), np.random.default_rng(5)
    truth = simulated_shop.planted(design, rng, mistake_chance=0.03)
    return simulated_shop.Simulator(design, truth, rng).whole(sawn_every=5)


def run(python, words, **settings):
    """Seconds, CPU seconds, megabytes and output of a command in a process of its own."""
    began = time.perf_counter()
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        process = subprocess.Popen(
            [python, *words], stdout=out, stderr=err, env=os.environ | settings, cwd=tempfile.gettempdir()
        )
        _, status, used = os.wait4(process.pid, 0)
        spent = time.perf_counter() - began
        process.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        err.seek(0)
        if process.returncode:
            raise RuntimeError(err.read().decode())
        return spent, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, out.read().decode()


def tell(what, spent, cpu, megabytes, record):
    size, r_hat = record.get("smallest_ess", float("nan")), record.get("worst_r_hat", float("nan"))
    print(f"{what:<44}{spent:>9.1f}{cpu:>8.1f}{megabytes:>7.0f}  {r_hat:>6.3f}{size:>7.0f}", flush=True)


def fitted(python, what, log, **settings):
    *figures, out = run(python, ["-m", "inlaylab", "fit", str(log), "--json"], **settings)
    tell(what, *figures, json.loads(out))


def commands(python, shop, name, *, first):
    """A cold fit and the fit of one cut more, as commands."""
    from inlaylab.log.tables.import_export import write_folder

    last = shop.cuts[-1].cut
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        write_folder(without(shop, last), place / "before")
        write_folder(shop, place / "whole")
        write_folder(replace(shop, cuts=shop.cuts[-1:], readings=shop.readings_of(shop.cuts[-1])), place / "more")
        log = place / "log.inlay"
        run(python, ["-m", "inlaylab", "import", str(log), str(place / "before")])
        if first:
            fitted(python, f"{name}: first fit on a machine", log, INLAYLAB_CACHE=str(place / "cache"))
            for kept in place.glob("*.fit*"):
                kept.unlink()
        fitted(python, f"{name}: fit from nothing", log)
        for table in ("bits", "pairs", "coupons", "grooves", "habits"):
            (place / "more" / f"{table}.csv").unlink(missing_ok=True)
        run(python, ["-m", "inlaylab", "import", str(log), str(place / "more")])
        fitted(python, f"{name}: one cut more, a fresh process", log)


def warm(shop, name):
    """What a notebook that is open waits for, after a first update."""
    from inlaylab.fitting.fit import fit_shop
    from inlaylab.fitting.update import Watch, update

    last, middle = shop.cuts[-1].cut, shop.cuts[len(shop.cuts) // 2].cut
    fit = update(fit_shop(shop), without(shop, last))
    changes = (
        ("one cut more", shop),
        ("a reading corrected", corrected(shop, last)),
        ("a cut deleted", without(shop, middle)),
    )
    for what, changed in changes:
        early = []
        began, cpu = time.perf_counter(), time.process_time()
        watch = Watch(preview=lambda draws, began=began, early=early: early.append(time.perf_counter() - began))
        fit = update(fit, changed, watch=watch)
        record = {"smallest_ess": fit.smallest_ess, "worst_r_hat": fit.worst_r_hat}
        tell(f"{name}: {what}", time.perf_counter() - began, time.process_time() - cpu, float("nan"), record)
        print(f"{'':<6}first answer after {early[0]:.1f} s" if early else f"{'':<6}{fit.why_full}", flush=True)


def main(against, large):
    from inlaylab import share
    from inlaylab.log.tables.import_export import read_folder

    sample = read_folder(share.sample_shop())
    print(f"load before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    for name, python in (("this", sys.executable), ("the other", against)):
        if python is None:
            continue
        print(f"\n{name} inlaylab\n{HEADS}")
        sizes = json.loads(run(python, ["-c", SIZES, *ENGINES])[3])
        commands(python, sample, "26 cuts", first=name == "this")
        if name == "this":
            warm(sample, "26 cuts, an open notebook")
        if large:
            commands(python, large_shop(300), "300 cuts", first=False)
        print("installed for it: " + ", ".join(f"{each} {size:.0f} MB" for each, size in sizes.items()))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[1])
    parser.add_argument("--against", metavar="PYTHON", type=shutil.which)
    parser.add_argument("--large", action="store_true")
    main(**vars(parser.parse_args()))
