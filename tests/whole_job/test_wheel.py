"""A wheel, built from the tree and installed into an empty environment elsewhere, does the job without the tree."""

import json
import os
import subprocess
import sys
import venv
import zipfile

import pytest

from inlaylab.fitting import stored_fit


@pytest.fixture(scope="module")
def wheel(root, tmp_path_factory):
    out = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(out), str(root)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    (path,) = out.glob("*.whl")
    return path


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory):
    """Run a command of an environment that holds the wheel and what it asks for, and nothing else."""
    home = tmp_path_factory.mktemp("elsewhere")
    venv.create(home / "env", with_pip=True)
    scripts = home / "env" / ("Scripts" if os.name == "nt" else "bin")
    subprocess.run([scripts / "python", "-m", "pip", "install", "-q", str(wheel)], check=True, capture_output=True)
    clean = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "JUPYTER", "VIRTUAL"))}

    def run(*words):
        command = [str(scripts / "inlaylab"), *map(str, words)]
        return subprocess.run(command, capture_output=True, text=True, cwd=home, env=clean, check=False)

    return run


def test_the_wheel_carries_notebooks_data_and_nothing_of_the_tests(wheel, root):
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder in ("notebooks", "data"):
        files = [path.relative_to(root).as_posix() for path in (root / folder).rglob("*") if path.is_file()]
        shared = [name for name in files if "/." not in f"/{name}" and not name.endswith((".npz", ".inlay"))]
        assert shared and {f"inlaylab/_share/{name}" for name in shared} <= names
    assert not [name for name in names if name.startswith(("tests", "data", "notebooks"))]
    sources = {path.relative_to(root).as_posix() for path in (root / "inlaylab").rglob("*.py")}
    assert sources <= names
    settings = "data/etc/jupyter/jupyter_server_config.d/inlaylab.json"  # pip puts it into the environment's own folder
    assert [name for name in names if name.endswith(settings)]


@pytest.mark.long
def test_the_wheel_advises_on_an_imported_log(installed, sample_tables, sample_fit, tmp_path):
    log = tmp_path / "shop.inlay"
    done = installed("import", log, sample_tables)
    assert done.returncode == 0, done.stderr
    stored_fit.save(sample_fit, log)  # the fit itself is tried elsewhere; it belongs to this log by its fingerprint
    (tmp_path / "strokes.csv").write_text("stroke_width,land_width,unit\n0.8,2,mm\n6,5,mm\n")
    words = ("--pocket-depth", "2.5mm", "--relief-depth", "1.2mm", "--within", "0.1mm", "--json")
    done = installed(
        "advise", log, "--bit", "ninety", "--pair", "walnut-maple", "--strokes", tmp_path / "strokes.csv", *words
    )
    assert done.returncode == 0, done.stderr
    assert 0.5 <= json.loads(done.stdout)["start_depth"] <= 3.0


@pytest.mark.long
def test_the_wheel_puts_notebooks_and_sample_shop_into_a_folder(installed, tmp_path):
    done = installed("notebooks", tmp_path / "shop", "--only-copy", "--json")
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert not answer["kept"] and (tmp_path / "shop" / "data" / "sample_shop" / "cuts.csv").is_file()
    assert list((tmp_path / "shop").glob("*.ipynb"))


@pytest.mark.long
def test_without_jupyterlab_it_says_how_to_get_it(installed, tmp_path):
    done = installed("notebooks", tmp_path / "shop")
    assert done.returncode == 2 and "inlaylab[notebooks]" in done.stderr and not (tmp_path / "shop").exists()
