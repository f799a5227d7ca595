"""Make the compiled functions ready: load them from disk, or compile them with a shop of no cuts."""

import contextlib
import subprocess
import sys
import threading
import time
from pathlib import Path
from subprocess import DEVNULL

import numpy as np

from inlaylab.fitting.model.beliefs import KIT

COMPILING = 20.0
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
    Compile what this machine does not have yet, in a process of its own: it takes 200 MB that are given back.

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
            with contextlib.suppress(OSError):
                subprocess.run(
                    [sys.executable, "-m", "inlaylab.fitting.kernel.ready"],
                    check=False,
                    stdin=DEVNULL,
                    stdout=DEVNULL,
                    stderr=DEVNULL,
                )
        finally:
            sign.unlink(missing_ok=True)


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
    try:
        _run_each()
    except Exception:
        if not compiling.is_kept():
            raise
        compiling.forget()
        _run_each()
    _state["ready"] = True


def _run_each() -> None:
    """Call each once, with the types that every later call has."""
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
    densities(one, packed, np.zeros(1), one.copy())
    cut_chances(z, packed, np.zeros(0, np.int64), np.zeros((1, 3)), np.zeros((0, 1)))
    stretch(z, packed, scale, rng, 0.1, np.ones(1, np.int64), one, one.copy(), np.zeros((1, 3)))


if __name__ == "__main__":
    _run_each()
