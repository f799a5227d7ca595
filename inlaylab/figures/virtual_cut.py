"""The finished face of a virtual cut: what is filled, what stays open, where the glue lines are wide, what holds it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.figures.scales import colours, glue_bar, glue_norm
from inlaylab.figures.style import (
    INK,
    LOOKS,
    Picture,
    figure_of,
    in_unit,
    keep_title,
    legend_below,
    new_axes,
    note,
    styled,
    with_unit,
)
from inlaylab.wording.figures import artwork as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from numpy.typing import ArrayLike

    from inlaylab.artwork.cutting.virtual_cut import VirtualCut

_MOST_PIXELS = 1500  # along a side of the picture


@styled
def virtual_cut(
    result: VirtualCut, *, unit: str = "mm", ax: Axes | None = None, line: ArrayLike | None = None
) -> Picture:
    """
    Draw the finished face.

    Parameters
    ----------
    result : artwork.cutting.virtual_cut.VirtualCut
        Seat, face and glue lines.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.
    line : array_like, optional
        Both ends of a line of section, to be shown. [mm]

    Returns
    -------
    picture : Picture
    """
    import numpy as np
    from matplotlib.colors import ListedColormap, to_rgb
    from matplotlib.patches import Patch

    left, right, bottom, top = result.grid.extent
    tall = (top - bottom) / (right - left)
    if ax is None:
        wide = 6.6 if tall < 1.1 else max(4.0, 6.6 * 1.1 / tall)
        ax = new_axes(width=wide, height=min(8.0, 2.4 + 0.95 * wide * tall), to_scale=2.4)
    faces = [LOOKS["host"]["facecolor"], LOOKS["insert"]["facecolor"], INK]
    every = max(1, -(-max(result.state.shape) // _MOST_PIXELS))
    face = result.state[::every, ::every]
    extent = tuple(in_unit([left, right, bottom, top], unit))
    ax.imshow(
        face, origin="lower", extent=extent, cmap=ListedColormap([to_rgb(c) for c in faces]), vmin=0, vmax=2,
        interpolation="nearest",
    )  # fmt: skip
    lines = result.glue_lines
    shown = lines[np.argsort(lines[:, 2])][:: max(1, len(lines) // 20_000)]
    x, y, width = in_unit(shown, unit).T
    dots = ax.scatter(x, y, c=width, s=5, cmap=colours(), norm=glue_norm(unit), linewidths=0)
    glue_bar(ax, dots, unit)
    ax.plot(*in_unit(result.seat.contact_at, unit), marker="*", markersize=16, color="#a33c00", markeredgecolor="white")
    if line is not None:
        ends = in_unit(line, unit)
        ax.plot(*ends.T, color=INK, linewidth=1.0, linestyle="--")
        for end, letter in zip(ends, "AB", strict=True):
            note(
                ax,
                float(end[0]),
                float(end[1]),
                letter,
                ha="center",
                va="center",
                bbox={"facecolor": "white", "edgecolor": INK, "pad": 1.5},
            )
    ax.set_xlabel(with_unit(words.X, unit))
    ax.set_ylabel(with_unit("y", unit))
    ax.grid(False)
    named = zip(faces, words.FACES, strict=True)
    legend_below(figure_of(ax), handles=[Patch(facecolor=face, edgecolor=INK, label=name) for face, name in named])
    ax.set_title(words.virtual_cut_title(result))
    keep_title(ax)
    return Picture(figure=figure_of(ax), axes=ax, alt=words.virtual_cut_alt(result, unit))
