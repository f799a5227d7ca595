"""
Many shops fitted, each on its own, and the starting beliefs that they teach together.

The fits run in worker processes of this machine or on a Dask scheduler elsewhere; each that ends is kept beside the
beliefs, so that a run that was stopped goes on where it ended. What is kept of a shop is its `Evidence`: no name, no
note, no reading.
"""

from __future__ import annotations

import json
import os
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inlaylab.errors import FitMissing, InlaylabError, InputError, NotConverged, Stopped

if TYPE_CHECKING:
    from distributed import Client

    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.model.beliefs import Beliefs
    from inlaylab.fitting.pool.evidence import Evidence

IN_FLIGHT = 3
"""Shops handed out ahead, for each worker: memory stays the same however many logs there are."""
LARGEST = 2_000_000
"""Kept evidence over this size is not read. [bytes]"""


@dataclass(frozen=True, kw_only=True)
class Pooled:
    """
    What came of a pool.

    Parameters
    ----------
    beliefs : Beliefs
        Learnt from all shops.
    fitted, kept, stored : int
        Shops fitted now, taken from an earlier run, and taken from the fit stored beside their log.
    passed_over : tuple of (str, str)
        File and reason of what could not be used.
    """

    beliefs: Beliefs
    fitted: int
    kept: int
    stored: int
    passed_over: tuple[tuple[str, str], ...]


@dataclass
class _Run:
    """What is known so far."""

    evidence: dict[str, Evidence] = field(default_factory=dict)
    waiting: dict[str, Path] = field(default_factory=dict)
    passed_over: list[tuple[str, str]] = field(default_factory=list)
    kept: int = 0
    stored: int = 0


def read_shop(path: Path) -> Shop:
    """
    Read a shop from a log, a folder of tables or a findings page.

    Parameters
    ----------
    path : Path
        Any of the three.

    Returns
    -------
    shop : bench.shop.Shop

    Raises
    ------
    InputError
        Where it is none of them.
    """
    from inlaylab.log.store import Log
    from inlaylab.log.tables.import_export import read_folder
    from inlaylab.log.tables.page import read_page

    if path.is_dir():
        return read_folder(path)
    if path.suffix.lower() in (".html", ".htm"):
        return read_page(path).shop()
    with Log.open(path) as log:
        return log.shop()


def fit_evidence(shop: Shop, fingerprint: str, seed: int) -> Evidence:
    """
    Fit one shop and take from it what its readings say; this is what runs on a worker.

    Parameters
    ----------
    shop : bench.shop.Shop
        The records.
    fingerprint : str
        Of the shop.
    seed : int
        Of the fit.

    Returns
    -------
    evidence : Evidence

    Raises
    ------
    NotConverged
        If the chains do not agree.
    """
    from inlaylab.fitting.fit import fit_shop
    from inlaylab.fitting.pool.evidence import evidence_of

    return evidence_of(fit_shop(shop, seed=seed, fingerprint=fingerprint))


def pool(
    paths: Sequence[Path],
    out: Path,
    *,
    dask: str | None = None,
    workers: int | None = None,
    seed: int = 1,
    progress: Callable[[float, float | None, str], object] | None = None,
    stop: Callable[[], bool] = lambda: False,
    work: Callable[[Shop, str, int], Evidence] = fit_evidence,
    client: Client | None = None,
) -> Pooled:
    """
    Fit many shops and write the starting beliefs that they teach together.

    Parameters
    ----------
    paths : sequence of Path
        Logs, folders of tables and findings pages.
    out : Path
        Where the beliefs go; finished fits are kept in a folder of the same name with ``.fits``.
    dask : str, optional
        Address of a Dask scheduler; worker processes of this machine if left out.
    workers : int, optional
        Worker processes; one a core if left out.
    seed : int
        Of every fit.
    progress, stop : callable, optional
        Told the share done, the seconds left and what is being done; asked whether to stop.
    work : callable
        What runs on a worker.
    client : distributed.Client, optional
        An open one to use instead.

    Returns
    -------
    pooled : Pooled

    Raises
    ------
    InputError
        Where fewer than two shops can be used, or there is no such scheduler.
    Stopped
        When ``stop`` said so; finished fits are kept.
    """
    from inlaylab.fitting.pool.learn import learn

    tell = progress or (lambda *_: None)
    if not out.resolve().parent.is_dir():
        raise InputError("folder of the beliefs", value=str(out.parent), allowed="a folder that is there")
    folder = out.with_name(out.name + ".fits")
    run = _Run()
    for number, path in enumerate(paths):
        tell(0.1 * number / len(paths), None, f"reading {path.name}")
        _look(path, folder, run, seed)
    fitted = 0
    if run.waiting:
        with _client(client, dask, workers, len(run.waiting)) as open_client:
            fitted = _fit_all(open_client, run, folder, seed=seed, tell=tell, stop=stop, work=work)
    beliefs = learn([run.evidence[name] for name in sorted(run.evidence)])
    _write(out, json.dumps(beliefs.record(), indent=1, ensure_ascii=False) + "\n")
    tell(1.0, 0.0, "done")
    return Pooled(beliefs=beliefs, fitted=fitted, kept=run.kept, stored=run.stored, passed_over=tuple(run.passed_over))


def _look(path: Path, folder: Path, run: _Run, seed: int) -> None:
    """Read one file: evidence that is there already, a shop to fit, or a reason to pass it over."""
    try:
        shop = read_shop(path)
    except (InlaylabError, OSError) as fault:
        run.passed_over.append((str(path), str(fault)))
        return
    fingerprint = shop.fingerprint()
    if fingerprint in run.evidence or fingerprint in run.waiting:
        run.passed_over.append((str(path), "the same shop as another of the files"))
    elif not shop.readings and not any(cut.outcome for cut in shop.cuts):
        run.passed_over.append((str(path), "it has no readings"))
    elif (kept := _kept(folder, fingerprint, seed)) is not None:
        run.evidence[fingerprint], run.kept = kept, run.kept + 1
    elif (stored := _stored(path, fingerprint)) is not None:
        run.evidence[fingerprint], run.stored = stored, run.stored + 1
    else:
        run.waiting[fingerprint] = path


def _stored(path: Path, fingerprint: str) -> Evidence | None:
    """Take the evidence of the fit that is stored beside a log, where it is of the log as it is now."""
    from inlaylab.fitting import stored_fit
    from inlaylab.fitting.pool.evidence import evidence_of

    if path.is_dir() or path.suffix.lower() in (".html", ".htm"):
        return None
    try:
        return evidence_of(stored_fit.load(path, fingerprint))
    except (FitMissing, NotConverged):
        return None


def _name_of(folder: Path, fingerprint: str, seed: int) -> Path:
    return folder / f"{fingerprint[:32]}-{seed}.json"


def _kept(folder: Path, fingerprint: str, seed: int) -> Evidence | None:
    """Look up the evidence that an earlier run kept, unless it was made with other beliefs than the kit's of today."""
    from inlaylab.fitting.model.beliefs import KIT
    from inlaylab.fitting.pool.evidence import Evidence

    path = _name_of(folder, fingerprint, seed)
    try:
        if not path.is_file() or path.stat().st_size > LARGEST:
            return None
        found = Evidence.from_record(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, RecursionError):
        return None
    return found if found.fingerprint == fingerprint and dict(found.began) == KIT.figures() else None


@contextmanager
def _client(given: Client | None, address: str | None, workers: int | None, shops: int) -> Iterator[Client]:
    """Open worker processes of this machine, or go to a scheduler."""
    if given is not None:
        yield given
        return
    try:
        distributed: Any = import_module("distributed")
    except ImportError:
        allowed = 'install it with: python -m pip install "inlaylab[pool]"'
        raise InputError("fitting many logs needs Dask", value="distributed", allowed=allowed) from None
    if address is not None:
        try:
            client = distributed.Client(address, timeout=10)
        except (OSError, ValueError, TimeoutError) as fault:
            allowed = "the address of a scheduler, as tcp://192.0.2.7:8786"
            raise InputError(
                f"no Dask scheduler answers ({type(fault).__name__})", value=address, allowed=allowed
            ) from None
        with client:
            yield client
        return
    from inlaylab.fitting.kernel import ready

    ready.load()  # compiled once and kept on disk, so that not every worker compiles
    count = min(workers or os.cpu_count() or 1, shops)
    with (
        tempfile.TemporaryDirectory(prefix="inlaylab-pool-") as home,
        distributed.LocalCluster(
            n_workers=count,
            threads_per_worker=1,
            processes=True,
            dashboard_address=None,
            local_directory=home,
            memory_limit=0,
            silence_logs="CRITICAL",
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        yield client


def _fit_all(
    client: Client,
    run: _Run,
    folder: Path,
    *,
    seed: int,
    tell: Callable[[float, float | None, str], object],
    stop: Callable[[], bool],
    work: Callable[[Shop, str, int], Evidence],
) -> int:
    """Fit every waiting shop, keep each as it ends, and name those that fail."""
    distributed: Any = import_module("distributed")
    many, began, fitted = len(run.waiting), time.monotonic(), 0
    paths, waiting = dict(run.waiting), iter(sorted(run.waiting))
    names: dict[object, str] = {}
    completed = distributed.as_completed()

    def hand_out() -> None:
        fingerprint = next(waiting, None)
        if fingerprint is not None:  # read again only now: hundreds of logs need not lie in memory
            future = client.submit(work, read_shop(paths[fingerprint]), fingerprint, seed, pure=False)
            names[future.key] = fingerprint
            completed.add(future)

    for _ in range(min(IN_FLIGHT * max(len(client.nthreads()), 1), many)):
        hand_out()
    tell(0.1, None, f"fitting {many} shops")
    for done, future in enumerate(completed, start=1):
        fingerprint = names.pop(future.key)
        fault = future.exception()
        if fault is None:
            run.evidence[fingerprint] = future.result()
            _keep(folder, fingerprint, seed, run.evidence[fingerprint])
            fitted += 1
        else:
            run.passed_over.append((str(paths[fingerprint]), str(fault) or type(fault).__name__))
        left = (time.monotonic() - began) / done * (many - done)
        tell(0.1 + 0.85 * done / many, left, f"{done} of {many} shops fitted")
        if stop():
            raise Stopped(f"stopped; {fitted} fits are kept in {folder.name}, the same command goes on from there")
        hand_out()
    return fitted


def _keep(folder: Path, fingerprint: str, seed: int, evidence: Evidence) -> None:
    folder.mkdir(exist_ok=True)
    _write(_name_of(folder, fingerprint, seed), json.dumps(evidence.record()))


def _write(path: Path, text: str) -> None:
    """Write a file whole or not at all."""
    fresh = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        fresh.write_text(text, encoding="utf-8")
        fresh.replace(path)
    finally:
        fresh.unlink(missing_ok=True)
