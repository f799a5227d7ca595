"""How much more an insert grows than its host, over the humidities of a year."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inlaylab.figures.style import (
    GROUPS,
    LOOKS,
    Picture,
    axes_for,
    figure_of,
    in_unit,
    label_axes,
    legend_below,
    note,
    styled,
    with_unit,
)
from inlaylab.wording.figures import around as words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inlaylab.figures.style import Floats


@dataclass(frozen=True, kw_only=True)
class SeasonMovement:
    """
    Differential movement across a range of humidities.

    Parameters
    ----------
    humidities : sequence of float
        Relative humidities of the air, rising. [%]
    growths : dict
        For each direction, by its name, the insert's growth less the host's. [mm]
    marked : dict
        Humidity by the name of a season. [%]
    """

    humidities: Floats
    growths: Mapping[str, Floats]
    marked: dict[str, float]


@styled
def season(result: SeasonMovement, *, unit: str = "mm", ax: Axes | None = None) -> Picture:
    """
    Draw the differential movement against humidity, one line a direction.

    Parameters
    ----------
    result : SeasonMovement
        What was reckoned.
    unit : str
        The reader's unit.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    ax = axes_for(ax, height=3.4)
    for (name, growth), look in zip(result.growths.items(), GROUPS, strict=False):
        ax.plot(result.humidities, in_unit(growth, unit), label=name, **{**look, "marker": ""})
    low, high = ax.get_ylim()
    for number, (name, humidity) in enumerate(result.marked.items()):
        ax.axvline(humidity, **LOOKS["asked"])
        note(ax, humidity, high - 0.1 * number * (high - low), name, shift=(4, 0), va="top", fontsize=9)
    left, right = ax.get_xlim()
    ax.set_xlim(left, right + 0.15 * (right - left))  # room for the last name beside its line
    ax.axhline(0, color=LOOKS["reading"]["color"], linewidth=0.8)
    label_axes(ax, across=words.HUMIDITY, up=with_unit(words.GROWS, unit))
    legend_below(figure_of(ax), columns=2)
    return Picture(figure=figure_of(ax), axes=ax, alt=words.season_alt(result.growths, unit))
