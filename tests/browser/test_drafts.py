"""What is typed comes back in every panel: after a restarted kernel, in a new tab, and when the notebook runs again."""

import os
import shutil

import pytest
from playwright.sync_api import expect

from inlaylab import share
from inlaylab.services.find_log import begin_log, choose_log

#: Of each notebook that takes typing: a field and what is typed there; 3 and 7 are driven in tests of their own.
TYPED = {
    "1_measure_a_bit": ("depth as programmed", "2.5 mm"),
    "2_make_a_coupon": ("name of the coupon", "garden gate"),
    "4_tune_the_start_depth": ("glue line within", "0.21 mm"),
    "5_plan_an_artwork": ("glue line within", "0.22 mm"),
    "6_around_the_cut": ("host's wood", "plum"),
    "8_how_it_reckons": ("start depth", "3.31 mm"),
}
#: Each takes half a minute: without INLAYLAB_LONG every other one.
SOME = tuple(TYPED) if os.environ.get("INLAYLAB_LONG") else tuple(TYPED)[::2]


@pytest.fixture(scope="module")
def folder(lab):
    """A folder beside the others with a log that was just begun."""
    made = lab.folder / "drafts"
    share.copy_into(made)
    begin_log("mine.inlay", folder=made)
    choose_log("mine.inlay", folder=made)
    yield made
    shutil.rmtree(made, ignore_errors=True)


def stands_there(notebook, field, text):
    """Say that a draft came back."""
    notebook.says("is back in the form")
    expect(notebook.box(field).first).to_have_value(text)


@pytest.mark.long
def test_what_is_typed_comes_back_in_every_panel(folder, open_page):
    for name in SOME:
        field, text = TYPED[name]
        notebook = open_page().open(f"drafts/{name}.ipynb").run_all()
        notebook.box(field).first.fill(text)
        notebook.box(field).first.press("Tab")
        notebook.until_kept(folder / "mine.inlay", text)
        notebook.restart()
        stands_there(notebook.run_all(), field, text)
        notebook.page.close()
        again = open_page().open(f"drafts/{name}.ipynb").run_all()
        stands_there(again, field, text)
        assert again.complaints == [] and again.outside == [], name
        again.page.evaluate("() => window.jupyterapp.commands.execute('kernelmenu:shutdown')")
        again.page.close()
