"""
Updates of a fit against long runs: are their quantiles and their start depth right, and how long do they take?

``python tests/benchmarks/updates.py FOLDER…``: each a log as tables. From the whole log's fit, ten updates in a row:
the last cut deleted and added again, a reading of it corrected and corrected back, a middle cut deleted and added
again, and so on. Where the log is whole, or lacks its last cut, the 5, 50 and 95 % quantiles of all that lasts are
compared with a run of 16 chains of 600 steps on the same records: differences over their Monte Carlo errors (root mean
square z, 1 is wanted), and the start depth of the usual question. Full fits are compared in the same way.

Last measured, five example shops (17 to 19 cuts), 50 updates: two did not settle and became full fits; after 33 of the
others a long run was there: rms z 1.02 (0.84 to 1.22; the full fits 0.85 to 1.06), start depth off by 0.018 mm at most,
within 0.005 in 26 of 33. R-hat 1.008 to 1.019, 335 to 1,035 effective draws; 4 CPU seconds in the middle, 8 at most.
"""

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from inlaylab.errors import InlaylabError
from inlaylab.fitting.advice.start_depth import advise
from inlaylab.fitting.fit import fit_shop
from inlaylab.fitting.model.priors import SHOP, values
from inlaylab.fitting.predict.likely_question import usual_question
from inlaylab.fitting.sampling.chains import Recipe
from inlaylab.fitting.update import update
from inlaylab.log.tables.import_export import read_folder

LASTING = (*SHOP, "true_angle", "tip_flat", "wall_allowance", "crest_loss", "half_filled")
LONG = Recipe(chains=16, tuning=200, kept=600, longest=600)
QUANTILES = (0.05, 0.5, 0.95)


def without(shop, cut):
    readings = tuple(reading for reading in shop.readings if reading.cut != cut)
    return replace(shop, cuts=tuple(c for c in shop.cuts if c.cut != cut), readings=readings)


def corrected(shop, cut):
    """The same log with one measured reading of a cut 0.05 mm larger."""
    row = next(n for n, r in enumerate(shop.readings) if r.cut == cut and r.value is not None)
    reading = shop.readings[row]
    other = replace(reading, value=reading.value + 0.05)
    return replace(shop, readings=(*shop.readings[:row], other, *shop.readings[row + 1 :]))


def quantiles(fit):
    """Quantiles of all that lasts, and their Monte Carlo errors."""
    from arviz_stats.base import array_stats

    found = values(fit.names.layout().split(fit.draws), nominal_angles=fit.nominal_angles, beliefs=fit.beliefs)
    draws = np.concatenate([found[name].reshape(*fit.draws.shape[:2], -1) for name in LASTING], axis=-1)
    errors = [array_stats.mcse(draws, chain_axis=0, draw_axis=1, method="quantile", prob=share) for share in QUANTILES]
    return np.quantile(draws, QUANTILES, axis=(0, 1)), np.array(errors)


def depth(fit, shop):
    """Start depth of the usual question; nothing where there is none."""
    try:
        return advise(fit, shop, usual_question(shop)).start_depth
    except InlaylabError:
        return np.nan


def compare(fit, long, shop):
    """All z, and how far the start depths are apart."""
    (ours, error), (theirs, other) = quantiles(fit), quantiles(long)
    return ((ours - theirs) / np.hypot(error, other)).ravel(), depth(fit, shop) - depth(long, shop)


def study(folder):
    """Ten updates in a row of one shop; a row of figures for each."""
    whole = read_folder(folder)
    last, middle = whole.cuts[-1].cut, whole.cuts[len(whole.cuts) // 2].cut
    states = {"whole": whole, "added back": without(whole, last), "read otherwise": corrected(whole, last)}
    states["middle gone"] = without(whole, middle)
    long = {name: fit_shop(states[name], seed=99, recipe=LONG) for name in ("whole", "added back")}
    fit = fit_shop(whole, seed=1)
    rows = [("full fit", "whole", fit, compare(fit, long["whole"], whole), 0.0)]
    for n, name in enumerate(["added back", "whole", "read otherwise", "whole", "middle gone", "whole"] * 2):
        if n == 10:
            break
        began = time.process_time()
        fit = update(fit, states[name], seed=10 + n)
        spent = time.process_time() - began
        found = compare(fit, long[name], states[name]) if name in long else (np.array([]), np.nan)
        rows.append(("update", name, fit, found, spent))
    return rows


def main(folders):
    kinds = {"full fit": [], "update": []}
    apart = {"full fit": [], "update": []}
    print(
        f"{'shop':>10}{'what':>10}{'records':>16}{'CPU s':>7}{'R-hat':>7}{'ESS':>6}{'rms z':>7}{'depth off':>10}  full?"
    )
    for folder in folders:
        for kind, name, fit, (z, off), spent in study(folder):
            if z.size and not fit.why_full:
                kinds[kind].append(z)
                apart[kind].append(off)
            rms = np.sqrt(np.mean(z**2)) if z.size else np.nan
            shop = Path(folder).parent.name
            print(
                f"{shop:>10}{kind:>10}{name:>16}{spent:>7.1f}{fit.worst_r_hat:>7.3f}{fit.smallest_ess:>6.0f}{rms:>7.2f}{off:>10.4f}"
                f"  {fit.why_full}",
                flush=True,
            )
    for kind, every in kinds.items():
        z, off = np.concatenate(every), np.abs(apart[kind])
        print(f"{kind}: {len(every)} compared, rms z {np.sqrt(np.mean(z**2)):.3f}, start depth off by at most "
              f"{np.nanmax(off):.4f} mm, within 0.005 in {np.mean(off < 0.005):.0%}")  # fmt: skip


if __name__ == "__main__":
    main(sys.argv[1:])
