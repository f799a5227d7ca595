"""Fixtures that many rooms share, and the folders that tests may write to."""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import hypothesis
import pytest

ROOT = Path(__file__).resolve().parent.parent
SAMPLE_SHOP = ROOT / "data" / "sample_shop"

# Jupyter, IPython and matplotlib keep their files in a folder of this run, never in the home of whoever runs the tests.
# Set before anything imports them; kernels started by nbval inherit it.
_OWN = Path(tempfile.mkdtemp(prefix="inlaylab-tests-"))
for _name in ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR", "IPYTHONDIR", "MPLCONFIGDIR"):
    os.environ[_name] = str(_OWN / _name.lower())
    Path(os.environ[_name]).mkdir()
os.environ["MPLBACKEND"] = "agg"
hypothesis.settings.register_profile("inlaylab", deadline=None)  # no test is asserted by the clock
hypothesis.settings.load_profile("inlaylab")
os.environ.pop("PYTHONWARNINGS", None)


def pytest_configure():
    """Let nbval run every notebook from an empty folder, never from the tree."""
    import nbval.plugin

    folder, kernel = _OWN / "notebooks", nbval.plugin.RunningKernel
    folder.mkdir()
    nbval.plugin.RunningKernel = lambda *words, **options: kernel(*words, **{**options, "cwd": str(folder)})


def pytest_unconfigure():
    shutil.rmtree(_OWN, ignore_errors=True)


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

    def run(*words, cwd=None, timeout=300, env=None):
        command = [sys.executable, "-m", "inlaylab", *map(str, words)]
        where = {"cwd": cwd, "env": {**os.environ, **(env or {})}}
        pipes = {"capture_output": True, "text": True, "encoding": "utf-8", "stdin": subprocess.DEVNULL}
        return subprocess.run(command, **pipes, **where, timeout=timeout, check=False)

    return run


@pytest.fixture(scope="session")
def _sample_log_once():
    """The sample shop as a log, made once, where the notebooks look for it; never handed out itself."""
    from inlaylab.log.tables.import_export import import_folder

    path = _OWN / "notebooks" / "sample_shop.inlay"
    if not path.exists():
        import_folder(path, SAMPLE_SHOP)
    return path


@pytest.fixture
def sample_log(_sample_log_once, tmp_path):
    """A fresh copy of the sample shop's log, without a fit."""
    from inlaylab.log.file.rescue import copy_log

    return copy_log(_sample_log_once, tmp_path / "sample.inlay")


@pytest.fixture(scope="session")
def _sample_fit_once(_sample_log_once, inlaylab):
    """The fit of the sample shop, stored beside its log by the command; made once, for tests and notebooks alike."""
    from inlaylab.fitting import stored_fit

    done = inlaylab("fit", _sample_log_once, timeout=1200)
    assert done.returncode == 0, done.stderr
    return stored_fit.read(_sample_log_once)


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
