"""What turning the settings would gain: the expected worst glue line, turn by turn."""

from __future__ import annotations

from typing import Any

from inlaylab.figures.style import LOOKS, Picture, axes_for, in_unit, label_axes, note, styled, with_unit
from inlaylab.wording.figures import answers as words


@styled
def settings(result: Any, *, unit: str = "mm", ax: Any = None) -> Picture:
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
    ax = axes_for(ax, height=1.4 + 0.5 * len(shown))
    for row, (look, name, each) in enumerate(shown):
        worst = float(in_unit(each.worst_glue_line, unit))
        ax.barh([-row], [worst], height=0.36, **LOOKS[look])
        note(ax, 0, -row + 0.21, name, shift=(1, 1), va="bottom", fontsize=9)
        size = words.setting_size(each, unit)
        note(ax, worst, -row, size, shift=(6, 0), va="center", fontweight="bold")
    ax.set_ylim(-len(shown) + 0.55, 0.8)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    ax.set_xlim(0, 1.45 * max(float(in_unit(each.worst_glue_line, unit)) for _, _, each in shown) or None)
    label_axes(ax, across=with_unit(words.EXPECTED_WORST, unit), up="")
    if result.settings.turned == result.settings.now:
        ax.set_title(words.NO_GAIN, fontsize=10)
    return Picture(figure=ax.figure, axes=ax, alt=words.settings_alt(result, unit))
