"""What a log knows of its bits and pairs: the middle, and how far it may be off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inlaylab import units
from inlaylab.figures.style import LOOKS, Picture, figure_of, legend_below, note, several_axes, styled, with_unit
from inlaylab.wording.figures import log as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.bench.shop import Shop


@dataclass(frozen=True, kw_only=True)
class Known:
    """
    One quantity of one bit or pair.

    Parameters
    ----------
    name : str
        Whose it is.
    cuts : int
        How many cuts tell of it.
    low, middle, high : float
        The interval that holds it nine times in ten, and its middle. [mm] or [degrees]
    """

    name: str
    cuts: int
    low: float
    middle: float
    high: float


@dataclass(frozen=True, kw_only=True)
class KnownShop:
    """
    All that a fit knows of what lasts.

    Parameters
    ----------
    angle_errors : tuple of Known
        True angle less nominal, bit by bit. [degrees]
    tip_flats, wall_allowances : tuple of Known
        Bit by bit, pair by pair. [mm]
    """

    angle_errors: tuple[Known, ...]
    tip_flats: tuple[Known, ...]
    wall_allowances: tuple[Known, ...]

    @classmethod
    def of(cls, summary: dict[str, Any], shop: Shop) -> KnownShop:
        """Take the quantities from a fit's summary."""
        made: dict[str, list[Known]] = {"true_angle_deg": [], "tip_flat": [], "wall_allowance": []}
        for group, kind in (("bits", "bit"), ("pairs", "pair")):
            for name, quantities in summary[group].items():
                cuts = sum(getattr(cut, kind) == name for cut in shop.cuts)
                sold = shop.bit(name).nominal_angle_deg if kind == "bit" else 0.0
                for quantity, spread in quantities.items():
                    less = sold if quantity == "true_angle_deg" else 0.0
                    low, middle, high = (spread[key] - less for key in ("q05", "q50", "q95"))
                    made[quantity].append(Known(name=name, cuts=cuts, low=low, middle=middle, high=high))
        return cls(
            angle_errors=tuple(made["true_angle_deg"]),
            tip_flats=tuple(made["tip_flat"]),
            wall_allowances=tuple(made["wall_allowance"]),
        )


@styled
def known(result: KnownShop, *, unit: str = "mm", ax: Sequence[Axes] | None = None) -> Picture:
    """
    Draw each quantity as a point with the interval that holds it nine times in ten.

    Parameters
    ----------
    result : KnownShop
        What is known.
    unit : str
        The reader's unit.
    ax : array of three matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    from matplotlib.lines import Line2D

    groups = (result.angle_errors, result.tip_flats, result.wall_allowances)
    rows = tuple(max(1, len(group)) + 0.6 for group in groups)
    axes = several_axes(width=6.0, height=1.7 + 0.36 * sum(rows), rows=rows) if ax is None else ax
    _draw(axes[0], result.angle_errors, words.ANGLE_ERROR, 1.0)
    _draw(axes[1], result.tip_flats, with_unit(words.TIP_FLAT, unit), units.UNITS[unit])
    _draw(axes[2], result.wall_allowances, with_unit(words.WALL_ALLOWANCE, unit), units.UNITS[unit])
    axes[0].axvline(0.0, **LOOKS["asked"])
    marks = [
        Line2D([], [], color=LOOKS["fit"]["color"], linewidth=3, label=words.RANGE),
        Line2D([], [], label=words.MIDDLE, **LOOKS["reading"]),
        Line2D([], [], label=words.AS_SOLD, **LOOKS["asked"]),
    ]
    legend_below(figure_of(axes[0]), columns=3, handles=marks)
    told = [
        words.known_line(one.name, what, one.low, one.high, unit, cuts=one.cuts)
        for what, group in ((words.TIP_FLAT, result.tip_flats), (words.WALL_ALLOWANCE, result.wall_allowances))
        for one in group
    ]
    return Picture(figure=figure_of(axes[0]), axes=axes, alt=words.known_alt(told))


def _draw(ax: Axes, rows: tuple[Known, ...], across: str, scale: float) -> None:
    for number, row in enumerate(rows):
        low, middle, high = (value / scale for value in (row.low, row.middle, row.high))
        ax.plot([low, high], [-number, -number], color=LOOKS["fit"]["color"], linewidth=3)
        ax.plot([middle], [-number], **LOOKS["reading"])
        name = words.name_and_cuts(row.name, row.cuts)
        note(ax, middle, -number + 0.12, name, ha="center", va="bottom", fontsize=9)
    ax.set_ylim(-len(rows) + 0.4, 0.75)
    ax.set_yticks([])
    ax.margins(x=0.3)
    ax.spines["left"].set_visible(False)
    ax.set_xlabel(across)
