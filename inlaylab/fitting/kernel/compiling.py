"""
Compiling with Numba, and where the machine code is kept.

What is compiled depends on the files of this room and of the model, so the folder it is kept in is named after what
they say: a new version of the kit never meets the code of an old one. A folder that can not be written only costs time.

What keeps compiling short, as measured: no wrappers for functions inside, no whole-array assignment in compiled code
(Numba adds all it needs to word an error about shapes: 5 CPU s), `once` for large functions with one caller, and few
functions that are called from outside: each carries its own copy of what it calls. More of `once`, or a lower level of
optimisation, gained nothing.
"""

import contextlib
import hashlib
import os
import sys
import tempfile
from collections.abc import Callable
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

ENTRIES: list[Any] = []
"""Compiled functions that are called from outside, in the order in which they were made."""


def compiled(function: Callable) -> Any:
    """Compile a function that only compiled functions call, into each place that calls it."""
    return _inner(function, forceinline=True)


def once(function: Callable) -> Any:
    """The same for a large function that a single place calls: it is not made into machine code by itself first."""
    return _inner(function, inline="always")


def shared(function: Callable) -> Any:
    """The same for a large function that several call: each calls its machine code."""
    return _inner(function)


def summing(function: Callable) -> Any:
    """Compile a function of plain sums, whose terms may be added in any order."""
    return _inner(function, fastmath={"reassoc", "contract", "nsz"})


def _inner(function: Callable, **options: Any) -> Any:
    """Compile without the wrapper that calls from Python need: it takes longer than most functions here."""
    return _made(function, no_cpython_wrapper=True, **options)


def _made(function: Callable, **options: Any) -> Any:
    from numba import njit

    return njit(**{"nogil": True, "error_model": "numpy", "no_cfunc_wrapper": True, **options})(function)


def entry(function: Callable) -> Any:
    """Compile a function that is called from outside, and keep its machine code on disk where that is possible."""
    from numba import config

    made = _made(function)
    folder = kept_in()
    if folder is not None:
        before, config.CACHE_DIR = config.CACHE_DIR, str(folder)
        try:
            made.enable_caching()
        except (RuntimeError, OSError):  # nowhere to keep it: compiled anew in each process
            pass
        finally:
            config.CACHE_DIR = before
    ENTRIES.append(made)
    return made


@cache
def kept_in() -> Path | None:
    """
    Folder in which machine code is kept.

    Returns
    -------
    folder : Path or None
        None where no folder of the user's can be written. `INLAYLAB_CACHE` names another place; an empty one none.
    """
    wanted = os.environ.get("INLAYLAB_CACHE")
    if wanted == "":
        return None
    folder = (Path(wanted) if wanted else _usual_place()) / f"kernel-{_fingerprint()}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder) as trial:
            trial.write(b"can be written")
    except OSError:
        return None
    return folder


def is_kept() -> bool:
    """Whether an earlier process has left machine code: if not, the first fit has to compile."""
    folder = kept_in()
    return folder is not None and any(folder.rglob("*.nbi"))


def forget() -> None:
    """Throw away what is kept, where it can not be read."""
    folder = kept_in()
    for path in folder.rglob("*.nb?") if folder else ():
        with contextlib.suppress(OSError):
            path.unlink()


def _usual_place() -> Path:
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local")) / "inlaylab" / "cache"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "inlaylab"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "inlaylab"


def _fingerprint() -> str:
    here = Path(__file__).resolve().parent
    sources = (*sorted(here.glob("*.py")), *sorted((here.parent / "model").glob("*.py")))
    said = [path.read_bytes() for path in sources if path.name not in ("ready.py", "__init__.py")]
    made_by = [f"{name} {version(name)}".encode() for name in ("numba", "numpy", "llvmlite")]
    return hashlib.sha256(b"\n".join([*said, *made_by, sys.version.encode()])).hexdigest()[:20]
