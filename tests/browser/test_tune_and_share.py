"""Notebooks 4 and 7 in a real browser: the answer, a depth turned, the answer changed by a cut, the page shared."""

import re

import pytest
from playwright.sync_api import expect

from inlaylab.bench.cuts import Cut
from inlaylab.log.store import Log
from inlaylab.wording.panels.shared import EARLY


@pytest.fixture(scope="module")
def page4(shop_log, open_notebook):
    return open_notebook("4_tune_the_start_depth.ipynb")


@pytest.fixture(scope="module")
def page7(page4, open_notebook):
    return open_notebook("7_share_findings.ipynb")


def answer(page4):
    return page4.page.locator(".inlaylab-figure").inner_text()


def press_slowly(page4, button, *, meanwhile):
    """Press a button and let it go when the field that was just left has said what it understood, and moved it."""
    button.scroll_into_view_if_needed()
    before = button.bounding_box()
    page4.page.mouse.move(before["x"] + 20, before["y"] + before["height"] / 2)
    page4.page.mouse.down()
    page4.says(meanwhile)
    assert button.bounding_box()["y"] != before["y"]
    page4.page.mouse.up()


def test_the_answer_stands_there_with_its_pictures(page4):
    page4.says("The answers are up to date with the log.")
    page4.says("worst glue line about")
    assert answer(page4).startswith(("Start depth", "Tightest: ", "Too little is known yet"))
    pictures = page4.page.locator(".inlaylab-picture")
    expect(pictures).to_have_count(5)
    assert all(len(picture.get_attribute("alt")) > 60 for picture in pictures.all())


def test_another_question_changes_the_answer(page4):
    page = page4.page
    page4.box("species pair").select_option("walnut-maple")
    page4.box("bit").select_option("sixty")
    page4.box("strokes").select_option("coupon ladder")
    for name, text in (("pocket depth", "4 mm"), ("relief depth", "1.5 mm"), ("glue line within", "1,500")):
        page4.box(name).fill(text)
        page4.box(name).press("Enter")
    page4.says("this length can be read two ways")
    page4.says("ask again")
    page4.box("glue line within").fill("0.15 mm")
    press_slowly(page4, page.get_by_role("button", name="Which settings?"), meanwhile="= 0.15 mm (0.006 in)")
    expect(page.locator(".inlaylab-figure")).to_have_text(re.compile(r"[Ss]tart depth 3\.\d\d mm"))


def test_a_slider_turns_the_section_by_keyboard(page4):
    page = page4.page
    handle = page.get_by_role("slider", name=re.compile("start depth"))
    picture = page.locator(".inlaylab-picture").last
    before = picture.get_attribute("alt")
    handle.focus()
    for _ in range(3):
        page.keyboard.press("PageUp")
    expect(picture).not_to_have_attribute("alt", before)


def test_the_unit_of_the_answer_can_be_changed(page4):
    page4.box("numbers without a unit are in").select_option("in")
    expect(page4.page.locator(".inlaylab-figure")).to_have_text(
        re.compile(r"[Ss]tart depth 0\.1\d\d in \(3\.\d\d mm\)")
    )
    page4.box("numbers without a unit are in").select_option("mm")


@pytest.mark.parametrize("theme", ["dark", "light"])
@pytest.mark.parametrize("width", [1280, 480])
def test_no_serious_fault_of_access(page4, page7, width, theme):
    for notebook in (page4, page7):
        notebook.theme(theme)
        notebook.narrow(width)
        assert notebook.faults() == []


def test_the_page_is_written_and_opens_without_a_network(page7, lab, browser):
    page = page7.page
    page7.narrow(1280)
    up_to_date(page7)
    page7.box("leave out the notes of cuts and bits, and columns of your own").check()
    page.get_by_role("button", name="Write the page").click()
    page7.says("Written: findings.html")
    context = browser.new_context(offline=True, viewport={"width": 480, "height": 900})
    opened = context.new_page()
    asked, said = [], []
    opened.on("request", lambda request: asked.append(request.url))
    opened.on("console", lambda message: said.append(message.text))
    opened.goto((lab.folder / "findings.html").as_uri())
    expect(opened.locator(".answer h3")).to_contain_text("tart depth")
    assert opened.evaluate("document.documentElement.scrollWidth") <= 480
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == [] and said == []
    from axe_playwright_python.sync_playwright import Axe

    assert Axe().run(opened).response["violations"] == []
    assert opened.locator('script:not([type="application/json"])').count() == 0  # the tables it carries run nothing
    context.close()


def test_the_link_to_the_page_opens_it_in_the_lab(page7):
    page = page7.page
    page7.says("Written: findings.html")
    with page.expect_popup() as opened:
        page.get_by_role("link", name="findings.html").click()
    expect(opened.value.locator(".answer h3")).to_contain_text("tart depth")
    assert opened.value.url.split("?")[0].endswith("/files/findings.html")
    opened.value.close()


def test_what_was_ticked_survives_a_restarted_kernel(page7, shop_log):
    page = page7.page
    page7.box("name of the page").fill("oak.html")
    page7.box("name of the page").press("Tab")
    page7.until_kept(shop_log, "oak.html")
    page7.restart()
    page7.run_all()
    page7.says("is back in the form")
    expect(page7.box("name of the page")).to_have_value("oak.html")
    expect(page7.box("leave out the notes of cuts and bits, and columns of your own")).to_be_checked()
    page.get_by_role("button", name="Throw it away").click()
    expect(page7.box("name of the page")).to_have_value("findings.html")


@pytest.fixture(scope="module")
def own(lab, sample_shop_records, open_notebook):
    """Notebook 4 on a maker's own log of two cuts, by one changed line."""
    shop, kept = sample_shop_records, ("T01", "T03")
    with Log.make(lab.folder / "own.inlay") as log:
        log.add([shop.bits[0], shop.pairs[0], shop.coupons[0]])
        log.add([cut for cut in shop.cuts if cut.cut in kept])
        log.add([reading for reading in shop.readings if reading.cut in kept])
    return open_notebook(lab.on_own_log("4_tune_the_start_depth", "own.inlay"))


def up_to_date(notebook):
    notebook.page.get_by_text("The answers are up to date with the log.").first.wait_for(timeout=400_000)


def remember(notebook, *words):
    """Have the page keep which of some words its panels ever showed, however briefly."""
    notebook.page.evaluate(
        """words => {
            window.seen = [];
            const look = () => {
                const text = [...document.querySelectorAll(".inlaylab-panel")].map(p => p.textContent).join(" ");
                words.filter(w => text.includes(w) && !window.seen.includes(w)).forEach(w => window.seen.push(w));
            };
            new MutationObserver(look).observe(document.body, {subtree: true, childList: true, characterData: true});
        }""",
        words,
    )


def test_what_a_command_saves_changes_the_open_answer_without_a_click(own, lab):
    up_to_date(own)
    own.page.locator(".inlaylab-figure").first.wait_for()
    remember(own, EARLY)
    with Log.open(lab.folder / "own.inlay") as log:  # a piece that stood open although the floor gap was large
        depths = {"start_depth": 3.3, "pocket_depth": 4, "relief_depth": 1.5}
        log.save_cut(Cut(cut="late", bit="sixty", pair="walnut-maple", outcome="open", **depths))
    moved = re.compile(r"Start depth (still )?\d.* mm.*: .*cut late")
    own.page.locator(".inlaylab-panel").get_by_text(moved).first.wait_for(timeout=400_000)
    up_to_date(own)
    assert own.page.evaluate("seen") == [EARLY]  # a first answer stood there, and was refined


def test_an_update_stops_when_asked(own, lab):
    with Log.open(lab.folder / "own.inlay") as log:
        log.delete(log.shop().cut("late"))
    own.page.get_by_role("button", name="Stop working it out").click(timeout=60_000)
    own.page.get_by_text("Stopped. The log is safe").first.wait_for(timeout=200_000)
    assert own.page.locator(".inlaylab-stale .inlaylab-figure").count() == 1
    own.page.get_by_role("button", name="Work out the answers").click()
    up_to_date(own)


def test_nothing_was_complained_about_or_asked_of_outside(page4, page7, own):
    for notebook in (page4, page7, own):
        assert notebook.complaints == [] and notebook.outside == []
