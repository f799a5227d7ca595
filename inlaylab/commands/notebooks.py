"""``notebooks``: the notebooks in a folder, opened in JupyterLab or served as pages without code."""

import argparse
import importlib.util
import json
import os
import secrets
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
import webbrowser
from contextlib import suppress
from pathlib import Path
from typing import Any

from inlaylab import share
from inlaylab.commands.command import Answer, Command
from inlaylab.errors import InlaylabError, InputError

STOPPED_BY_CTRL_C = 130
FIRST = "0_start_here.ipynb"
HERE, EVERYWHERE = "127.0.0.1", "0.0.0.0"
SHARED = (
    "Shared: anyone on your network who has this address can see these pages and change your log. The connection is "
    "not encrypted; use it on a network you trust, give the address to nobody else, and press Ctrl-C when you are done."
)
ALONE = "Only this computer can open it. Press Ctrl-C to end."


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "folder", metavar="FOLDER", nargs="?", type=Path, default=Path("my_shop"), help="my_shop if left out"
    )
    parser.add_argument("--only-copy", action="store_true", help="do not open anything")
    parser.add_argument("--no-browser", action="store_true", help="start without opening a browser")
    parser.add_argument(
        "--as-pages", action="store_true", help="serve each notebook as a page without code, as for a tablet or a phone"
    )
    parser.add_argument(
        "--share", action="store_true", help="with --as-pages: let other devices on your network open the pages, too"
    )
    parser.add_argument("--port", type=_port, metavar="N", help="number of the port (a free one if left out)")


def _port(text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 1024 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f"{text} is not a port; write a whole number from 1024 to 65535")
    return int(text)


def _run(arguments: argparse.Namespace) -> Answer:
    pages = arguments.as_pages
    if arguments.share and not pages:
        raise InputError("--share belongs to --as-pages", allowed="both together, or neither")
    if pages and arguments.handed_on:
        raise InputError(
            "an option that --as-pages does not know", value=arguments.handed_on[0], allowed="what --help lists"
        )
    program, module = ("Voilà", "voila") if pages else ("JupyterLab", "jupyterlab")
    if not arguments.only_copy and importlib.util.find_spec(module) is None:
        raise InputError(
            f"{program} is not installed", allowed='install it with: python -m pip install "inlaylab[notebooks]"'
        )
    copied = share.copy_into(arguments.folder)
    kept = f"; {len(copied.kept)} that were there already are left as they are" if copied.kept else ""
    text = f"{len(copied.new)} files put into {copied.folder}{kept}. Open {FIRST} first."
    if not arguments.only_copy:
        print(text, file=sys.stderr, flush=True)
        (_serve_pages if pages else _open_jupyterlab)(arguments)
    record = {"folder": str(copied.folder), "new": _names(copied.new), "kept": _names(copied.kept)}
    return Answer(record=record, text=text if arguments.only_copy else f"{program} has ended.")


def _open_jupyterlab(arguments: argparse.Namespace) -> None:
    """Run JupyterLab in the folder, on notebook 0, until it ends; its own messages go to standard error."""
    words = [sys.executable, "-m", "jupyterlab", f"--ServerApp.root_dir={arguments.folder.resolve()}"]
    words += [f"--LabApp.default_url=/lab/tree/{FIRST}"]
    words += [f"--port={arguments.port}"] if arguments.port else []
    words += ["--no-browser"] * arguments.no_browser + arguments.handed_on
    if hasattr(os, "geteuid") and os.geteuid() == 0 and "--allow-root" not in words:
        print("You are root, as in a container; JupyterLab is told to allow it.", file=sys.stderr, flush=True)
        words.append("--allow-root")
    _run_until_it_ends(words, "JupyterLab", cwd=arguments.folder)


def _serve_pages(arguments: argparse.Namespace) -> None:
    """Serve the notebooks as pages until stopped; only on this computer, unless they are shared."""
    token, port = secrets.token_urlsafe(16), arguments.port or _free_port()
    address = f"http://{_own_address() if arguments.share else HERE}:{port}/?token={token}"
    print(f"{address}\n{SHARED if arguments.share else ALONE}", file=sys.stderr, flush=True)
    with tempfile.TemporaryDirectory() as private:
        settings = Path(private) / "voila.json"  # not on the command line, which others on this computer could read
        settings.touch(mode=0o600)
        settings.write_text(json.dumps(page_settings(token=token, port=port, shared=arguments.share)), encoding="utf-8")
        words = [sys.executable, "-m", "voila", f"--Voila.config_file_paths={private}", str(arguments.folder.resolve())]
        if not arguments.no_browser:
            threading.Thread(target=_open_when_there, args=(port, token), daemon=True).start()
        _run_until_it_ends(words, "Voilà", cwd=arguments.folder, env=page_environment())


def _open_when_there(port: int, token: str) -> None:
    """Open the browser once the server answers."""
    for _ in range(240):
        with suppress(OSError), socket.create_connection((HERE, port), timeout=1):
            webbrowser.open(f"http://{HERE}:{port}/?token={token}")
            return
        time.sleep(0.25)


def page_settings(*, token: str, port: int, shared: bool = False) -> dict[str, Any]:
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
    with socket.socket() as held:
        held.bind((HERE, 0))
        return int(held.getsockname()[1])


def _own_address() -> str:
    """Address of this computer on its network; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(("192.0.2.1", 9))  # RFC 5737: an address kept for documentation
            return str(asked.getsockname()[0])
        except OSError:
            return socket.gethostname()


def _run_until_it_ends(words: list[str], program: str, *, cwd: Path, env: dict[str, str] | None = None) -> None:
    try:
        status = subprocess.run(words, stdout=sys.stderr, check=False, cwd=cwd, env=env).returncode
    except KeyboardInterrupt:
        return
    if status not in (0, -signal.SIGINT, -signal.SIGTERM, STOPPED_BY_CTRL_C):
        raise InlaylabError(f"{program} ended with status {status}; its own message stands above")


def _names(paths: tuple[Path, ...]) -> list[str]:
    return [path.as_posix() for path in paths]


COMMANDS = (
    Command(
        name="notebooks",
        help="put the notebooks and the sample shop into a folder (never over a file) and open them there",
        add_arguments=_add_arguments,
        run=_run,
        details="They open in JupyterLab; options that are not listed here are handed on to it. With --as-pages each "
        "is a page without code, at an address of its own, for this computer alone unless --share is given.",
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
