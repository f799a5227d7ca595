"""Notebook 3 in a real browser: a rendered scan is read, a station chosen by a click and by key, a proposal taken."""

import pytest
from playwright.sync_api import expect
from rendered_coupon import Scene, render

from inlaylab import share
from inlaylab.artwork.sheets.coupon import design_coupon
from inlaylab.log.store import Log
from inlaylab.log.tables.import_export import import_folder


@pytest.fixture(scope="module")
def page3(lab, open_notebook):
    """The panel with a scan in its log's folder, read."""
    path = lab.folder / "seen.inlay"
    import_folder(path, share.sample_shop())
    plan = design_coupon(name="seen", path_angle=60, pocket_depth=4.2, relief_depth=1.6, length=90, width=70, border=9)
    with Log.open(path) as log:
        log.add(plan.coupon)
    scene = Scene(host="tan", insert="pale", lines={"A5": 0.1, "A6": 0.02}, plug_shift=(0.0, 0.02), seed=3)
    (lab.folder / "face.jpg").write_bytes(render(plan.layout, scene).file())
    page3 = open_notebook(lab.on_own_log("3_log_a_test_cut", "seen.inlay"))
    page3.box("coupon").select_option("seen")
    page3.page.get_by_label("read the stations from a scan or photo").check()
    page3.page.get_by_role("button", name="Read the picture").click()
    page3.page.locator(".inlaylab-pick").first.wait_for(timeout=240_000)
    return page3


def test_a_click_on_the_picture_chooses_the_station_and_shows_its_profile(page3):
    page3.page.locator('.inlaylab-pick[title="A5"]').click()
    expect(page3.page.locator('img[alt^="Brightness across the sides of station A5"]')).to_be_visible()
    expect(page3.page.locator(".inlaylab-picks select")).to_be_focused()


def test_the_arrow_keys_go_on_from_there(page3):
    page3.page.keyboard.press("ArrowDown")
    expect(page3.page.locator('img[alt^="Brightness across the sides of station A6"]')).to_be_visible()


def test_a_proposal_is_taken_and_nothing_is_complained_about(page3):
    page3.page.get_by_role("button", name="Use this one").click()
    page3.says("A6")
    assert page3.complaints == [] and page3.outside == []


@pytest.mark.parametrize("width", [1280, 480])
def test_no_serious_fault_of_access(page3, width):
    page3.narrow(width)
    assert page3.faults() == []
