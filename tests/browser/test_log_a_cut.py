"""Notebook 3 in a real browser: a cut logged by keyboard alone, refused, saved, corrected and undone."""

import pytest
from playwright.sync_api import expect

from inlaylab import share
from inlaylab.log.store import Log
from inlaylab.log.tables.import_export import import_folder


def shop_of(lab):
    with Log.open(lab.folder / "bench.inlay") as log:
        return log.shop()


@pytest.fixture(scope="module")
def page3(lab, open_notebook):
    import_folder(lab.folder / "bench.inlay", share.sample_shop())
    return open_notebook(lab.on_own_log("3_log_a_test_cut", "bench.inlay"))


def test_a_cut_is_logged_by_keyboard_alone(page3, lab):
    page, keys = page3.page, page3.page.keyboard
    before = len(shop_of(lab).cuts)
    page3.box("species pair").focus()
    keys.type("walnut")
    keys.press("Tab")
    keys.type("sixty")
    keys.press("Tab")
    keys.type("ladder")
    keys.press("Tab")
    expect(page.locator(".inlaylab-grid input").nth(8)).to_be_visible()
    for _ in range(4):  # name, date and who stay as they are; then the list of units
        keys.press("Tab")
    expect(page3.box("start depth")).to_be_focused()
    keys.type("3,600")
    keys.press("Tab")
    page3.says("this length can be read two ways")
    keys.press("Shift+Tab")
    keys.press("Control+a")
    keys.type("3.6 mm")
    keys.press("Tab")
    page3.says("= 3.60 mm (0.142 in)")
    rows = page.locator(".inlaylab-grid input")
    rows.nth(0).focus()
    for number, text in enumerate(("0.06 f", "c f", "c", "0.004in p", "oak")):
        expect(rows.nth(number)).to_be_focused()
        keys.type(text)
        keys.press("Enter")
    page3.says("a length, c (closed), f, p or m")
    expect(rows.nth(4)).to_be_focused()
    page3.says("Please fix: readings at the stations.")
    keys.press("Control+a")
    keys.type("c")
    keys.press("Enter")
    expect(rows.nth(5)).to_be_focused()
    save = page.get_by_role("button", name="Save this cut")
    expect(page.get_by_text("Please fix: readings at the stations.")).to_have_count(0)
    save.focus()
    keys.press("Enter")
    page3.says("Saved T27 with 8 readings.")
    shop = shop_of(lab)
    assert len(shop.cuts) == before + 1 and shop.cut("T27").start_depth == 3.6
    assert [r.station for r in shop.readings_of("T27") if r.state == "closed"] == ["B2", "B3", "B5"]


def test_the_mark_on_the_coupon_follows_the_field(page3):
    page = page3.page
    for number in (2, 6):
        page.locator(".inlaylab-grid input").nth(number).focus()
        expect(page.locator(f".inlaylab-mark-{number}")).to_be_visible()
        expect(page.locator(f".inlaylab-mark-{number + 1}")).to_be_hidden()


def test_a_saved_cut_is_corrected_and_undone(page3, lab):
    page = page3.page
    page3.box("saved cut").select_option("T27")
    page.get_by_role("button", name="Correct it").click()
    page3.says("Correcting T27")
    start = page3.box("start depth")
    expect(start).to_have_value("3.6 mm")
    start.press("Control+a")
    page.keyboard.type("3.7 mm")
    page.get_by_role("button", name="Save the correction").dblclick()  # at once, as a hurried maker does
    page3.says("Corrected T27")
    assert shop_of(lab).cut("T27").start_depth == 3.7
    page.get_by_role("button", name="Undo: corrected cut T27").click()
    page3.says("Taken back: corrected cut T27")
    assert shop_of(lab).cut("T27").start_depth == 3.6


def test_nothing_was_complained_about_or_asked_of_outside(page3):
    assert page3.complaints == [] and page3.outside == []


@pytest.mark.parametrize("width", [1280, 480])
def test_no_serious_fault_of_access(page3, width):
    page3.narrow(width)
    assert page3.faults() == []


@pytest.mark.parametrize("width", [480, 640])  # 640: what a screen of 1280 holds at 200 %
def test_every_field_is_in_sight_when_narrow(page3, width):
    page3.narrow(width)
    sides = "each => each.map(e => e.getBoundingClientRect()).map(box => [box.left, box.right])"
    [(left, right)] = page3.page.locator(".inlaylab-panel").evaluate_all(sides)
    boxes = page3.page.locator(".inlaylab-panel input, .inlaylab-panel select, .inlaylab-panel button")
    seen = [(start, end) for start, end in boxes.evaluate_all(sides) if end > start]
    assert len(seen) > 20
    for start, end in seen:
        assert start >= left and end <= right + 2  # borders are rounded to whole pixels
