"""Make the compiled functions ready: load them from disk, or compile them with a shop of no cuts."""

import contextlib
import os
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from subprocess import DEVNULL

import numpy as np

from inlaylab.fitting.model.beliefs import KIT

PARTS = (("stretch",), ("densities", "cut_chances"))
"""Which compiled functions one process makes: two processes, where there are two cores, take about equally long."""

COMPILING = 18.0
"""About how long compiling takes, once a machine, on two cores. [s]"""

PATIENCE = 180.0
"""So long another process's compiling is waited for. [s]"""

_state = {"ready": False}
_turn = threading.Lock()


def is_ready() -> bool:
    """Whether this process has the compiled functions."""
    return _state["ready"]


def compile_beside() -> None:
    """
    Compile what this machine does not have yet, in processes of their own: they take 200 MB each that are given back.

    Nothing is done where machine code is kept already, or can not be kept; `load` does what is left to do. Where
    another process is at it, its end is waited for.
    """
    from inlaylab.fitting.kernel import compiling

    with _turn:
        folder = compiling.kept_in()
        if not sys.executable or folder is None:
            return
        sign = folder / "being compiled"
        if compiling.is_kept() and not sign.exists():
            return
        try:
            sign.touch(exist_ok=False)
        except FileExistsError:
            _wait_for(sign)
            return
        try:
            with ThreadPoolExecutor(min(len(PARTS), os.cpu_count() or 1)) as pool:
                list(pool.map(_compile, PARTS))
        finally:
            sign.unlink(missing_ok=True)


def _compile(names: tuple[str, ...]) -> None:
    """Compile some functions in a process of its own; where it can not begin, `load` will."""
    words = [sys.executable, "-m", "inlaylab.fitting.kernel.ready", *names]
    with contextlib.suppress(OSError):
        subprocess.run(words, check=False, stdin=DEVNULL, stdout=DEVNULL, stderr=DEVNULL)


def _wait_for(sign: Path) -> None:
    """Wait until another process takes its sign away; one that was killed can not, so no longer than `PATIENCE`."""
    with contextlib.suppress(OSError):
        until = sign.stat().st_mtime + PATIENCE
        while sign.exists() and time.time() < until:
            time.sleep(0.1)
        if sign.exists():
            sign.unlink()


def load() -> None:
    """
    Load or compile all that a fit calls.

    Machine code on disk that can not be read is thrown away, and compiled anew.
    """
    from inlaylab.fitting.kernel import compiling

    compile_beside()
    all_names = tuple(name for part in PARTS for name in part)
    try:
        _run(all_names)
    except Exception:
        if not compiling.is_kept():
            raise
        compiling.forget()
        _run(all_names)
    _state["ready"] = True


def _run(names: tuple[str, ...]) -> None:
    """Call some functions once, with the types that every later call has."""
    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.kernel.density import densities
    from inlaylab.fitting.kernel.moves import cut_chances
    from inlaylab.fitting.kernel.packing import first_scale, pack
    from inlaylab.fitting.kernel.trajectories import stretch
    from inlaylab.fitting.model.observations import observe

    seen = observe(Shop())
    layout = seen.names.layout()
    packed, scale, rng = pack(seen, KIT), first_scale(layout), np.random.default_rng(1)
    z, one = np.zeros(layout.size), np.zeros((1, layout.size))
    none = np.zeros(0, np.int64)
    calls = {
        "densities": lambda: densities(one, packed, np.zeros(1), one.copy()),
        "cut_chances": lambda: cut_chances(z, packed, none, np.zeros((1, 3)), np.zeros((0, 1))),
        "stretch": lambda: stretch(z, packed, scale, rng, 0.1, none, one, one.copy(), np.zeros((1, 3))),
    }
    for name in names:
        calls[name]()


if __name__ == "__main__":
    _run(tuple(sys.argv[1:]))
