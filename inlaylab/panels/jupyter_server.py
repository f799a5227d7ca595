"""
What Jupyter's server is told wherever the kit is installed: which files beside a log come and go by themselves.

SQLite keeps two files beside a log while it is open. Where one of them vanishes while the server lists the folder, the
server answers that the folder is not there; JupyterLab then says so in a window that takes the keys of whoever is
typing. Files that are hidden are not looked at.
"""

from __future__ import annotations

from typing import Protocol

#: What is not listed, as patterns of names.
HIDDEN = ("*.inlay-wal", "*.inlay-shm", "*.inlay-journal")


class ListsFiles(Protocol):
    """The part of Jupyter's contents manager that is used here."""

    hide_globs: list[str]


class Server(Protocol):
    """The part of Jupyter's server that is used here."""

    contents_manager: ListsFiles


def hide(server: Server) -> None:
    """
    Leave the files that come and go out of the lists of a server.

    Parameters
    ----------
    server : jupyter_server.serverapp.ServerApp
        What it hides already stays hidden.
    """
    manager = server.contents_manager
    manager.hide_globs = [*manager.hide_globs, *(name for name in HIDDEN if name not in manager.hide_globs)]


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    return [{"module": __name__}]


def _load_jupyter_server_extension(server: Server) -> None:
    hide(server)
