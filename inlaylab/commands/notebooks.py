"""``notebooks``: the notebooks in a folder, opened in JupyterLab or served as pages without code."""

import argparse
import importlib.util
import os
import sys
import threading
import time
from contextlib import suppress
from pathlib import Path

from inlaylab import share
from inlaylab.commands.command import Answer, Command, whole_number
from inlaylab.errors import InlaylabError, InputError
from inlaylab.wording.commands import notebooks as words

STOPPED_BY_CTRL_C = 130
FIRST = "0_start_here.ipynb"
HERE, EVERYWHERE = "127.0.0.1", "0.0.0.0"


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "folder", metavar="FOLDER", nargs="?", type=Path, default=Path("my_shop"), help=words.OPTIONS["folder"]
    )
    parser.add_argument("--only-copy", action="store_true", help=words.OPTIONS["--only-copy"])
    parser.add_argument("--no-browser", action="store_true", help=words.OPTIONS["--no-browser"])
    parser.add_argument("--as-pages", action="store_true", help=words.OPTIONS["--as-pages"])
    parser.add_argument("--share", action="store_true", help=words.OPTIONS["--share"])
    parser.add_argument("--port", type=_port, metavar="N", help=words.OPTIONS["--port"])


def _port(text: str) -> int:
    return whole_number(text, words.A_PORT, least=1024, most=65535)


def _run(arguments: argparse.Namespace) -> Answer:
    pages = arguments.as_pages
    if arguments.share and not pages:
        raise InputError(words.SHARE_ALONE, allowed=words.BOTH_OR_NEITHER)
    if pages and arguments.handed_on:
        raise InputError(words.NOT_OF_PAGES, value=arguments.handed_on[0], allowed=words.WHAT_HELP_LISTS)
    program, module = ("Voilà", "voila") if pages else ("JupyterLab", "jupyterlab")
    if not arguments.only_copy and importlib.util.find_spec(module) is None:
        raise InputError(words.not_installed(program), remedy=words.HOW_TO_INSTALL)
    copied = share.copy_into(arguments.folder)
    text = words.copied(len(copied.new), len(copied.kept), copied.folder, first=FIRST)
    if not arguments.only_copy:
        print(text, file=sys.stderr, flush=True)
        (_serve_pages if pages else _open_jupyterlab)(arguments)
    record = {"folder": str(copied.folder), "new": _names(copied.new), "kept": _names(copied.kept)}
    return Answer(record=record, text=text if arguments.only_copy else words.has_ended(program))


def _open_jupyterlab(arguments: argparse.Namespace) -> None:
    """Run JupyterLab in the folder, on notebook 0, until it ends; its own messages go to standard error."""
    line = [sys.executable, "-m", "jupyterlab", f"--ServerApp.root_dir={arguments.folder.resolve()}"]
    line += [f"--LabApp.default_url=/lab/tree/{FIRST}"]
    line += [f"--port={arguments.port}"] if arguments.port else []
    line += ["--no-browser"] * arguments.no_browser + arguments.handed_on
    if hasattr(os, "geteuid") and os.geteuid() == 0 and "--allow-root" not in line:
        print(words.AS_ROOT, file=sys.stderr, flush=True)
        line.append("--allow-root")
    _run_until_it_ends(line, "JupyterLab", cwd=arguments.folder)


def _serve_pages(arguments: argparse.Namespace) -> None:
    """Serve the notebooks as pages until stopped; only on this computer, unless they are shared."""
    import json
    import secrets
    import tempfile

    token, port = secrets.token_urlsafe(16), arguments.port or _free_port()
    address = f"http://{_own_address() if arguments.share else HERE}:{port}/?token={token}"
    print(f"{address}\n{words.SHARED if arguments.share else words.ALONE}", file=sys.stderr, flush=True)
    with tempfile.TemporaryDirectory() as private:
        settings = Path(private) / "voila.json"  # not on the command line, which others on this computer could read
        settings.touch(mode=0o600)
        settings.write_text(json.dumps(page_settings(token=token, port=port, shared=arguments.share)), encoding="utf-8")
        line = [sys.executable, "-m", "voila", f"--Voila.config_file_paths={private}", str(arguments.folder.resolve())]
        if not arguments.no_browser:
            threading.Thread(target=_open_when_there, args=(port, token), daemon=True).start()
        _run_until_it_ends(line, "Voilà", cwd=arguments.folder, env=page_environment())


def _open_when_there(port: int, token: str) -> None:
    """Open the browser once the server answers."""
    import socket
    import webbrowser

    for _ in range(240):
        with suppress(OSError), socket.create_connection((HERE, port), timeout=1):
            webbrowser.open(f"http://{HERE}:{port}/?token={token}")
            return
        time.sleep(0.25)


def page_settings(*, token: str, port: int, shared: bool = False) -> dict[str, object]:
    """
    Give what Voilà is told: whom it listens to, and the kit's own template, which asks for nothing outside.

    Parameters
    ----------
    token : str
        Without it no page opens.
    port : int
        Where it listens.
    shared : bool
        Whether other devices may connect.
    """
    return {
        "Voila": {"ip": EVERYWHERE if shared else HERE, "port": port, "token": token, "open_browser": False},
        "VoilaConfiguration": {
            "template": "inlaylab",
            "theme": "light",
            "classic_tree": True,
            "strip_sources": True,
            "show_tracebacks": False,
            "file_allowlist": [r".*\.(html|pdf|png|jpg|jpeg|svg|dxf|csv|ipynb)"],
        },
        "MappingKernelManager": {"cull_idle_timeout": 7200, "cull_connected": False},
    }


def page_environment() -> dict[str, str]:
    """Give the environment in which Voilà finds the kit's template."""
    templates = share.HERE / "panels" / "pages"
    paths = [str(templates), *filter(None, [os.environ.get("JUPYTER_PATH")])]
    return os.environ | {"JUPYTER_PATH": os.pathsep.join(paths)}


def _free_port() -> int:
    import socket

    with socket.socket() as held:
        held.bind((HERE, 0))
        return int(held.getsockname()[1])


def _own_address() -> str:
    """Address of this computer on its network; nothing is sent to find it."""
    import socket

    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(("192.0.2.1", 9))  # RFC 5737: an address kept for documentation
            return str(asked.getsockname()[0])
        except OSError:
            return socket.gethostname()


def _run_until_it_ends(line: list[str], program: str, *, cwd: Path, env: dict[str, str] | None = None) -> None:
    import signal
    import subprocess

    try:
        status = subprocess.run(line, stdout=sys.stderr, check=False, cwd=cwd, env=env).returncode
    except KeyboardInterrupt:
        return
    if status not in (0, -signal.SIGINT, -signal.SIGTERM, STOPPED_BY_CTRL_C):
        raise InlaylabError(words.failed(program, status))


def _names(paths: tuple[Path, ...]) -> list[str]:
    return [path.as_posix() for path in paths]


COMMANDS = (
    Command(
        name="notebooks",
        help=words.NOTEBOOKS,
        add_arguments=_add_arguments,
        run=_run,
        details=words.NOTEBOOKS_DETAILS,
        examples=(
            "notebooks",
            "notebooks my_shop --only-copy",
            "notebooks my_shop --no-browser --port=8899",
            "notebooks my_shop --as-pages",
            "notebooks my_shop --as-pages --share",
        ),
        hands_on=True,
    ),
)
