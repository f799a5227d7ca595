"""The notebooks served as pages without code: an index, one address a notebook, nothing asked of outside."""

import json
import os
import socket
import subprocess
import sys
import time

import pytest

from inlaylab import share
from inlaylab.commands.notebooks import page_environment, page_settings

LONG = 120_000


@pytest.fixture(scope="module")
def pages(tmp_path_factory, put_shop):
    """Serve a fresh folder with the fitted sample shop; gives its address and its token."""
    folder, home = tmp_path_factory.mktemp("pages"), tmp_path_factory.mktemp("pages_home")
    share.copy_into(folder)
    put_shop(folder)
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        port = held.getsockname()[1]
    (home / "voila.json").write_text(json.dumps(page_settings(token="only-for-tests", port=port)))
    words = [sys.executable, "-m", "voila", f"--Voila.config_file_paths={home}", str(folder)]
    with (home / "told.txt").open("w") as told:
        server = subprocess.Popen(
            words, cwd=folder, env=page_environment(), stdout=told, stderr=subprocess.STDOUT, start_new_session=True
        )
        try:
            for _ in range(600):
                with socket.socket() as asked:
                    if asked.connect_ex(("127.0.0.1", port)) == 0:
                        break
                assert server.poll() is None, (home / "told.txt").read_text()
                time.sleep(0.1)
            yield f"http://127.0.0.1:{port}", "only-for-tests"
        finally:
            server.terminate()
            server.wait(timeout=30)


@pytest.mark.parametrize(("theme", "width"), [("light", 1280), ("dark", 480)])
def test_a_page_has_no_code_and_asks_for_nothing_outside(pages, browser, theme, width):
    from axe_playwright_python.sync_playwright import Axe

    address, token = pages
    context = browser.new_context(viewport={"width": width, "height": 900})
    page = context.new_page()
    page.set_default_timeout(LONG)
    outside, complaints = [], []
    own = (address, address.replace("http", "ws"), "data:", "blob:")
    page.on("request", lambda request: None if request.url.startswith(own) else outside.append(request.url))
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.goto(f"{address}/?token={token}" + ("&theme=dark" if theme == "dark" else ""))
    assert page.get_by_role("link", name="3 log a test cut").count() == 1
    page.get_by_role("link", name="3 log a test cut").click()
    page.locator(".inlaylab-panel").first.wait_for()
    page.get_by_label("species pair", exact=True).select_option("walnut-maple")
    assert page.locator(".jp-InputArea-editor:visible, .jp-CodeCell .jp-InputArea:visible").count() == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= width + 1
    found = Axe().run(page, context=".inlaylab-panel").response["violations"]
    assert [fault["id"] for fault in found if fault["impact"] in ("serious", "critical")] == []
    assert outside == [] and complaints == []
    context.close()


def test_the_link_to_the_page_of_notebook_7_opens_it(pages, browser):
    address, token = pages
    context = browser.new_context()
    page = context.new_page()
    page.set_default_timeout(LONG)
    page.goto(f"{address}/?token={token}")
    page.get_by_role("link", name="7 share findings").click()
    page.get_by_text("The answers are up to date with the log.").first.wait_for(timeout=400_000)
    page.get_by_role("button", name="Write the page").click()
    page.get_by_text("Written: findings.html").first.wait_for()
    with page.expect_popup() as opened:
        page.get_by_role("link", name="findings.html").click()
    opened.value.locator(".answer h3").get_by_text("tart depth").first.wait_for()
    assert opened.value.url.split("?")[0] == f"{address}/voila/files/findings.html"
    context.close()


def test_without_the_token_there_is_only_a_question_for_it(pages, browser):
    context = browser.new_context()
    page = context.new_page()
    page.goto(f"{pages[0]}/voila/render/3_log_a_test_cut.ipynb")
    assert "/login" in page.url and page.locator(".inlaylab-panel").count() == 0
    context.close()


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="POSIX alone tells who listens")
def test_only_this_computer_can_connect(pages):
    port = int(pages[0].rsplit(":", 1)[1])
    with socket.socket() as held:  # another of this computer's own addresses, where nobody may listen
        held.settimeout(2)
        assert held.connect_ex(("127.0.0.2", port)) != 0
