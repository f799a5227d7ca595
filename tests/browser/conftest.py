"""One JupyterLab and one browser for every test here; nothing may be asked of a host outside this machine."""

import itertools
import json
import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest
from playwright.sync_api import expect

from inlaylab import share
from inlaylab.services.desk import desk_of

LONG = 90_000  # longest wait for anything a busy machine may take [ms]
expect.set_options(timeout=30_000)
WORKSPACES = (f"page-{number}" for number in itertools.count())
BROWSERS = ("/usr/bin/chromium", "chromium", "chromium-browser", "google-chrome")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",  # no other host can be reached
]
QUIET = {
    "@jupyterlab/apputils-extension:notification": {
        "checkForUpdates": False,
        "fetchNews": "false",
        "doNotDisturbMode": True,
    },
    "@jupyterlab/docmanager-extension:plugin": {"autosave": False},
}


class Lab:
    """A running JupyterLab on a folder with the notebooks in it."""

    def __init__(self, folder: Path, home: Path):
        self.folder, self.token = folder, "only-for-tests"
        with socket.socket() as held:
            held.bind(("127.0.0.1", 0))
            self.port = held.getsockname()[1]
        (home / "config" / "labconfig").mkdir(parents=True)
        (home / "config" / "labconfig" / "default_setting_overrides.json").write_text(json.dumps(QUIET))
        places = {
            "JUPYTER_CONFIG_DIR": home / "config",
            "JUPYTER_DATA_DIR": home / "data",
            "JUPYTER_RUNTIME_DIR": home / "runtime",
            "JUPYTERLAB_SETTINGS_DIR": home / "settings",
            "JUPYTERLAB_WORKSPACES_DIR": home / "workspaces",
            "IPYTHONDIR": home / "ipython",
            "MPLCONFIGDIR": home / "matplotlib",
        }
        words = [sys.executable, "-m", "jupyterlab", "--no-browser", "--ip=127.0.0.1", "--allow-root"]
        words += [f"--port={self.port}", "--ServerApp.port_retries=0", f"--IdentityProvider.token={self.token}"]
        words += [f"--ServerApp.root_dir={folder}", "--LabApp.news_url=", "--LabApp.extension_manager=readonly"]
        words += ["--LabApp.expose_app_in_browser=True"]  # so that a test can change the theme
        self.told = (home / "server.txt").open("w")
        environment = os.environ | {name: str(place) for name, place in places.items()}
        self.process = subprocess.Popen(
            words, env=environment, cwd=folder, stdout=self.told, stderr=subprocess.STDOUT, start_new_session=True
        )

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def on_own_log(self, name: str, log: str) -> str:
        """Copy a notebook with its one line changed, as a maker does; give the copy's name."""
        text = (self.folder / f"{name}.ipynb").read_text(encoding="utf-8")
        assert text.count("log = None") == 1
        copy = f"own_{name}.ipynb"
        (self.folder / copy).write_text(text.replace("log = None", f"log = '{log}'"), encoding="utf-8")
        return copy

    def wait(self) -> None:
        for _ in range(600):
            try:
                with urllib.request.urlopen(f"{self.url}/api?token={self.token}", timeout=5):
                    return
            except OSError:
                if self.process.poll() is not None:
                    break
                time.sleep(0.1)
        raise AssertionError(Path(self.told.name).read_text())

    def close(self) -> None:
        self.process.terminate()
        try:
            self.process.wait(timeout=20)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        self.told.close()


class Notebook:
    """A notebook open in a page, and what it was heard to complain about."""

    def __init__(self, page, lab: Lab):
        self.page, self.lab = page, lab
        self.complaints: list[str] = []
        self.outside: list[str] = []
        page.on("console", self._console)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("request", lambda request: self._asked(request.url))
        page.on("websocket", lambda socket: self._asked(socket.url))

    def _console(self, message) -> None:
        if message.type == "error":
            self.complaints.append(f"{message.text} ({message.location.get('url', '')})")

    def _asked(self, url: str) -> None:
        if not url.startswith((self.lab.url, self.lab.url.replace("http", "ws"), "data:", "blob:")):
            self.outside.append(url)

    def open(self, name: str) -> "Notebook":
        own = f"{self.lab.url}/lab/workspaces/{next(WORKSPACES)}/tree"  # else a second page would load twice
        self.page.goto(f"{own}/{name}?reset&token={self.lab.token}", timeout=LONG)
        self.page.locator(".jp-NotebookPanel-notebook .jp-Cell").first.wait_for(timeout=LONG)
        self.page.get_by_text("| Idle").first.wait_for(timeout=LONG)
        return self

    def run_all(self) -> "Notebook":
        self.page.get_by_role("menuitem", name="Run", exact=True).click()
        self.page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
        self.page.locator(".inlaylab-panel").first.wait_for(timeout=LONG)
        self.page.get_by_text("| Idle").first.wait_for(timeout=LONG)
        self.page.wait_for_timeout(1000)  # JupyterLab moves the focus once more after the last cell
        return self

    def restart(self):
        """Restart the kernel by the menu; the panel's shell, which then says that it is asleep."""
        self.page.get_by_role("menuitem", name="Kernel", exact=True).click()
        self.page.get_by_role("menuitem", name=re.compile("^Restart Kernel…")).click()
        self.page.locator(".jp-Dialog").get_by_role("button", name="Confirm Kernel Restart").click()
        shell = self.page.locator(".inlaylab-shell.jupyter-widgets-disconnected")
        shell.wait_for(timeout=60_000)
        return shell

    def type(self, place, text: str) -> None:
        """Type by keys, and again what did not arrive: on a busy machine the page around may take the focus once."""
        for _ in range(3):
            place.press_sequentially(text)
            if place.input_value() == text:
                return
            print(f"typed {text!r}, but there stands {place.input_value()!r}; the focus is on", self.focus())
            place.fill("")
        expect(place).to_have_value(text)

    def focus(self) -> str:
        return self.page.evaluate("document.activeElement.outerHTML.slice(0, 200)")

    def until_kept(self, log: Path, *texts: str) -> None:
        """Wait until drafts beside a log hold what was typed, however busy the kernel is."""
        for _ in range(600):
            kept = "".join(file.read_text(encoding="utf-8") for file in desk_of(log).glob("draft_*.json"))
            if all(text in kept for text in texts):
                return
            self.page.wait_for_timeout(100)
        raise AssertionError(f"{texts} are not all in the drafts: {kept}")

    def says(self, text: str):
        spot = self.page.locator(".inlaylab-panel").get_by_text(text).first
        spot.wait_for(timeout=LONG)
        return spot

    def narrow(self, width: int = 480, height: int = 900) -> None:
        self.page.set_viewport_size({"width": width, "height": height})
        if self.page.locator(".jp-FileBrowser").first.is_visible():
            self.page.evaluate("document.activeElement.blur()")
            self.page.locator(".jp-NotebookPanel-toolbar").first.click(position={"x": 2, "y": 2})
            self.page.keyboard.press("Control+b")

    def theme(self, name: str) -> None:
        """Change between light and dark."""
        wanted = f"JupyterLab {name.capitalize()}"
        self.page.evaluate("name => window.jupyterapp.commands.execute('apputils:change-theme', {theme: name})", wanted)
        self.page.wait_for_function(
            "light => document.body.dataset.jpThemeLight === light", arg=str(name == "light").lower()
        )
        self.page.wait_for_timeout(500)

    def box(self, label: str):
        return self.page.get_by_label(label, exact=True)

    def faults(self) -> list[str]:
        """Serious faults that the accessibility engine finds in the panels of this notebook."""
        from axe_playwright_python.sync_playwright import Axe

        found = Axe().run(self.page, context=".inlaylab-panel").response["violations"]
        bad = [fault for fault in found if fault["impact"] in ("serious", "critical")]
        return [f"{fault['id']}: {node['html'][:160]}" for fault in bad for node in fault["nodes"][:3]]


def find_browser() -> str | None:
    given = os.environ.get("INLAYLAB_BROWSER")
    return next((found for name in (given, *BROWSERS) if name and (found := shutil.which(name))), None)


@pytest.fixture(scope="session")
def browser():
    from playwright.sync_api import sync_playwright

    program = find_browser()
    with sync_playwright() as playwright:
        own = Path(playwright.chromium.executable_path)
        if program is None and not own.exists():
            pytest.skip("no Chromium here: install one, or name it in INLAYLAB_BROWSER")
        opened = playwright.chromium.launch(executable_path=program or str(own), args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def lab(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shop")
    share.copy_into(folder)
    running = Lab(folder, tmp_path_factory.mktemp("home"))
    try:
        running.wait()
        yield running
    finally:
        running.close()


@pytest.fixture(scope="session")
def put_shop(_sample_log_once, _sample_fit_once):
    """Put the sample shop's log with its fit into a folder of notebooks; both are made once for the whole run."""
    from inlaylab.fitting import stored_fit
    from inlaylab.log.file.rescue import copy_log

    def put(folder):
        log = copy_log(_sample_log_once, folder / "sample_shop.inlay")
        stored_fit.save(_sample_fit_once, log)
        return log

    return put


@pytest.fixture(scope="session")
def shop_log(lab, put_shop):
    """The sample shop's log with its fit, in the folder of the notebooks."""
    return put_shop(lab.folder)


@pytest.fixture(scope="session")
def sample_shop_records():
    """The sample shop as records."""
    from inlaylab.log.tables.import_export import read_folder

    return read_folder(share.sample_shop())


@pytest.fixture(scope="session")
def context(browser):
    """One context for all pages of the lab: they share what the browser keeps of JupyterLab's own code."""
    made = browser.new_context(viewport={"width": 1280, "height": 900})
    made.set_default_timeout(LONG)
    yield made
    made.close()


@pytest.fixture(scope="module")
def open_page(context, lab):
    """Give an empty page to open a notebook in."""
    pages = []

    def opened() -> Notebook:
        pages.append(context.new_page())
        return Notebook(pages[-1], lab)

    yield opened
    for page in pages:
        page.close()


@pytest.fixture(scope="module")
def open_notebook(open_page):
    """Open a notebook in a page of its own and run all its cells."""
    return lambda name: open_page().open(name).run_all()
