"""What the command notebooks says."""

from __future__ import annotations

from inlaylab.wording.lengths import count

NOTEBOOKS = "put the notebooks and the sample shop into a folder (never over a file) and open them there"
NOTEBOOKS_DETAILS = (
    "They open in JupyterLab; options that are not listed here are handed on to it. With --as-pages each is a page "
    "without code, at an address of its own, for this computer alone unless --share is given."
)
OPTIONS = {
    "folder": "where to put them; `my_shop` if left out",
    "--only-copy": "do not open anything",
    "--no-browser": "start without opening a browser",
    "--as-pages": "serve each notebook as a page without code, as for a tablet or a phone",
    "--share": "with --as-pages: let other devices on your network open the pages, too",
    "--port": "number of the port (a free one if left out)",
}
SHARED = (
    "Shared: anyone on your network who has this address can see these pages and change your log. The connection is "
    "not encrypted; use it on a network you trust, give the address to nobody else, and press Ctrl-C when you are done."
)
ALONE = "Only this computer can open it. Press Ctrl-C to end."
A_PORT = "a port"
SHARE_ALONE, BOTH_OR_NEITHER = "--share belongs to --as-pages", "both together, or neither"
NOT_OF_PAGES, WHAT_HELP_LISTS = "an option that --as-pages does not know", "what --help lists"
HOW_TO_INSTALL = 'install it with: python -m pip install "inlaylab[notebooks]"'
AS_ROOT = "You are root, as in a container; JupyterLab is told to allow it."


def copied(new: int, kept: int, folder: object, *, first: str) -> str:
    """Say what was put into a folder and where to begin."""
    are = "is" if kept == 1 else "are"
    left = f"; {kept} that {'was' if kept == 1 else 'were'} there already {are} left alone" if kept else ""
    return f"{count(new, 'file')} put into {folder}{left}. Open {first} first."


def not_installed(program: str) -> str:
    """Say that a program is missing."""
    return f"{program} is not installed"


def has_ended(program: str) -> str:
    """Say that a program ended as it should."""
    return f"{program} has ended."


def failed(program: str, status: int) -> str:
    """Say that a program ended as it should not."""
    return f"{program} ended with status {status}; its own message stands above"
