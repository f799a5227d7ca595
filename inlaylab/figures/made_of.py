"""What the expected worst glue line is made of: what would help, and what would not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.figures.style import LOOKS, Picture, axes_for, figure_of, in_unit, label_axes, note, styled, with_unit
from inlaylab.wording.answers.start_depth import CAUSES
from inlaylab.wording.figures import answers as words
from inlaylab.wording.lengths import fine

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.fitting.advice.made_of import MadeOf

_PAPER = {"facecolor": "white", "edgecolor": "none", "pad": 1.0}


@styled
def made_of(result: MadeOf, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw the parts of the expected worst glue line, each beginning where the one before it ends.

    Parameters
    ----------
    result : fitting.advice.made_of.MadeOf
        The parts.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    ax = axes_for(ax, width=6.4, height=1.3 + 0.46 * (len(result.parts) + 1))
    end = 0.0
    whole = float(in_unit(result.worst_glue_line, unit))
    for row, part in enumerate(result.parts):
        size = float(in_unit(part.adds, unit))
        ax.barh([-row], [size], left=end, height=0.36, **LOOKS["turned"])
        ax.plot([end, end], [-row - 0.18, -row + 0.8], color=LOOKS["asked"]["color"], linewidth=0.6)
        note(ax, 0, -row + 0.2, CAUSES[part.cause], shift=(1, 1), va="bottom", fontsize=8, bbox=_PAPER)
        end += size
        note(ax, max(end, end - size), -row, words.part_size(part.adds, unit), shift=(5, 0), va="center", fontsize=9)
    row = len(result.parts)
    ax.barh([-row], [whole], height=0.36, **LOOKS["now"])
    note(ax, 0, -row + 0.2, words.ALL_TOGETHER, shift=(1, 1), va="bottom", fontsize=8)
    note(ax, whole, -row, fine(result.worst_glue_line, unit), shift=(5, 0), va="center", fontweight="bold")
    ax.set_ylim(-row - 0.45, 0.8)
    ax.set_xlim(0, 1.25 * max(whole, 1e-6))
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    label_axes(ax, across=with_unit(words.ADDS, unit), up="")
    alt = words.made_of_alt(result, unit)
    return Picture(figure=figure_of(ax), axes=ax, alt=alt)
