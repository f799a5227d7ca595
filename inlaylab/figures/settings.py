"""What turning the settings would gain: the expected worst glue line, turn by turn."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from inlaylab.figures.style import LOOKS, Picture, axes_for, figure_of, in_unit, label_axes, note, styled, with_unit
from inlaylab.wording.figures import answers as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.fitting.advice.start_depth import Advice

#: Width of a letter of the settings' names, and of the words beside the bars. [in]
LETTER, BOLD = 0.075, 0.096


@styled
def settings(result: Advice, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw the expected worst glue line with the settings as they are and as they could be turned.

    Parameters
    ----------
    result : fitting.advice.start_depth.Advice
        Its `settings` are drawn.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    shown = words.settings_ways(result, unit)
    made, ax = ax is None, axes_for(ax, height=1.4 + 0.5 * len(shown))
    wide = figure_of(ax).get_figwidth()
    row = 0.0
    for look, name, each in shown:
        lines = textwrap.wrap(name, int((wide - 0.4) / LETTER))
        row -= 1 + 0.36 * (len(lines) - 1)
        worst = float(in_unit(each.worst_glue_line, unit))
        ax.barh([row], [worst], height=0.36, **LOOKS[look])
        size = words.setting_size(each, unit)
        for text in (
            note(ax, 0, row + 0.21, "\n".join(lines), shift=(1, 1), va="bottom", fontsize=9),
            note(ax, worst, row, size, shift=(6, 0), va="center", fontweight="bold"),
        ):
            text.set_in_layout(False)
    if made:
        figure_of(ax).set_figheight(1.4 - 0.5 * row)
    ax.set_ylim(row - 0.45, -0.1)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    beside = 0.15 + BOLD * max(len(words.setting_size(each, unit)) for _, _, each in shown)
    longest = max(float(in_unit(each.worst_glue_line, unit)) for _, _, each in shown)
    ax.set_xlim(0, longest / max(0.25, 1 - beside / (wide - 0.4)) or None)
    label_axes(ax, across=with_unit(words.EXPECTED_WORST, unit), up="")
    if result.settings.turned == result.settings.now:
        ax.set_title(words.NO_GAIN, fontsize=10)
    return Picture(figure=figure_of(ax), axes=ax, alt=words.settings_alt(result, unit))
