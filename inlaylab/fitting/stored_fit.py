"""
A fit as a thing of its own: made from a shop, kept beside its log, looked up again.

The file is NumPy's ``.npz`` without pickle: the draws, and one JSON text that says what they are.
It carries the fingerprint of the log it was made from; a log that has changed since wants a new fit.
"""

import json
import os
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass, field, replace
from functools import cached_property
from pathlib import Path

import numpy as np

from inlaylab.bench.shop import Shop
from inlaylab.errors import FitMissing, NotConverged, Stopped
from inlaylab.fitting.diagnostics import Diagnostics, diagnose
from inlaylab.fitting.observations import Names, observe
from inlaylab.fitting.priors import SHOP, values
from inlaylab.fitting.sampling import Progress, Recipe, likely_contacts, overlooked, sample

FORMAT = 1
LARGEST = 400_000_000
"""A stored fit over this size is not opened. [bytes]"""


@dataclass(frozen=True, kw_only=True)
class Fit:
    """
    A fitted shop.

    Parameters
    ----------
    names : Names
        Order of bits, pairs, species and cuts.
    nominal_angles : array, shape (bits,)
        [degrees]
    draws : array, shape (chains, kept, size)
        Standard normal latents.
    seed, cuts, readings : int
        Seed of the run; how much it learnt from.
    seconds : float
        Wall-clock time of the whole fit.
    diagnostics : Diagnostics
        Agreement of the chains.
    fingerprint : str
        Of the log; blank for a shop that is in no log.
    versions : dict
        Of the libraries that made it.

    Examples
    --------
    >>> sorted(Fit.__dataclass_fields__)[:3]
    ['cuts', 'diagnostics', 'draws']
    """

    names: Names
    nominal_angles: np.ndarray
    draws: np.ndarray
    seed: int
    cuts: int
    readings: int
    seconds: float
    diagnostics: Diagnostics
    fingerprint: str = ""
    versions: dict = field(default_factory=dict)

    @property
    def divergences(self) -> int:
        """Divergent steps of the sampler."""
        return self.diagnostics.divergences

    @property
    def worst_r_hat(self) -> float:
        """Largest R-hat of all quantities."""
        return self.diagnostics.worst_r_hat

    @property
    def smallest_ess(self) -> float:
        """Smallest effective sample size of all quantities."""
        return self.diagnostics.smallest_ess

    @property
    def converged(self) -> bool:
        """Good enough to advise from."""
        return self.diagnostics.converged

    def check(self) -> None:
        """
        Refuse to go on from a fit whose chains do not agree.

        Raises
        ------
        NotConverged
            With the diagnostics.
        """
        if not self.converged:
            raise NotConverged(self.diagnostics.in_words(), diagnostics=self.diagnostics)

    @cached_property
    def values(self) -> dict[str, np.ndarray]:
        """Fitted quantities, draws on the first axis: see `priors.values`."""
        flat = self.draws.reshape(-1, self.draws.shape[-1])
        return values(self.names.layout().split(flat), nominal_angles=self.nominal_angles)

    @cached_property
    def latents(self) -> dict[str, np.ndarray]:
        """Standard normal latents by block, draws on the first axis."""
        return self.names.layout().split(self.draws.reshape(-1, self.draws.shape[-1]))

    def summary(self) -> dict:
        """
        Answer of the command ``fit``.

        Returns
        -------
        summary : dict
            Keys as documented for the command; quantities as 5, 50 and 95 % quantiles.
        """

        def spread(draws: np.ndarray) -> dict[str, float]:
            q05, q50, q95 = np.quantile(draws, [0.05, 0.5, 0.95])
            return {"q05": float(q05), "q50": float(q50), "q95": float(q95)}

        def each(names: tuple[str, ...], keys: dict[str, str]) -> dict:
            return {n: {k: spread(self.values[v][:, i]) for k, v in keys.items()} for i, n in enumerate(names)}

        return {
            "seed": self.seed,
            "cuts": self.cuts,
            "readings": self.readings,
            "seconds": round(self.seconds, 2),
            "divergences": self.divergences,
            "worst_r_hat": round(self.worst_r_hat, 4),
            "smallest_ess": round(self.smallest_ess, 1),
            "converged": self.converged,
            "bits": each(self.names.bits, {"true_angle_deg": "true_angle", "tip_flat": "tip_flat"}),
            "pairs": each(self.names.pairs, {"wall_allowance": "wall_allowance"}),
            "species": each(self.names.species, {"crest_loss": "crest_loss", "half_filled_width": "half_filled"}),
            "shop": {name: spread(self.values[name]) for name in SHOP},
        }


def fit_shop(
    shop: Shop,
    *,
    seed: int = 1,
    progress: Progress | None = None,
    stop: Callable[[], bool] | None = None,
    recipe: Recipe | None = None,
    earlier: Fit | None = None,
    fingerprint: str = "",
) -> Fit:
    """
    Fit everything that is unknown of a shop.

    Parameters
    ----------
    shop : Shop
        Records of a log.
    seed : int
        The same seed and shop give the same fit on the same machine and versions.
    progress, stop : callable, optional
        See `sampling.sample`.
    recipe : Recipe, optional
        Lengths of the run.
    earlier : Fit, optional
        Of a log that has only grown since: the chains begin where it ended.
    fingerprint : str
        Of the log.

    Returns
    -------
    fit : Fit
        Converged or not: ask `Fit.check` before using it.

    Raises
    ------
    Stopped
        When ``stop`` said so.

    Examples
    --------
    >>> fit_shop.__name__
    'fit_shop'
    """
    began = time.perf_counter()
    if stop is not None and stop():
        raise Stopped("the fit was stopped before it began")
    if progress is not None:
        progress(0.0, None, "reading the log")
    seen = observe(shop)
    layout = seen.names.layout()
    strokes = likely_contacts(seen, layout, seed=seed)
    if progress is not None:
        progress(0.01, None, "building the model")
    start = None if earlier is None else _carried_over(earlier, seen.names, seed)
    divergences = 0

    def judge(draws: np.ndarray) -> Diagnostics:
        fitted = values(layout.split(draws), nominal_angles=seen.nominal_angles)
        return diagnose(fitted, divergences=divergences)

    run = sample(
        seen, layout, strokes, seed=seed, recipe=recipe, start=start, progress=progress, stop=stop, judge=judge
    )
    missed = overlooked(run.draws, seen, layout, strokes)
    if missed > 1e-6:  # a dropped contact would have counted: once more with all of them
        full = dict.fromkeys(("wall", "tip", "land"), seen.cuts)
        run = sample(
            seen,
            layout,
            full,
            seed=seed,
            recipe=recipe,
            start=run.draws[:, -1],
            progress=progress,
            stop=stop,
            judge=judge,
        )
    diagnostics = replace(judge(run.draws), divergences=run.divergences)
    return Fit(
        names=seen.names,
        nominal_angles=seen.nominal_angles,
        draws=run.draws,
        seed=seed,
        cuts=len(shop.cuts),
        readings=len(shop.readings),
        seconds=time.perf_counter() - began,
        diagnostics=diagnostics,
        fingerprint=fingerprint,
        versions=_versions(),
    )


def _versions() -> dict[str, str]:
    from importlib.metadata import version

    return {name: version(name) for name in ("inlaylab", "numpy", "scipy", "jax", "blackjax")}


def _carried_over(earlier: Fit, names: Names, seed: int) -> np.ndarray:
    """Last draws of an earlier fit, put where the new layout wants them; new latents start near zero."""
    layout, old = names.layout(), earlier.names.layout().split(earlier.draws[:, -1])
    chains = earlier.draws.shape[0]
    start = 0.3 * np.random.default_rng(seed).standard_normal((chains, layout.size))
    groups = {
        "bits": ("z_angle", "z_tip"),
        "pairs": ("z_allowance",),
        "species": ("z_crest", "z_half_filled"),
        "cuts": ("z_host", "z_insert", "z_shortfall"),
        "setups": ("z_setup",),
    }
    blocks = layout.split(start)
    for name in SHOP:
        blocks[name][...] = old[name]
    for group, keys in groups.items():
        was = {n: i for i, n in enumerate(getattr(earlier.names, group))}
        for i, name in enumerate(getattr(names, group)):
            for key in keys if name in was else ():
                blocks[key][:, i] = old[key][:, was[name]]
    return start


def path_of(log_path: str | os.PathLike) -> Path:
    """
    Where the fit of a log is kept.

    Parameters
    ----------
    log_path : path
        The log's file.

    Returns
    -------
    path : Path

    Examples
    --------
    >>> path_of("shop.db").name
    'shop.db.fit.npz'
    """
    log_path = Path(log_path)
    return log_path.with_name(log_path.name + ".fit.npz")


def save(fit: Fit, log_path: str | os.PathLike) -> Path:
    """
    Keep a fit beside its log; a crash leaves the old one or the new one, never half of either.

    Parameters
    ----------
    fit : Fit
        The fit.
    log_path : path
        The log's file.

    Returns
    -------
    path : Path
        Where it went.

    Examples
    --------
    >>> save.__name__
    'save'
    """
    path = path_of(log_path)
    record = {
        "format": FORMAT,
        "names": asdict(fit.names),
        "seed": fit.seed,
        "cuts": fit.cuts,
        "readings": fit.readings,
        "seconds": fit.seconds,
        "diagnostics": asdict(fit.diagnostics),
        "fingerprint": fit.fingerprint,
        "versions": fit.versions,
    }
    fresh = path.with_name(f"{path.name}.{os.getpid()}.new")
    try:
        with fresh.open("wb") as file:
            np.savez(file, draws=fit.draws, nominal_angles=fit.nominal_angles, record=np.array(json.dumps(record)))
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(path)
    finally:
        fresh.unlink(missing_ok=True)
    return path


def load(log_path: str | os.PathLike, fingerprint: str) -> Fit:
    """
    Look up the fit of a log.

    Parameters
    ----------
    log_path : path
        The log's file.
    fingerprint : str
        Of the log as it is now.

    Returns
    -------
    fit : Fit

    Raises
    ------
    FitMissing
        Where there is none, where the log has changed since, or where the file is not a stored fit.

    Examples
    --------
    >>> load("no_such_shop.db", "")  # doctest: +IGNORE_EXCEPTION_DETAIL
    Traceback (most recent call last):
    inlaylab.errors.FitMissing: no fit is stored ...
    """
    fit = read(log_path)
    if fit.fingerprint != fingerprint:
        raise FitMissing(
            "the log has changed since it was fitted",
            where=str(log_path),
            allowed=f"run `inlaylab fit {log_path}` first",
        )
    return fit


def read(log_path: str | os.PathLike) -> Fit:
    """
    Read the fit that is stored beside a log, whether or not the log has changed since.

    Parameters
    ----------
    log_path : path
        The log's file.

    Returns
    -------
    fit : Fit

    Raises
    ------
    FitMissing
        Where there is none, or where the file is not a stored fit.

    Examples
    --------
    >>> read("no_such_shop.db")  # doctest: +IGNORE_EXCEPTION_DETAIL
    Traceback (most recent call last):
    inlaylab.errors.FitMissing: no fit is stored ...
    """
    path, again = path_of(log_path), f"run `inlaylab fit {log_path}`"
    if not path.is_file():
        raise FitMissing("no fit is stored beside the log", where=str(log_path), allowed=f"{again} first")
    try:
        if path.stat().st_size > LARGEST:
            raise ValueError("too large")
        with np.load(path, allow_pickle=False) as stored:
            draws, angles = stored["draws"], stored["nominal_angles"]
            record = json.loads(str(stored["record"]))
        if record["format"] != FORMAT:
            raise ValueError("another format")
        return _rebuilt(draws, angles, record)
    except (OSError, ValueError, KeyError, TypeError, EOFError, RecursionError, _bad_archive()) as fault:
        raise FitMissing("the stored fit can not be read", value=str(fault), where=str(path), allowed=again) from None


def _bad_archive() -> type[Exception]:
    from zipfile import BadZipFile

    return BadZipFile


def _rebuilt(draws: np.ndarray, angles: np.ndarray, record: dict) -> Fit:
    lists = record["names"]
    setups = tuple((str(a), str(b)) for a, b in lists["setups"])
    plain = {key: tuple(map(str, lists[key])) for key in ("bits", "pairs", "species", "cuts")}
    names = Names(**plain, setups=setups)
    sound = draws.ndim == 3 and draws.dtype == float and draws.shape[-1] == names.layout().size
    if not sound or angles.shape != (len(names.bits),) or not np.isfinite(draws).all():
        raise ValueError("draws of another shape")
    keys = ("seed", "cuts", "readings", "seconds", "fingerprint", "versions")
    return Fit(
        names=names,
        nominal_angles=angles,
        draws=draws,
        diagnostics=Diagnostics(**record["diagnostics"]),
        **{key: record[key] for key in keys},
    )
