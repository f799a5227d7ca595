"""``notebooks`` opens JupyterLab in a folder of one's own, or serves pages; what it does not know is handed on."""

import json
import os
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from inlaylab.command_line import main


@pytest.fixture
def started(monkeypatch):
    """Catch the command line that JupyterLab would be started with."""
    seen = []

    def run(words, **options):
        seen.append(words)
        return subprocess.CompletedProcess(words, 0)

    monkeypatch.setattr(subprocess, "run", run)
    return seen


def test_options_are_handed_on(started, tmp_path, capsys):
    folder = tmp_path / "shop"
    assert main(["notebooks", str(folder), "--no-browser", "--port", "8899", "--notebook-dir=x"]) == 0
    (words,) = started
    assert words[1:3] == ["-m", "jupyterlab"] and words[3].endswith(str(folder))
    assert {"--no-browser", "--port=8899", "--notebook-dir=x"} <= set(words)
    assert "--LabApp.default_url=/lab/tree/0_start_here.ipynb" in words
    assert "put into" in capsys.readouterr().err


def test_only_copying_starts_nothing(started, tmp_path, capsys):
    assert main(["notebooks", str(tmp_path / "shop"), "--only-copy", "--json"]) == 0
    assert not started
    answer = json.loads(capsys.readouterr().out)
    assert answer["new"] and not answer["kept"]


def test_a_jupyterlab_that_fails_is_told(monkeypatch, tmp_path, capsys):
    monkeypatch.setattr(subprocess, "run", lambda words, **options: subprocess.CompletedProcess(words, 1))
    assert main(["notebooks", str(tmp_path / "shop")]) == 2
    assert "JupyterLab ended with status 1" in capsys.readouterr().err


@pytest.mark.parametrize("shared", [False, True])
def test_pages_are_for_this_computer_alone_unless_they_are_shared(monkeypatch, tmp_path, capsys, shared):
    seen = []

    def run(words, *, env, cwd, **options):
        (place,) = [word.partition("=")[2] for word in words if word.startswith("--Voila.config_file_paths=")]
        file = Path(place) / "voila.json"
        seen.append((words, env, json.loads(file.read_text()), file.stat().st_mode & 0o077))
        return subprocess.CompletedProcess(words, 0)

    monkeypatch.setattr(subprocess, "run", run)
    options = ["--as-pages", "--no-browser"] + ["--share"] * shared
    assert main(["notebooks", str(tmp_path / "shop"), *options]) == 0
    ((words, env, settings, others),) = seen
    told, token = capsys.readouterr().err, settings["Voila"]["token"]
    assert settings["Voila"]["ip"] == ("0.0.0.0" if shared else "127.0.0.1")
    assert len(token) > 20 and f"/?token={token}" in told and not any(token in word for word in words)
    assert others == 0 or os.name == "nt", "nobody else may read the token"
    assert ("anyone on your network" in told) is shared and ("Only this computer" in told) is not shared
    template = (
        Path(env["JUPYTER_PATH"].split(os.pathsep)[0])
        / "voila"
        / "templates"
        / settings["VoilaConfiguration"]["template"]
    )
    assert (template / "index.html.j2").exists() and (template / "tree.html").exists()


def test_sharing_is_refused_where_no_pages_are_served(tmp_path, capsys):
    assert main(["notebooks", str(tmp_path / "shop"), "--share"]) == 2
    assert "--share belongs to --as-pages" in capsys.readouterr().err and not (tmp_path / "shop").exists()


@pytest.mark.long
def test_jupyterlab_really_opens_on_the_notebooks(tmp_path):
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    options = ["--no-browser", f"--port={port}", "--ServerApp.port_retries=0", "--IdentityProvider.token=t"]
    command = [sys.executable, "-m", "inlaylab", "notebooks", "shop", *options]
    server = subprocess.Popen(command, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        listed = _ask(f"http://127.0.0.1:{port}/api/contents?token=t", patience=60)
        names = {each["name"] for each in listed["content"]}
        assert {"3_log_a_test_cut.ipynb", "4_tune_the_start_depth.ipynb", "data"} <= names
    finally:
        request = urllib.request.Request(f"http://127.0.0.1:{port}/api/shutdown?token=t", method="POST", data=b"")
        with urllib.request.urlopen(request, timeout=10):
            pass
        out, _ = server.communicate(timeout=30)
    assert server.returncode == 0 and out == "JupyterLab has ended.\n"


def _ask(address, *, patience):
    until = time.monotonic() + patience
    while True:
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                return json.load(answer)
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.3)
