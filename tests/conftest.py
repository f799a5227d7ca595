"""Fixtures that many rooms share, and the folders that tests may write to."""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import hypothesis
import pytest

ROOT = Path(__file__).resolve().parent.parent
SAMPLE_SHOP = ROOT / "data" / "sample_shop"

# One folder for the whole run; the workers of pytest-xdist inherit its name from the process that started them.
# Jupyter, IPython and matplotlib keep their files in it, never in the home of whoever runs the tests: set before
# anything imports them; kernels started by nbval inherit it.
_FIRST = "INLAYLAB_TESTS_FOLDER" not in os.environ
_OWN = Path(
    os.environ.setdefault("INLAYLAB_TESTS_FOLDER", tempfile.mkdtemp(prefix="inlaylab-tests-") if _FIRST else "")
)
for _name in ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR", "IPYTHONDIR", "MPLCONFIGDIR"):
    os.environ[_name] = str(_OWN / _name.lower())
    Path(os.environ[_name]).mkdir(exist_ok=True)
os.environ["MPLBACKEND"] = "agg"
for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(_name, "1")  # each worker has a core of its own
hypothesis.settings.register_profile("inlaylab", deadline=None)  # no test is asserted by the clock
hypothesis.settings.load_profile("inlaylab")
os.environ.pop("PYTHONWARNINGS", None)


def pytest_configure():
    """Let nbval run every notebook from a folder with nothing but the sample shop's log, never from the tree."""
    import nbval.plugin

    folder, kernel = _OWN / f"notebooks-{os.getpid()}", nbval.plugin.RunningKernel

    def started(*words, **options):
        if not folder.exists():
            shutil.copytree(_fitted_sample(), folder)
        return kernel(*words, **{**options, "cwd": str(folder)})

    nbval.plugin.RunningKernel = started


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items):
    """
    Put the browser's tests last, for its driver leaves an event loop running; all of them are long.

    The files that take longest begin first, so that no worker is left with one of them when the others are done.
    """
    last = {name: place for place, name in enumerate(("test_every_notebook", "test_first_hour", "test_tune_and_share"))}
    items.sort(key=lambda item: ("browser" in item.path.parts, last.get(item.path.stem, len(last))))
    for item in items:
        if "browser" in item.path.parts:
            item.add_marker("long")


def pytest_unconfigure():
    if _FIRST:
        shutil.rmtree(_OWN, ignore_errors=True)
        del os.environ["INLAYLAB_TESTS_FOLDER"]


def _once(name, make):
    """Make a folder's contents in one of the workers, let the others wait for it; returns the folder."""
    folder, done, busy = _OWN / name, _OWN / f"{name}.done", _OWN / f"{name}.busy"
    while not done.exists():
        try:
            busy.mkdir()
        except FileExistsError:
            time.sleep(0.2)
            continue
        try:
            folder.mkdir()
            make(folder)
            done.touch()
        finally:
            busy.rmdir()
    return folder


def _run(*words, cwd=None, timeout=300, env=None):
    command = [sys.executable, "-m", "inlaylab", *map(str, words)]
    where = {"cwd": cwd, "env": {**os.environ, **(env or {})}}
    pipes = {"capture_output": True, "text": True, "encoding": "utf-8", "stdin": subprocess.DEVNULL}
    return subprocess.run(command, **pipes, **where, timeout=timeout, check=False)


def _sample():
    from inlaylab.log.tables.import_export import import_folder

    return _once("sample", lambda folder: import_folder(folder / "sample_shop.inlay", SAMPLE_SHOP))


def _fitted_sample():
    def make(folder):
        log = shutil.copy(_sample() / "sample_shop.inlay", folder)
        done = _run("fit", log, timeout=1200)
        assert done.returncode == 0, done.stderr

    return _once("fitted_sample", make)


@pytest.fixture(autouse=True)
def _close_figures():
    """Close every figure after each test, so that none lives on into the next."""
    yield
    pyplot = sys.modules.get("matplotlib.pyplot")
    if pyplot is not None:
        pyplot.close("all")


@pytest.fixture(scope="session")
def root():
    """Top of the project's tree."""
    return ROOT


@pytest.fixture(scope="session")
def sample_tables():
    """Folder of the sample shop's tables; read only."""
    return SAMPLE_SHOP


@pytest.fixture(scope="session")
def inlaylab():
    """Run the command as a process of its own; returns what ``subprocess.run`` returns."""
    return _run


@pytest.fixture
def sample_log(tmp_path):
    """A fresh copy of the sample shop's log, without a fit."""
    from inlaylab.log.file.rescue import copy_log

    return copy_log(_sample() / "sample_shop.inlay", tmp_path / "sample.inlay")


@pytest.fixture(scope="session")
def _sample_log_once():
    """The sample shop's log that every copy is made from; never handed out itself."""
    return _sample() / "sample_shop.inlay"


@pytest.fixture(scope="session")
def _sample_fit_once():
    from inlaylab.fitting import stored_fit

    return stored_fit.read(_fitted_sample() / "sample_shop.inlay")


@pytest.fixture
def sample_fit(_sample_fit_once):
    """The fit of the sample shop, made once for the whole run."""
    return _sample_fit_once


@pytest.fixture
def fitted_log(sample_log, _sample_fit_once):
    """A fresh copy of the sample shop's log with its stored fit beside it."""
    from inlaylab.fitting import stored_fit

    stored_fit.save(_sample_fit_once, sample_log)
    return sample_log
