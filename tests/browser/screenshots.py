"""
Pictures of every panel at two widths and in two themes, to be looked at, with a contact sheet of each.

``python tests/browser/screenshots.py FOLDER [NOTEBOOK …] [--shop SHOP | --empty]``; SHOP is a folder with a fitted
``sample_shop.inlay``, made anew without it; ``--empty`` takes the panels on a log that was just begun.
``python tests/browser/screenshots.py --readme`` makes the small pictures that the README shows, in ``data/pictures``.
"""

import argparse
import re
import shutil
import subprocess
import sys
import tempfile
from contextlib import contextmanager
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from conftest import FLAGS, LONG, Lab, Notebook, find_browser
from playwright.sync_api import sync_playwright

from inlaylab import share
from inlaylab.services.find_log import begin_log, choose_log

WIDTHS = (1280, 480)
THEMES = ("light", "dark")


@contextmanager
def shop_in_lab():
    """Run a JupyterLab on a fresh copy of the notebooks, with a browser beside it."""
    with tempfile.TemporaryDirectory() as shop, tempfile.TemporaryDirectory() as home, sync_playwright() as playwright:
        share.copy_into(shop)
        lab = Lab(Path(shop), Path(home))
        browser = playwright.chromium.launch(executable_path=find_browser(), args=FLAGS)
        try:
            lab.wait()
            yield lab, browser
        finally:
            browser.close()
            lab.close()


def fit_first(page):
    """Wait for the answers where the panel works them out."""
    if page.get_by_text("Working out the answers").or_(page.get_by_text("have not been worked out")).count():
        page.get_by_text("The answers are up to date with the log.").first.wait_for(timeout=600_000)
        page.wait_for_timeout(8000)


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
    page.locator(".inlaylab-coupon img").first.wait_for()
    for number, text in enumerate(("0.12 p", "c f", "c", "oak")):
        rows.nth(number).fill(text)
        rows.nth(number).press("Enter")
        page.wait_for_timeout(200)


def ask_everything(page):
    """Press the dashboard's two long buttons and wait for their answers."""
    page.get_by_role("button", name="A start depth for each bit and pair").click()
    page.get_by_text("floor gap needed").first.wait_for(timeout=300_000)
    page.get_by_role("button", name="Which cut next?").click()
    page.get_by_text(re.compile("It is (not )?expected|You can stop here")).first.wait_for(timeout=300_000)


BEFORE = {"0_start_here": ask_everything, "3_log_a_test_cut": type_a_cut}


def ask_about_sixty(page):
    """Ask about the shop's workhorse."""
    page.get_by_label("species pair", exact=True).select_option("walnut-maple")
    page.get_by_label("bit", exact=True).select_option("sixty")
    page.get_by_label("strokes", exact=True).select_option("coupon ladder")
    for name, text in (("pocket depth", "4 mm"), ("relief depth", "1.5 mm"), ("glue line within", "0.15 mm")):
        page.get_by_label(name, exact=True).fill(text)
        page.get_by_label(name, exact=True).press("Tab")
    page.get_by_role("button", name="Which settings?").click()
    page.get_by_text("Answered.").first.wait_for(timeout=LONG)
    page.wait_for_timeout(10_000)  # its pictures are drawn one after the other


#: Of each picture in the README: notebook, what to do first, and the parts between which it is cut.
README = {
    "log_a_test_cut": ("3_log_a_test_cut", type_a_cut, "On the finished face", "photo"),
    "tune_the_start_depth": ("4_tune_the_start_depth", ask_about_sixty, "The answer", "Try your own settings"),
    "start_here": ("0_start_here", lambda page: None, "An inlay in section", "What is known, and how sure"),
}


def shrink(path):
    """Make a picture small enough for a repository: 800 pixels wide, 192 colours, those of small marks among them."""
    from PIL import Image

    with Image.open(path) as opened:
        picture = opened.convert("RGB")
    picture.thumbnail((800, 1600))
    picture.quantize(192, method=Image.Quantize.FASTOCTREE).save(path, optimize=True)


def cut_out(page, panel, first, last, path):
    """Save the part of a panel between two of its words."""
    top = panel.get_by_role("heading", name=first).first.bounding_box()
    end = panel.get_by_text(last, exact=True).first.bounding_box()
    frame = panel.bounding_box()
    area = {"x": frame["x"], "width": frame["width"], "y": top["y"] - 8, "height": end["y"] - top["y"] - 8}
    page.screenshot(path=path, clip=area, full_page=False)
    shrink(path)


def take_readme(folder, *, ready=None):
    """Make the README's pictures from the sample shop."""
    folder.mkdir(parents=True, exist_ok=True)
    with shop_in_lab() as (lab, browser):
        fitted_shop(lab, ready)
        for name, (notebook, prepare, first, last) in README.items():
            page = browser.new_context(viewport={"width": 1180, "height": 2600}).new_page()
            page.set_default_timeout(LONG)
            opened = Notebook(page, lab).open(f"{notebook}.ipynb").run_all()
            opened.narrow(900, 2600)
            fit_first(page)
            prepare(page)
            panel = page.locator(".inlaylab-panel").first
            panel.scroll_into_view_if_needed()
            page.wait_for_timeout(1500)
            cut_out(page, panel, first, last, folder / f"{name}.png")
            page.context.close()


def fitted_shop(lab, ready):
    """Put a fitted sample shop beside the notebooks: from a folder that has one, or made here."""
    if ready is not None:
        for path in ready.glob("sample_shop.inlay*"):
            shutil.copyfile(path, lab.folder / path.name)
        return
    for words in (["import", "sample_shop.inlay", str(share.sample_shop())], ["fit", "sample_shop.inlay"]):
        subprocess.run([sys.executable, "-m", "inlaylab", *words], cwd=lab.folder, check=True, capture_output=True)


def empty_shop(lab):
    """Begin a log and name it for every notebook of the folder."""
    begin_log("mine.inlay", folder=lab.folder)
    choose_log("mine.inlay", folder=lab.folder)


def take(folder, names, *, ready=None, empty=False):
    """Take every panel in both themes and widths, and each page of one with tabs."""
    folder.mkdir(parents=True, exist_ok=True)
    with shop_in_lab() as (lab, browser):
        empty_shop(lab) if empty else fitted_shop(lab, ready)
        for name in names or sorted(path.stem for path in lab.folder.glob("*.ipynb")):
            page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
            page.set_default_timeout(LONG)
            notebook = Notebook(page, lab).open(f"{name}.ipynb").run_all()
            page.wait_for_timeout(3000)
            if not empty:
                BEFORE.get(name, lambda page: None)(page)
            for width in WIDTHS:
                notebook.narrow(width, 900)
                page.wait_for_timeout(2500)
                for theme in THEMES:
                    notebook.theme(theme)
                    shoot_pages(page, width, folder, name=name, theme=theme)
            print(name, notebook.complaints, notebook.outside, flush=True)
            page.context.close()
    for width in WIDTHS:
        for theme in THEMES:
            contact_sheet(sorted(folder.glob(f"*_{width}_{theme}.png")), folder / f"sheet_{width}_{theme}.png")


def shoot_pages(page, width, folder, *, name, theme):
    """Save the panel, and each of its pages where it has tabs."""
    tabs = page.locator(".inlaylab-panel .lm-TabBar-tab")
    for number in range(max(1, tabs.count())):
        if tabs.count():
            tabs.nth(number).click()
            page.wait_for_timeout(400)
        shoot(page, width, folder / f"{name}_{number + 1}_{width}_{theme}.png")


def shoot(page, width, path):
    """Save the whole panel."""
    panel = page.locator(".inlaylab-panel").first
    tall = panel.evaluate("e => e.scrollHeight") + 400
    page.set_viewport_size({"width": width, "height": min(int(tall), 9000)})
    panel.scroll_into_view_if_needed()
    page.wait_for_timeout(800)
    panel.screenshot(path=path)


def contact_sheet(paths, out):
    """Put pictures side by side at half size, in columns of one height."""
    from PIL import Image

    pictures = []
    for path in paths:
        with Image.open(path) as opened:
            half = opened.convert("RGB").resize((opened.width // 2, opened.height // 2))
        pictures += [
            half.crop((0, top, half.width, min(top + 1500, half.height))) for top in range(0, half.height, 1500)
        ]
    if not pictures:
        return
    sheet = Image.new("RGB", (sum(p.width + 12 for p in pictures), 1500), "#888")
    left = 0
    for picture in pictures:
        sheet.paste(picture, (left, 0))
        left += picture.width + 12
    sheet.save(out, optimize=True)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", nargs="?", type=Path)
    parser.add_argument("notebooks", nargs="*")
    parser.add_argument("--shop", type=Path)
    parser.add_argument("--empty", action="store_true")
    parser.add_argument("--readme", action="store_true")
    asked = parser.parse_args()
    if asked.readme:
        take_readme(share.data() / "pictures", ready=asked.shop)
    else:
        take(asked.folder, asked.notebooks, ready=asked.shop, empty=asked.empty)


if __name__ == "__main__":
    main()
