"""
Pictures of every panel at two widths, to be looked at: ``python tests/browser/screenshots.py FOLDER [NOTEBOOK …]``.

With ``--readme`` the small pictures that the README shows are written to ``data/pictures`` instead.
"""

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from conftest import FLAGS, LONG, Lab, Notebook, find_browser
from playwright.sync_api import sync_playwright

from inlaylab import share

WIDTHS = (1280, 480)


def type_a_cut(page):
    """Leave a half-typed cut with a refusal in the form, so that the pictures show one."""
    page.get_by_label("species pair", exact=True).select_option("walnut-maple")
    page.get_by_label("bit", exact=True).select_option("sixty")
    page.get_by_label("coupon", exact=True).select_option("ladder")
    start = page.get_by_label("start depth", exact=True)
    start.fill("3,600")
    start.press("Tab")
    rows = page.locator(".inlaylab-grid input")
    rows.nth(1).wait_for()
    for number, text in enumerate(("0.12 p", "c f", "c", "oak")):
        rows.nth(number).fill(text)
        rows.nth(number).press("Enter")
        page.wait_for_timeout(200)


def ask_everything(page):
    """Press the dashboard's two long buttons and wait for their answers."""
    page.get_by_role("button", name="A start depth for each bit and pair").click()
    page.get_by_text("floor gap needed").first.wait_for(timeout=300_000)
    page.get_by_role("button", name="Which cut next?").click()
    page.get_by_text("expected to move the advice").first.wait_for(timeout=300_000)


BEFORE = {"0_start_here": ask_everything, "3_log_a_test_cut": type_a_cut}


def take(folder, names):
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as shop, tempfile.TemporaryDirectory() as home, sync_playwright() as playwright:
        share.copy_into(shop)
        lab = Lab(Path(shop), Path(home))
        browser = playwright.chromium.launch(executable_path=find_browser(), args=FLAGS)
        try:
            lab.wait()
            for name in names or sorted(path.stem for path in Path(shop).glob("*.ipynb")):
                page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
                page.set_default_timeout(LONG)
                notebook = Notebook(page, lab).open(f"{name}.ipynb").run_all()
                page.wait_for_timeout(3000)
                fit = page.get_by_role("button", name="Fit this log")
                if fit.count():
                    fit.first.click()
                    page.get_by_text("The log is fitted as it is now.").first.wait_for(timeout=300_000)
                    page.wait_for_timeout(8000)
                BEFORE.get(name, lambda page: None)(page)
                for width in WIDTHS:
                    notebook.narrow(width, 900)
                    page.wait_for_timeout(1000)
                    panel = page.locator(".inlaylab-panel").first
                    tall = panel.evaluate("e => e.scrollHeight") + 400
                    page.set_viewport_size({"width": width, "height": min(int(tall), 6000)})
                    panel.scroll_into_view_if_needed()
                    page.wait_for_timeout(800)
                    panel.screenshot(path=folder / f"{name}_{width}.png")
                print(name, notebook.complaints, notebook.outside)
                page.context.close()
        finally:
            browser.close()
            lab.close()


if __name__ == "__main__":
    take(Path(sys.argv[1]), sys.argv[2:])
