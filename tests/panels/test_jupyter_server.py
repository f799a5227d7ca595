"""
A folder is listed by Jupyter's own server while the files beside a log come and go.

Jupyter Server 2 answers 404 for the whole folder where a file vanishes between its name being read and being looked at.
That is not asserted here: a later server may be kinder.
"""

import asyncio
import sqlite3
from types import SimpleNamespace

import pytest
from jupyter_server.services.contents.largefilemanager import AsyncLargeFileManager

from inlaylab.log.store import Log
from inlaylab.panels import jupyter_server


class FolderOfAnOpenLog(AsyncLargeFileManager):
    """Jupyter's list of a folder in which the last notebook closes its log after the names were read."""

    def vanish(self, log):
        self.vanishing = log

    async def get(self, path, content=True, **kinds):
        if not content and path.endswith(("-wal", "-shm")):
            self.vanishing.close()
        return await super().get(path, content=content, **kinds)

    def names(self):
        return {each["name"] for each in asyncio.run(self.get("", type="directory"))["content"]}


@pytest.fixture
def manager(tmp_path):
    """The list of a folder with an open log."""
    with Log.make(tmp_path / "oak.inlay"):
        pass
    opened = sqlite3.connect(tmp_path / "oak.inlay")
    opened.execute("SELECT count(*) FROM cuts").fetchone()
    assert {"oak.inlay-wal", "oak.inlay-shm"} <= {path.name for path in tmp_path.iterdir()}
    made = FolderOfAnOpenLog(root_dir=str(tmp_path))
    made.vanish(opened)
    yield made
    opened.close()


def test_files_that_come_and_go_are_not_looked_at(manager):
    hidden_before = set(manager.hide_globs)
    server = SimpleNamespace(contents_manager=manager)
    for _ in range(2):
        jupyter_server._load_jupyter_server_extension(server)
    assert manager.names() == {"oak.inlay"}
    assert set(manager.hide_globs) == hidden_before | set(jupyter_server.HIDDEN)
    assert len(manager.hide_globs) == len(set(manager.hide_globs))


def test_the_server_of_this_environment_takes_it_on():
    from jupyter_server.extension.config import ExtensionConfigManager
    from jupyter_server.extension.manager import ExtensionManager
    from jupyter_server.serverapp import ServerApp

    switched = ExtensionConfigManager(read_config_path=ServerApp().config_file_paths).get_jpserver_extensions()
    assert switched["inlaylab.panels.jupyter_server"] is True
    found = ExtensionManager()
    found.from_jpserver_extensions({"inlaylab.panels.jupyter_server": True})
    point = found.extensions["inlaylab.panels.jupyter_server"].extension_points["inlaylab.panels.jupyter_server"]
    assert point.validate()
