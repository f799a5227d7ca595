"""Pictures follow the width of the screen that the browser tells."""

import pytest

from inlaylab.figures.style import NARROWEST, PIXELS, Picture, label_axes, legend_below, new_axes, styled
from inlaylab.panels.log_a_test_cut.view import LogATestCut
from inlaylab.panels.shared import controls
from inlaylab.panels.shared.screen import SCREEN, width_box


@styled
def line(*, ax=None):
    """Draw three named lines with a legend."""
    ax = new_axes(width=6.0, height=3.0) if ax is None else ax
    for number in range(3):
        ax.plot([0, 1], [0, number], label=f"line number {number} of three")
    label_axes(ax, across="x [mm]", up="y [mm]")
    legend_below(ax.figure, columns=3)
    return Picture(figure=ax.figure, axes=ax, alt="three lines")


@pytest.fixture
def screen():
    yield SCREEN
    SCREEN.room = None


@pytest.mark.long
def test_a_picture_is_drawn_anew_for_a_narrow_screen_and_wide_again(screen):
    box = controls.PictureBox()
    box.show(line())
    assert "width:576px" in box.value
    told = width_box()
    told.value = "350"
    assert "width:350px" in box.value and box.alt == "three lines"
    told.value = "900"
    assert "width:576px" in box.value


@pytest.mark.long
def test_the_coupon_of_notebook_3_follows_the_width_and_its_marks_with_it(screen, sample_log):
    panel = LogATestCut(sample_log)
    panel.fields["coupon"].box.value = "ladder"
    wide = panel.grid.picture.value
    width_box().value = "350"
    narrow = panel.grid.picture.value
    assert "width:350px" in narrow and "width:350px" not in wide
    assert narrow.count("inlaylab-mark-0") == wide.count("inlaylab-mark-0") == 2


def test_what_is_no_width_changes_nothing(screen):
    told = width_box()
    for text in ("wide", "12", ""):
        told.value = text
        assert screen.room is None


def test_a_narrow_picture_keeps_its_type_and_its_words_inside():
    wide = line()
    narrow = wide.fitted(350)
    assert narrow.figure.get_figwidth() == pytest.approx(350 / PIXELS)
    assert wide.fitted(None) is wide and wide.fitted(700) is wide
    assert wide.fitted(40).figure.get_figwidth() == NARROWEST
    sizes = [text.get_fontsize() for text in narrow.axes.get_xticklabels()]
    assert sizes == [text.get_fontsize() for text in wide.axes.get_xticklabels()]
    narrow.figure.draw_without_rendering()
    legend = narrow.figure.legends[0].get_window_extent()
    assert legend.x0 >= 0 and legend.x1 <= narrow.figure.bbox.width
    assert not legend.overlaps(narrow.axes.get_window_extent())


def test_a_picture_on_given_axes_is_left_alone():
    given = new_axes()
    assert line(ax=given).fitted(300).figure is given.figure


def test_long_names_of_axes_break_on_a_narrow_picture():
    @styled
    def named(*, ax=None):
        """Draw nothing under long names."""
        ax = new_axes(width=6.0, height=3.0) if ax is None else ax
        label_axes(ax, across="what comes to light on the finished face of a coupon [mm]", up="y", title="a " * 40)
        return Picture(figure=ax.figure, axes=ax, alt="names")

    narrow, wide = named().fitted(330), named()
    assert "\n" not in wide.axes.get_xlabel()
    narrow.figure.draw_without_rendering()
    for text in (narrow.axes.xaxis.label, narrow.axes._left_title):
        shown = text.get_window_extent()
        assert "\n" in text.get_text() and shown.x0 >= 0 and shown.x1 <= narrow.figure.bbox.width
