"""
A new maker's first hour in a real browser: from an empty folder to a first logged cut and its answer, by keys alone.

What is typed survives a restarted kernel; what one notebook saves appears in another that is open, without a click.
"""

import json
import shutil
import time
import urllib.request

import pytest
from playwright.sync_api import expect

from inlaylab import share
from inlaylab.log.store import Log

FIT = 400_000  # longest wait for an answer on a busy machine [ms]


class Keys:
    """A keyboard that counts: every key and every typed letter is one."""

    def __init__(self, page):
        self.page, self.count, self.began = page, 0, time.monotonic()

    def press(self, *names):
        for name in names:
            self.page.keyboard.press(name)
            self.count += 1

    def write(self, text):
        self.page.keyboard.type(text, delay=10)
        self.count += len(text)

    def to(self, place, *, key="Tab", most=60):
        """Go on by one key until a place has the focus."""
        for _ in range(most):
            if place.evaluate("e => e === document.activeElement"):
                return self
            self.press(key)
            self.page.wait_for_timeout(30)
        raise AssertionError(f"{most} presses of {key} do not reach {place}")

    def run_all(self):
        """Run every cell by the command list."""
        self.press("Control+Shift+c")
        self.page.locator(".lm-CommandPalette-input").wait_for()
        self.write("run all cells")
        self.page.wait_for_timeout(500)
        self.press("Enter")
        self.page.locator(".inlaylab-panel").first.wait_for()
        self.page.get_by_text("| Idle").first.wait_for()
        self.page.wait_for_timeout(1000)


@pytest.fixture(scope="module")
def own_folder(lab):
    """A folder beside the others in which no log is named yet."""
    folder = lab.folder / "first_hour"
    share.copy_into(folder)
    yield folder
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="module")
def walk(own_folder, lab, open_page):
    """Open notebooks of that folder, each in a page of its own."""
    return lambda name: open_page().open(f"first_hour/{name}")


def button(page, words):
    return page.get_by_role("button", name=words, exact=True)


def choose(keys, box, letters):
    """Choose from a list by its first letters."""
    keys.to(box)
    keys.write(letters)
    keys.page.wait_for_timeout(300)


@pytest.fixture(scope="module")
def logged(walk, own_folder):
    """Name a new log, add bit and coupon, log a cut, and leave notebooks 2, 3 and 4 open."""
    total, began, quiet = 0, time.monotonic(), []
    start = walk("0_start_here.ipynb")
    keys = Keys(start.page)
    keys.run_all()
    tick = start.page.get_by_label("work on another log")
    keys.to(tick)
    keys.press("Space")
    choose(keys, start.box("work on"), "begin")
    keys.to(start.box("name of the new log"))
    keys.press("Control+a")
    keys.write("oak")
    keys.to(button(start.page, "Begin this log"))
    keys.press("Enter")
    start.says("Your log has no test cut yet.")
    total += keys.count

    tune = walk("4_tune_the_start_depth.ipynb")
    keys = Keys(tune.page)
    keys.run_all()
    tune.says("There are no test cuts in this log yet")
    total += keys.count

    cut = walk("3_log_a_test_cut.ipynb")
    keys = Keys(cut.page)
    keys.run_all()
    total += keys.count

    coupon = walk("2_make_a_coupon.ipynb")
    keys = Keys(coupon.page)
    keys.run_all()
    choose(keys, coupon.box("bit"), "add")
    keys.to(coupon.page.locator(".inlaylab-panel input:visible").nth(0), most=3)
    keys.write("sixty")
    keys.press("Tab")
    keys.write("60")
    keys.to(button(coupon.page, "Keep this bit"))
    keys.press("Enter")
    expect(coupon.box("bit")).to_have_value("sixty")
    keys.to(button(coupon.page, "Add this coupon to the log"))
    keys.press("Enter")
    coupon.says("coupon 1 is in the log now")
    total += keys.count

    keys = Keys(cut.page)
    cut.page.bring_to_front()
    expect(cut.box("coupon").locator("option", has_text="coupon 1")).to_have_count(1)  # noticed without another run
    choose(keys, cut.box("species pair"), "add")
    for text in ("oak-ash", "white oak", "white ash"):
        keys.press("Tab")
        keys.write(text)
    keys.to(button(cut.page, "Keep this pair"))
    keys.press("Enter")
    expect(cut.box("species pair")).to_have_value("oak-ash")
    choose(keys, cut.box("bit"), "sixty")
    choose(keys, cut.box("coupon"), "coupon 1")
    for name, text in (("start depth", "3.4 mm"), ("pocket depth", "4.2 mm"), ("relief depth", "1.6 mm")):
        keys.to(cut.box(name))
        keys.write(text)
    keys.to(cut.page.locator(".inlaylab-grid input").nth(0))
    for number, text in enumerate(("c f", "c f", "0.1", "0.12", "0.14")):
        expect(cut.page.locator(".inlaylab-grid input").nth(number)).to_be_focused()
        keys.write(text)
        keys.press("Enter")
    expect(cut.page.locator(".inlaylab-grid input").nth(5)).to_be_focused()
    expect(button(cut.page, "Save this cut")).to_be_enabled()
    keys.to(button(cut.page, "Save this cut"))
    keys.press("Enter")
    cut.says("Saved cut 1 with 7 readings.")
    total += keys.count
    saved = time.monotonic()
    tune.page.bring_to_front()
    tune.page.locator(".inlaylab-figure").first.wait_for(timeout=FIT)
    done = time.monotonic()
    print(f"\n{total} keys; saved after {saved - began:.0f} s, answer {done - saved:.0f} s later")
    quiet += [start, tune, cut, coupon]
    return start, coupon, cut, tune, quiet


def test_the_first_cut_is_logged_and_answered_by_keys_alone(logged, own_folder):
    *_, tune, _ = logged
    with Log.open(own_folder / "oak.inlay") as log:
        shop = log.shop()
    assert [cut.cut for cut in shop.cuts] == ["cut 1"] and len(shop.readings) == 7
    assert (own_folder / "which_log.txt").read_text() == "oak.inlay\n"
    tune.says("Too little is known yet. Best guess: start depth")
    tune.says("Make this cut next:")


def test_a_second_cut_changes_the_open_answer_without_a_click(logged):
    _, _, cut, tune, _ = logged
    page = cut.page
    page.bring_to_front()
    cut.box("start depth").fill("3.3 mm")
    cut.box("start depth").press("Tab")
    rows = page.locator(".inlaylab-grid input")
    for number, text in enumerate(("0.2", "0.22", "0.25", "0.25", "0.3")):
        rows.nth(number).fill(text)
        rows.nth(number).press("Enter")
    button(page, "Save this cut").click()
    cut.says("Saved cut 2 with 5 readings.")
    tune.page.bring_to_front()
    tune.page.locator(".inlaylab-panel").get_by_text("cut 2", exact=False).first.wait_for(timeout=FIT)
    tune.page.get_by_text("The answers are up to date with the log.").first.wait_for(timeout=FIT)


def test_undo_says_what_it_takes_back_and_redo_brings_it_again(logged, own_folder):
    _, _, cut, _, _ = logged
    page = cut.page
    page.bring_to_front()
    page.get_by_role("button", name="Undo: added cut 2").click()
    cut.says("Taken back: added cut 2")
    page.get_by_role("button", name="Redo: added cut 2").click()
    cut.says("Done again: added cut 2")
    with Log.open(own_folder / "oak.inlay") as log:
        assert len(log.shop().cuts) == 2


def test_what_is_typed_survives_a_restarted_kernel(logged, own_folder):
    _, _, cut, _, _ = logged
    page = cut.page
    cut.type(page.locator(".inlaylab-panel textarea"), "not left yet")
    cut.box("start depth").fill("3.5 mm")
    cut.box("start depth").press("Tab")
    cut.until_kept(own_folder / "oak.inlay", "not left yet", "3.5 mm")
    shell = cut.restart()
    said = shell.evaluate("e => getComputedStyle(e, '::before').content")
    assert "Run All Cells" in said
    inner = shell.locator(".inlaylab-panel").evaluate("e => getComputedStyle(e, '::before').content")
    assert inner in ("none", "normal")
    cut.run_all()
    cut.says("is back in the form")
    expect(cut.box("start depth")).to_have_value("3.5 mm")
    expect(page.locator(".inlaylab-panel textarea")).to_have_value("not left yet")
    button(page, "Throw it away").click()
    expect(page.locator(".inlaylab-panel textarea")).to_have_value("")


def test_the_list_of_files_leaves_out_those_that_come_and_go(lab, logged):
    with Log.open(lab.folder / "first_hour" / "oak.inlay") as log:
        assert log.shop().cuts and (lab.folder / "first_hour" / "oak.inlay-wal").exists()
        with urllib.request.urlopen(f"{lab.url}/api/contents/first_hour?token={lab.token}", timeout=60) as told:
            names = {each["name"] for each in json.load(told)["content"]}
    assert "oak.inlay" in names and not [name for name in names if name.startswith("oak.inlay-")]


def test_a_log_that_is_not_there_opens_in_words(lab, open_page, own_folder):
    text = (own_folder / "4_tune_the_start_depth.ipynb").read_text(encoding="utf-8")
    (own_folder / "own_4.ipynb").write_text(text.replace("log = None", "log = 'walnut.inlay'"), encoding="utf-8")
    notebook = open_page().open("first_hour/own_4.ipynb").run_all()
    notebook.says("there is no such log")
    expect(notebook.box("name of the new log")).to_have_value("walnut.inlay")
    button(notebook.page, "Begin this log").click()
    notebook.says("There are no test cuts in this log yet")
    assert notebook.faults() == []
    assert notebook.page.locator("[data-mime-type='application/vnd.jupyter.error']").count() == 0
    assert notebook.complaints == [] and notebook.outside == []


def test_no_serious_fault_of_access_on_a_new_log(logged):
    *_, quiet = logged
    for notebook in quiet:
        for width, name in ((1280, "light"), (480, "dark")):  # the other two: on the sample shop, in every notebook
            notebook.narrow(width)
            notebook.theme(name)
            notebook.page.wait_for_timeout(500)
            assert notebook.faults() == [], (width, name)
        notebook.theme("light")


def test_nothing_was_asked_of_outside(logged):
    *_, quiet = logged
    for notebook in quiet:
        assert notebook.outside == []
