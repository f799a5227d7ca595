"""The notebooks that have no file of their own here: each runs, is quiet, and can be used by everyone."""

import pytest
from playwright.sync_api import expect

OWN = {"3_log_a_test_cut", "4_tune_the_start_depth", "7_share_findings"}


def names(root):
    return sorted(path.stem for path in (root / "notebooks").glob("*.ipynb") if path.stem not in OWN)


@pytest.fixture(scope="module", params=["0", "1", "2", "5", "6", "8"])
def notebook(request, root, shop_log, open_notebook):
    (name,) = [name for name in names(root) if name.startswith(request.param)]
    return open_notebook(f"{name}.ipynb")


def test_every_notebook_is_tried(root):
    assert [name[0] for name in names(root)] == ["0", "1", "2", "5", "6", "8"]


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 480])
def test_it_runs_and_has_no_serious_fault_of_access(notebook, width, theme):
    notebook.theme(theme)
    notebook.narrow(width)
    assert notebook.faults() == []
    expect(
        notebook.page.locator(".jp-OutputArea-output[data-mime-type='application/vnd.jupyter.stderr']")
    ).to_have_count(0)


def test_nothing_was_complained_about_or_asked_of_outside(notebook):
    assert notebook.complaints == [] and notebook.outside == []
    assert notebook.page.locator(".inlaylab-refusal").all_inner_texts() == []


def test_pictures_are_drawn_for_the_room_they_get(notebook):
    notebook.narrow(480)
    notebook.page.wait_for_timeout(3000)
    for picture in notebook.page.locator(".inlaylab-picture:visible").all():
        drawn, shown = picture.evaluate("e => [parseFloat(e.style.width), e.getBoundingClientRect().width]")
        assert shown >= 0.85 * drawn, picture.get_attribute("alt")  # 8 points stay 9 pixels
